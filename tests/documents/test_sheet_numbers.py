"""Every number on the instruction sheet comes from the model: one input changes just its sentences."""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable
from dataclasses import replace

import pytest

from kitbuild import build
from kitbuild.build import make
from kitbuild.documents.instructions import instructions
from kitbuild.documents.wording import Wording, read
from kitbuild.spec.records import Kit
from tests.documents.demo import CODES, kits
from tests.documents.texts import texts

Said = dict[str, list[str]]
Change = Callable[[Kit], Kit]


class Recording(Wording):
    """English that remembers each sentence and what it said."""

    def __init__(self) -> None:
        super().__init__("en", read("en"), "en.yaml")
        self.said: Said = {}

    def __call__(self, id: str, /, **values: object) -> str:
        text = super().__call__(id, **values)
        self.said.setdefault(id, []).append(text)
        return text


def said(kit: Kit, monkeypatch: pytest.MonkeyPatch) -> Said:
    """The sentences of a kit's instruction sheet on its first paper."""
    monkeypatch.setattr(build, "CUSTOMERS", (instructions,))
    monkeypatch.setattr(build, "SHOPS", ())
    monkeypatch.setattr("kitbuild.documents.shop_facts.facts", lambda _: iter(()))
    kit = replace(kit, house=replace(kit.house, papers=("A4",), editions=()))
    recording = Recording()
    make(kit, (), recording)
    return recording.said


def thread(**rules: object) -> Change:
    return lambda kit: replace(
        kit,
        house=replace(kit.house, thread=replace(kit.house.thread, **rules)),  # type: ignore[arg-type]
    )


def piece(**changed: object) -> Change:
    return lambda kit: replace(
        kit,
        pieces=(replace(kit.pieces[0], **changed), *kit.pieces[1:]),  # type: ignore[arg-type]
        trials=(),
    )


def finish(**changed: object) -> Change:
    return lambda kit: piece(finish=replace(kit.pieces[0].finish, **changed))(kit)  # type: ignore[arg-type]


def colour_called(name: str) -> Change:
    return lambda kit: replace(kit, palette=(replace(kit.palette[0], name=name), *kit.palette[1:]))


def house(**changed: object) -> Change:
    return lambda kit: replace(kit, house=replace(kit.house, **changed))  # type: ignore[arg-type]


FOOT = {"page.footer", "screen.footer", "instructions.title"}
EDITION = {"page.footer", "screen.footer", "cover.edition", "pick.booklet", "pick.sheet", "contents.item"}
EDITION |= {"pick.lead", "pick.watch.edition", "pick.order.printed", "cut.lead"}
PICTURE = {"fact.piece", "picture.alt"}
"""What the shop's picture says of itself."""
CASES: dict[str, tuple[Change, set[str]]] = {
    "tail": (thread(start_tail_mm=60.0), {"begin.tail", "exercise.tail"}),
    "hands' end": (thread(held_mm=70.0), {"change.end"}),
    "least remainder": (thread(least_remainder_mm=250.0), {"rows.end"}),
    "contact": (house(contact="ask@case.example"), {"contents.text", "trouble.short.cure", "closing"}),
    "workshop": (house(name="Case room"), {"closing"}),
    "corner": (
        finish(corner=2),
        {"finish.flat.1", "finish.flat.2", "diagram.edge.alt"},
    ),
    "copies": (
        piece(copies=3),
        {"canvas.check.plastic", "order.caption", "finish.copies", *PICTURE},
    ),
    "title": (lambda kit: replace(kit, title="Case coasters"), FOOT),
    "edition": (lambda kit: replace(kit, edition=2, trials=()), EDITION),
    "care": (lambda kit: replace(kit, care="Shake it."), set()),
    "colour": (
        colour_called("Brown"),
        {
            "begin.tail",
            "needle.cut",
            "exercise.where",
            "diagram.sharing.caption",
            "finish.flat.1",
            "question.edge.answer",
        },
    ),
    "piece": (
        piece(title="Cup mat"),
        {
            "canvas.check.plastic",
            "exercise.where",
            "order.caption",
            "finish.copies",
            "pick.canvas",
            "contents.item",
            *PICTURE,
        },
    ),
}
PACKING = {"contents.item", "pick.canvas", "unit.canvas"}
"""The box's own list follows what is packed."""


@pytest.mark.parametrize("name", CASES)
def test_one_input_changes_its_own_sentences_and_no_others(
    name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    change, expected = CASES[name]
    before = replace(kits()["WHIN"], trials=())
    one, other = said(before, monkeypatch), said(change(before), monkeypatch)
    changed = {id for id in one.keys() | other.keys() if one.get(id) != other.get(id)}
    beside = {id for id in changed if id.startswith(("shop.", "made_up."))}
    assert changed - PACKING - beside == expected - PACKING


def test_the_length_of_a_needleful_changes_what_it_must(monkeypatch: pytest.MonkeyPatch) -> None:
    """More needlefuls to count, another length to cut; words of the canvas and the line stay."""
    before = replace(kits()["WHIN"], trials=())
    one = said(before, monkeypatch)
    other = said(thread(needleful_mm=600.0)(before), monkeypatch)
    changed = {id for id in one.keys() | other.keys() if one.get(id) != other.get(id)}
    assert "needle.cut" in changed
    assert not [id for id in changed if id.startswith(("canvas.", "begin.", "line.", "start.", "finish."))]


@pytest.mark.parametrize("code", CODES)
def test_no_number_is_written_into_the_sentences(code: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """A number in a sentence is inserted: the catalogue itself holds none but a few small whole ones."""
    for id in said(kits()[code], monkeypatch):
        plain = re.sub(r"\{\{.*?\}\}|\{%.*?%\}", " ", read("en")[id])
        numbers = set(re.findall(r"\d+", plain))
        assert numbers <= {"0", "1", "2", "3", "4"}, (id, numbers)


@pytest.mark.parametrize("code", CODES)
def test_the_sheet_says_nothing_twice_in_a_row(code: str) -> None:
    made = make(kits()[code])
    document = next(each for each in made.documents if each.name == "instructions")
    words = [text for text in texts(document) if len(text) > 60]
    assert not [text for text, other in itertools.pairwise(words) if text == other]
