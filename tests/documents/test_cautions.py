"""Cautions on the pages: on the sheet with their signal words, on the proof with their sources."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kitbuild.base.blocks import Caution, Heading, Paragraph, Steps
from kitbuild.base.problem import InputProblems
from kitbuild.build import Made, make
from kitbuild.documents.wording import Wording, wording
from kitbuild.production.cautions import HAZARDS, notes
from kitbuild.production.statutes import BAG_RHODE_ISLAND, SMALL_PARTS_US
from kitbuild.spec.materials import Part
from kitbuild.spec.records import Kit
from tests.documents.brackets import LANGUAGE, brackets
from tests.documents.demo import flat
from tests.pattern.builders import piece
from tests.production.boxes import film, packed, plain

BAG = packed("plastic", bag=film("8", "0.0005", "50"))
MARBLE = packed("glass", parts=(Part("sphere", (16.0,)),))
TOY = plain(age_grade="5 years", toy=True, fibre="wool", extras=(BAG, MARBLE, packed("wood")))
EN = wording("en")


def blocks(kit: Kit, name: str, say: Wording = EN) -> tuple:
    made: Made = make(replace(kit, accepted={}), (), say)
    return tuple(flat(next(each for each in made.documents if each.name == name).blocks))


def test_all_notes_are_on_the_sheet_once() -> None:
    """Signed notes in boxes, facts in lists; no other box is there."""
    found = blocks(TOY, "instructions")
    boxes = [block for block in found if isinstance(block, Caution)]
    signed = [note for note in notes(TOY) if note.severity != "fact"]
    assert sorted(box.signal.lower() for box in boxes) == sorted(note.severity for note in signed)
    texts = [box.text for box in boxes]
    assert len(set(texts)) == len(texts)
    lists = [item for block in found if isinstance(block, Steps) for item in block.items]
    for id in ("wool", "moth"):
        assert lists.count(EN(f"caution.{id}", wool=True, silk=False)) == 1


def test_the_words_of_the_law_stand_in_bold_and_in_their_size() -> None:
    boxes = {box.text: box for box in blocks(TOY, "instructions") if isinstance(box, Caution)}
    bag = boxes[BAG_RHODE_ISLAND.words]
    assert (bag.signal, bag.severity, bag.points, bag.bold, bag.language) == (
        "WARNING",
        "warning",
        18,
        True,
        "",
    )
    small = boxes[SMALL_PARTS_US.words]
    assert (small.points, small.bold) == (0, True)
    assert [box.text for box in boxes.values() if box.bold and "Small parts." not in box.text] == [bag.text]


def test_the_words_of_the_law_are_english_in_every_language() -> None:
    boxes = [box for box in blocks(TOY, "instructions", brackets()) if isinstance(box, Caution)]
    legal = [box for box in boxes if box.bold]
    assert BAG_RHODE_ISLAND.words in [box.text for box in legal]
    assert {box.language for box in legal} == {"en"} != {LANGUAGE}
    assert {box.language for box in boxes if not box.bold} == {""}


def proof_part(kit: Kit) -> tuple[list[str], list[str], str]:
    """The proof's notes, its lines to check, and the line that closes it."""
    found = blocks(kit, "proof")
    start = next(at for at, block in enumerate(found) if block == Heading(2, EN("proof.notes.heading")))
    lists = [list(block.items) for block in found[start:] if isinstance(block, Steps)]
    (closing,) = [block.text for block in found[start:] if isinstance(block, Paragraph)]
    return lists[0], lists[1] if len(lists) > 1 else [], closing


def test_the_proof_tells_signal_words_sources_and_what_to_check() -> None:
    lines, to_check, closing = proof_part(TOY)
    due = notes(TOY)
    assert len(lines) == len(due)
    for line, note in zip(lines, due, strict=True):
        word = "plain fact" if note.severity == "fact" else note.severity.upper()
        assert line.startswith(f"{word}: ")
        assert note.citation in line
        assert ("maker to check" in line) is note.checked
        assert ("published" in line) is (note.label == "published")
        assert not note.statutory or note.statutory in line
    assert sum("18 points" in line for line in lines) == 1
    assert any("16 CFR 1500.48, 1500.49; published" in line for line in to_check)
    assert any("thing" in line and "maker to check" in line for line in to_check)
    assert any("18 points or more" in line and "Massachusetts" in line for line in to_check)
    assert closing == EN("proof.check")
    assert "qualified adviser or test laboratory" in closing


def test_a_kit_for_adults_has_nothing_more_to_check() -> None:
    assert proof_part(plain())[1] == []


@pytest.mark.parametrize("id", [hazard.id for hazard in HAZARDS if not hazard.statute])
def test_a_note_without_a_sentence_stops_the_build(id: str) -> None:
    """It is told where the sentence belongs."""
    everything = plain(fibre="wool", extras=(BAG, packed("glass", hazards=("magnet", "flame", "sharp edge"))))
    kit = replace(everything, pieces=(piece(use="coaster"),))
    assert id in {note.id for note in notes(kit)}
    with pytest.raises(InputProblems) as caught:
        make(kit, (), brackets(without=f"caution.{id}"))
    (problem,) = caught.value.problems
    assert (problem.code, problem.place.file) == ("KB701", f"{LANGUAGE}.yaml")
    assert f"caution.{id}" in problem.message


def test_what_is_banned_is_not_built() -> None:
    with pytest.raises(InputProblems, match="KB604"):
        make(plain(age_grade="2 years", toy=False), (), EN)


def test_what_is_not_said_is_a_warning_that_can_be_accepted() -> None:
    kit = plain(age_grade="9 years")
    assert "KB605" in {problem.code for problem in make(kit, (), EN).warnings}
    accepted = make(replace(kit, accepted={"KB605": "it is one"}), (), EN)
    assert [problem.code for problem in accepted.accepted] == ["KB605"]


def test_what_a_statute_says_is_told_in_the_language_too() -> None:
    """English words of the law, and beside them the same in the sheet's language."""
    made = make(replace(TOY, accepted={}, house=replace(TOY.house, languages=("en", "fr"))))
    usual, french = (
        [block for block in each.blocks if isinstance(block, Caution)]
        for each in made.documents
        if each.name in ("instructions", "instructions.fr")
    )
    prescribed = [block.text for block in usual if block.bold]
    assert prescribed
    assert [block.text for block in french if block.bold] == prescribed
    assert any("moins de 3 ans" in block.text and not block.language for block in french)
    assert len(french) == len(usual) + len(prescribed)
