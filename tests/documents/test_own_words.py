"""A workshop's own words: single sentences said otherwise, and its own texts in further languages."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from kitbuild.base.document import Document
from kitbuild.base.problem import InputProblems
from kitbuild.build import Made, make
from kitbuild.documents.own_texts import own_texts
from kitbuild.output.pdf import render_pdf
from kitbuild.spec.folder import read_range
from kitbuild.spec.records import Kit
from tests.documents.demo import CODES, kits
from tests.documents.test_wording import ODD
from tests.documents.texts import texts
from tests.output.reading import page_texts
from tests.spec.ranges import copy_kits

Write = Callable[[str], tuple[Kit, tuple]]


@pytest.fixture
def whin(tmp_path: Path) -> Write:
    """WHIN with a file of English words beside the demo range."""

    def read(words: str) -> tuple[Kit, tuple]:
        folder = copy_kits(tmp_path)
        plurals = (folder / "wording-en.yaml").read_text(encoding="utf-8").partition("plurals:")[2]
        (folder / "wording-en.yaml").unlink()
        text = words if "plurals:" in words else f"{words}plurals:{plurals}"
        (folder / "words.yaml").write_text(f"kind: wording\nlanguage: en\n{text}", encoding="utf-8")
        found, problems = read_range(folder)
        assert found is not None, problems
        return next(kit for kit in found.kits if kit.code == "WHIN"), problems

    return read


def said(made: Made, name: str = "instructions") -> list[str]:
    return list(texts(document(made, name)))


def document(made: Made, name: str) -> Document:
    return next(each for each in made.documents if each.name == name)


def problems_of(kit: Kit) -> list[str]:
    with pytest.raises(InputProblems) as caught:
        make(kit)
    return [str(problem) for problem in caught.value.problems]


def test_a_sentence_said_otherwise_stands_everywhere(whin: Write) -> None:
    kit, _ = whin('sentences: {change.twist: "Let it hang, {{ 1 + 1 }} times."}\n')
    usual, made = said(make(kits()["WHIN"])), said(make(kit))
    changed = [(one, other) for one, other in zip(usual, made, strict=True) if one != other]
    assert [other for _, other in changed] == ["Let it hang, 2 times."]


def test_own_texts_are_said_in_the_language(whin: Write) -> None:
    kit, _ = whin('own: {Coaster: Cup mat, Bark: Brown, "Gorse-bank coasters": Four mats}\n')
    made = make(kit)
    words = [text for each in made.documents for text in texts(each)]
    assert any("Cup mat" in text for text in words)
    for old in ("Coaster", "Bark", "Gorse-bank"):
        assert not [text for text in words if old in text]


@pytest.mark.parametrize("text", ODD)
def test_own_words_with_markup_come_out_as_they_are(whin: Write, text: str) -> None:
    quoted = text.replace("'", "''")
    kit, _ = whin(f"own: {{Bark: '{quoted} x', Coaster: 'a | {quoted}'}}\n")
    made = document(make(kit), "instructions")
    words = " ".join(" ".join(page_texts(render_pdf(made))).split())
    assert f"{text} x" in words
    assert f"a | {text}" in words


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (
            "sentences: {care.plastik: x}\n",
            "kits/words.yaml:3:13: KB705 there is no sentence `care.plastik` (did you mean `care.plastic`?)",
        ),
        (
            "sentences: {zzz: x}\n",
            "kits/words.yaml:3:13: KB705 there is no sentence `zzz` (use an id of the catalogue)",
        ),
        (
            'sentences: {change.new: "{{ stitch }}"}\n',
            "kits/words.yaml:3:25: KB702 sentence change.new is not given `stitch` "
            "(it is given `steps` and `stitches`)",
        ),
        (
            'sentences: {change.twist: "{{ nothing }}"}\n',
            "kits/words.yaml:3:27: KB702 sentence change.twist is not given `nothing` "
            "(it is given no values)",
        ),
        (
            'sentences: {change.twist: "{{ 1 / 0 }}"}\n',
            "kits/words.yaml:3:27: KB702 sentence change.twist: division by zero "
            "(use only the values that the sentence is given)",
        ),
    ],
)
def test_a_faulty_sentence_is_told_with_its_place(whin: Write, words: str, told: str) -> None:
    kit, _ = whin(words)
    assert problems_of(kit) == [told]


@pytest.mark.parametrize("text", ["{{ title", "{% if x %}", "{{ ''.__class__ }}", "{{ [].pop() }}"])
def test_a_sentence_cannot_break_out(whin: Write, text: str) -> None:
    kit, _ = whin(f'sentences: {{change.twist: "{text}"}}\n')
    (problem,) = problems_of(kit)
    assert problem.startswith("kits/words.yaml:3:27: KB702 sentence change.twist")


def test_all_faults_of_the_words_are_told_at_once(whin: Write) -> None:
    kit, _ = whin('sentences: {zzz: x, change.new: "{{ a }} {{ b }}", change.twist: "{{ c"}\n')
    assert [line.split()[1] for line in problems_of(kit)] == ["KB705", "KB702", "KB702"]


def test_a_claim_in_the_words_is_refused(tmp_path: Path) -> None:
    folder = copy_kits(tmp_path)
    (folder / "wording-en.yaml").unlink()
    words = 'kind: wording\nlanguage: en\nsentences: {care.plastic: "The wool is non-toxic."}\n'
    (folder / "words.yaml").write_text(words, encoding="utf-8")
    found, problems = read_range(folder)
    assert found is None
    assert [(problem.code, problem.place.line) for problem in problems] == [("KB335", 3)]


def test_texts_without_words_are_told(whin: Write) -> None:
    kit = kits()["WHIN"]
    kit = replace(kit, house=replace(kit.house, languages=("en", "de"), words=()))
    (warning,) = [problem for problem in make(kit).warnings if problem.code == "KB706"]
    assert "of WHIN not said in de: `Gorse-bank coasters`" in warning.message


@pytest.mark.parametrize("code", CODES)
def test_every_own_text_of_the_demo_has_words_in_each_language(code: str) -> None:
    kit = kits()[code]
    words = {each.language: each.own for each in kit.house.words}
    for language in kit.house.languages[1:]:
        assert [text for text in own_texts(kit) if text and text.strip() not in words[language]] == []


def test_an_unknown_language_is_told_at_its_place() -> None:
    kit = kits()["WHIN"]
    kit = replace(kit, house=replace(kit.house, languages=("en", "xx")))
    (line,) = problems_of(kit)
    assert "KB703 no catalogue for language xx" in line
    assert line.startswith("kits/workshop.yaml:")


@pytest.mark.parametrize(
    ("plurals", "told"), [("{}", "2 × skein: "), ("{skein: {other: skeins}}", "2 skeins: ")]
)
def test_the_workshop_says_more_than_one_of_its_units(whin: Write, plurals: str, told: str) -> None:
    each = said(make(whin(f"plurals: {plurals}\n")[0]))
    assert any(text.startswith(told) for text in each)
    assert any(text.startswith("2 needles: ") for text in each)
