"""The catalogue alone speaks: nothing is wired in, nothing is missing, nothing is left over."""

from __future__ import annotations

import ast
import re
from calendar import month_name
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from kitbuild.base.glyphs import SYMBOLS, missing
from kitbuild.base.problem import InputProblems, Problem
from kitbuild.build import Made, make
from kitbuild.documents.wording import Wording, languages, read, read_catalogue, wording
from kitbuild.output.pdf import render_pdf
from kitbuild.production.ages import DUTIES
from kitbuild.production.cautions import HAZARDS
from kitbuild.production.statutes import (
    BAG_RHODE_ISLAND,
    SHARP_POINTS,
    SMALL_PARTS,
    SMALL_PARTS_EU,
    SMALL_PARTS_US,
)
from kitbuild.spec.records import Kit
from kitbuild.spec.schema import load_schema
from tests.documents.brackets import CLOSE, LANGUAGE, OPEN, SETTINGS, brackets, sentences
from tests.documents.classes import every_class_in
from tests.documents.demo import branches, every_kit_in, kits
from tests.documents.runs import every_run_in
from tests.documents.texts import texts
from tests.output.reading import open_pdf, page_texts
from tests.production.stores import known

ENGLISH = wording("en").sentences
PACKAGE = Path(__file__).parents[2] / "kitbuild"
ODD = (
    "{page} of {pages}",
    "{{ 7 * 7 }}",
    "{% if x %}",
    "<b>bold</b> & <br/>",
    "100 % {0} {{x}} }",
    "*a* _b_ `c`",
)
"""What a maker might write that a template, a format, or a markup language would take for its own."""


PRINTED = {
    "chart-booklet": ("kit", "about", "piece", "c0", "c1", "c2"),
    "instructions": ("kit", "care", "piece", "c0", "c1", "c2"),
    "pick-list": ("kit", "piece", "c0", "c1", "c2"),
    "cut-list": ("kit", "piece"),
    "proof": ("kit", "piece", "c0"),
}
"""Which of a maker's texts stand in each document."""


@pytest.fixture(scope="module")
def spoken() -> list[Made]:
    """All kits in the invented language."""
    return list(every_kit_in(brackets()))


class Listening(Wording):
    """English that remembers which sentences it said."""

    def __init__(self) -> None:
        self.said: set[str] = set()
        super().__init__("en", Remembering(ENGLISH, self.said), "en.yaml")

    def __call__(self, id: str, /, **values: object) -> str:
        self.said.add(id)
        return super().__call__(id, **values)


class Remembering(dict[str, str]):
    """Sentences that remember which were looked up; `spelled` looks up its numbers here."""

    def __init__(self, sentences: dict[str, str], said: set[str]) -> None:
        super().__init__(sentences)
        self.said = said

    def get(self, id: str, other: str = "") -> str:  # type: ignore[override]
        self.said.add(id)
        return super().get(id, other)


def test_no_sentence_is_left_over() -> None:
    listening = Listening()
    for _ in (*every_kit_in(listening), *every_run_in(listening), *every_class_in(listening)):
        pass
    numbers = {id for id in ENGLISH if id.startswith("number.")}
    assert listening.said & numbers
    symbols = {f"symbol.{name}" for name in SYMBOLS}
    statutes = {id for id in ENGLISH if id.startswith("statute.")}
    crowded = {"fallback.strip"}
    facts = {"shop.gtin", "shop.origin"}  # said in tests/documents/test_shop_facts.py
    editions = {id for id in ENGLISH if id.startswith("edition.")}  # said in tests/build/test_compare.py
    pages = {id for id in ENGLISH if id.startswith("range.")}  # said in tests/build/test_range_page.py
    thread = load_schema("materials")["$defs"]["thread"]["properties"]
    fibres = {f"fibre.{each}" for each in thread["fibre"]["enum"]}
    assert fibres <= set(ENGLISH)
    replacing = {id for id in ENGLISH if id.startswith("replaced.")}  # said in tests/build/test_replaced.py
    elsewhere = numbers | symbols | statutes | crowded | facts | editions | pages | fibres | replacing
    left = sorted(set(ENGLISH) - listening.said - elsewhere)
    assert not left, f"no kit here makes the code say: {', '.join(left)}"


def test_nothing_english_is_wired_into_runs() -> None:
    """In the invented language only ids and what the workshop, its kits and its lists say are left."""
    own = {word for code in ("FERN", "HEATH", "WHIN") for word in _own_words(kits()[code])}
    own |= {
        "w41",
        "A",
        "S-01",
        "old",
        "new",
        "build",
        "FERN",
        "chart-booklet",
        "imposed",
        "pdf",
        "instructions",
        "in",
        "December",
        "A4",
        "ed1-m1-1",
        "ed1-m1-2",
        "m1",
        "WHIN-bundle",
        "North Mill",
        "An afternoon",
        *known(),
    }
    found = [
        (document.name, word, text)
        for documents in (*every_run_in(brackets()), *every_class_in(brackets()))
        for document in documents
        for text in texts(document)
        for word in _words_beside(own, text)
    ]
    assert found == []


def _words_beside(own: set[str], text: str) -> list[str]:
    """Words of a text that are neither ids nor the workshop's own."""
    plain = re.sub(f"{OPEN}.*?{CLOSE}", " ", text).replace("{page}", " ").replace("{pages}", " ")
    for words in sorted(filter(None, own), key=len, reverse=True):
        plain = re.sub(rf"(?<!\w){re.escape(words)}(?!\w)", " ", plain)
    return [word for word in re.findall(r"[^\W\d_]+", plain) if word not in ("mm", "cm", "m", "EUR", "x")]


def test_no_sentence_of_the_code_is_missing() -> None:
    """Each id that the code names in full is there; each that it composes has at least one sentence."""
    asked = sorted(set(_asked()))
    assert len(asked) > 150
    unknown = [pattern for pattern in asked if not any(re.fullmatch(pattern, id) for id in ENGLISH)]
    assert unknown == []


def test_no_sentence_is_out_of_reach_of_the_code() -> None:
    asked = [*_asked(), r".+\.title", r"number\.\d+"]
    dead = [id for id in ENGLISH if not any(re.fullmatch(pattern, id) for pattern in asked)]
    assert not dead, f"the code never asks for: {', '.join(dead)}"


def _asked() -> Iterator[str]:
    """A pattern for each id with which the documents call the catalogue."""
    for path in sorted([*(PACKAGE / "documents").glob("*.py"), PACKAGE / "range_page.py"]):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and _is_say(node.func) and node.args:
                yield from _patterns(node.args[0])


def _is_say(called: ast.expr) -> bool:
    name = called.attr if isinstance(called, ast.Attribute) else getattr(called, "id", "")
    return name in ("say", "speak")


def _patterns(argument: ast.expr) -> Iterator[str]:
    match argument:
        case ast.Constant(value=str(text)):
            yield re.escape(text)
        case ast.JoinedStr(values=parts):
            yield "".join(
                re.escape(str(part.value)) if isinstance(part, ast.Constant) else ".+" for part in parts
            )
        case ast.IfExp(body=one, orelse=other):
            yield from _patterns(one)
            yield from _patterns(other)
        case _:
            pytest.fail(f"an id that no one can look for: {ast.unparse(argument)}")


@pytest.mark.parametrize("language", languages())
def test_every_sentence_parses_and_can_be_printed(language: str) -> None:
    say = wording(language)
    for id, text in say.sentences.items():
        assert say._template(id)
        assert missing(text) == "", id
        assert text.strip(), id


@pytest.mark.parametrize("language", languages())
def test_languages_have_the_same_sentences(language: str) -> None:
    assert set(wording(language).sentences) == set(ENGLISH)


def test_nothing_english_is_wired_in(spoken: list[Made]) -> None:
    """In the invented language only ids, the kits' own words, units and symbols' names are left."""
    found = {
        (document.name, word): text
        for made in spoken
        for document in made.documents
        for text in texts(document)
        for word in _words_left(made.kit, text)
    }
    assert not found, "\n".join(f"{word!r} in {name}: {text}" for (name, word), text in found.items())


def _words_left(kit: Kit, text: str) -> list[str]:
    text = re.sub(f"{OPEN}.*?{CLOSE}", " ", text).replace("{page}", " ").replace("{pages}", " ")
    if re.match(r"\s*\S+\.yaml:\d+:\d+: KB\d+ ", text):
        return []
    for words in sorted(filter(None, _own_words(kit)), key=len, reverse=True):
        text = re.sub(rf"(?<!\w){re.escape(words)}(?!\w)", " ", text)
    return [word for word in re.findall(r"[^\W\d_]+", text) if word not in ("mm", "cm", "m", "in", "EUR")]


def _own_words(kit: Kit) -> Iterator[str]:
    """What a maker wrote: all text of the kit's records and its workshop's, and names chosen from lists."""
    house = kit.house
    yield from (kit.code, kit.title, kit.about, kit.care, kit.age_grade, kit.date)
    yield from (house.name, *house.address, house.contact)
    yield from (channel.title for channel in house.trade.channels)
    if kit.licence:
        yield from (kit.licence.designer, kit.licence.credit)
    for piece in kit.pieces:
        yield from (piece.title, piece.canvas.title, piece.canvas.key, piece.canvas.bin)
        yield from (stock.title for stock in piece.canvas.stock)
        if piece.goes_round:
            yield piece.goes_round.name
    for colour in kit.palette:
        thread = colour.thread
        yield from (colour.name, thread.title, thread.put_up, thread.bin, thread.key)
    for needle in kit.needles:
        yield from (needle.needle.title, needle.needle.bin, needle.needle.key)
    for extra in kit.extras:
        yield from (extra.extra.title, extra.extra.unit, extra.extra.bin, extra.extra.key)
    yield from (house.printed_bin, f"{kit.code}-booklet", f"{kit.code}-sheet")
    yield kit.box.title if kit.box else ""
    for trial in kit.trials:
        yield from (trial.date, trial.by, trial.remarks)
    # keys of test files and their names, which the tester's sheet shows to the maker
    yield from ("kind:", "kit:", "edition:", "piece:", "test", "date:", "by:", "hand:", "minutes:")
    yield "remarks:"
    yield from month_name[1:]
    for piece in kit.pieces:
        yield from (f"{kit.code.lower()}-{piece.key}-test.yaml", piece.key)
    yield from (colour.key for colour in kit.palette)
    # the words of the law, which are printed to the letter, and where rules stand
    for statute in (SMALL_PARTS_US, SMALL_PARTS_EU, BAG_RHODE_ISLAND):
        yield statute.words
    yield from (SMALL_PARTS, SHARP_POINTS)
    yield from (rule.citation for rule in (*HAZARDS, *DUTIES))
    # identifiers that the proof shows to the maker alone
    yield from (note for note in ("small_parts", "sharp_points", "plastic_stubs", "cut_metal", "no_heat"))
    yield from (note for note in ("hot_pans", "bleed", "wool", "moth", "nickel", "magnet", "flame", "glass"))


@pytest.mark.parametrize("language", languages())
def test_every_symbol_has_a_name(language: str) -> None:
    assert {id for id in read(language) if id.startswith("symbol.")} == {f"symbol.{name}" for name in SYMBOLS}


def test_the_language_is_told(spoken: list[Made]) -> None:
    assert {document.language for made in spoken for document in made.documents} == {LANGUAGE}


def test_another_language_prints(spoken: list[Made]) -> None:
    made = next(made for made in spoken if made.kit.code == "FERN")
    for document in made.documents[:5]:
        data = render_pdf(document)
        assert str(open_pdf(data).Root.Lang) == LANGUAGE
        assert f"{OPEN}page.footer{CLOSE}" in page_texts(data)[0]


def problems_of(kit: Kit, say: Wording) -> tuple[Problem, ...]:
    with pytest.raises(InputProblems) as caught:
        make(kit, (), say)
    assert caught.value.exit_code == 1
    return caught.value.problems


@pytest.mark.parametrize(
    "id", ["page.footer", "key.symbol", "finish.flat.2", "caution.bleed", "policy.clean_holes.line"]
)
def test_a_missing_sentence_is_named(id: str) -> None:
    (problem,) = problems_of(kits()["WHIN"], brackets(without=id))
    assert problem.code == "KB701"
    assert problem.place.file == f"{LANGUAGE}.yaml"
    assert f"sentence {id} is missing" in problem.message
    assert LANGUAGE in problem.cure


@pytest.mark.parametrize(
    "text",
    [
        "{{ nothing }}",
        "{{ nothing.at.all }}",
        "{{ title.nothing }}",
        "{{ 1 / 0 }}",
        "{{ title + 1 }}",
        "{{ title",
        "{% if title %}",
        "{{ ''.__class__.__mro__ }}",
        "{{ title | no_such_filter }}",
        "{{ length(title) }}",
        "{{ '%d' % title }}",
        "{{ [].pop() }}",
        "{{ length(nothing) }}",
        "{{ {}['x'] }}",
        "{{ title.format.__globals__ }}",
    ],
)
def test_a_sentence_that_cannot_be_spoken_is_named(text: str) -> None:
    (problem,) = problems_of(kits()["WHIN"], brackets(**{"booklet.title": text}))
    assert problem.code == "KB702"
    assert "sentence booklet.title" in problem.message
    assert "\n" not in str(problem)


@pytest.mark.parametrize("text", ODD)
def test_what_the_maker_writes_comes_out_as_it_is(text: str) -> None:
    kit = _called(kits()["FERN"], text)
    for document in (each for each in make(kit).documents if each.name in PRINTED):
        data = render_pdf(document)
        assert document.title.startswith(f"{text} ")
        words = " ".join(" ".join(page_texts(data)).split())
        for name in PRINTED[document.name]:
            assert f"{text} {name}" in words, (document.name, name)
        foot = " ".join(page_texts(data)[-1].split())
        pages = len(page_texts(data))
        assert f"{document.title} · page {pages} of {pages}" in foot
        assert str(open_pdf(data).docinfo.Title) == document.title


def _called(kit: Kit, text: str) -> Kit:
    """A kit whose every free text says `text`, with a word to tell them apart."""
    piece = replace(kit.pieces[0], title=f"{text} piece")
    palette = tuple(replace(colour, name=f"{text} c{at}") for at, colour in enumerate(kit.palette))
    return replace(
        kit, title=f"{text} kit", about=f"{text} about", care=f"{text} care", pieces=(piece,), palette=palette
    )


def test_a_catalogue_keeps_every_value_as_text() -> None:
    assert read_catalogue('"yes": yes\nnumber.2: 010\na: "{{ x }}"\n') == {
        "yes": "yes",
        "number.2": "010",
        "a": "{{ x }}",
    }


def test_the_invented_language_says_every_sentence() -> None:
    assert set(sentences()) == set(ENGLISH)
    assert all(text.startswith(OPEN) or id in SETTINGS for id, text in sentences().items())


def test_small_numbers_are_spelled() -> None:
    said = {"a": "{{ spelled(n) }} {{ count(n, 'hole', 'holes') }}", "number.2": "two"}
    say = Wording("en", said, "en.yaml")
    assert [say("a", n=n) for n in (1, 2, 11)] == ["1 1 hole", "two 2 holes", "11 11 holes"]


def test_counted_nouns_agree() -> None:
    """No document says `1 holes`; every count of one has its noun in the singular."""
    nouns = "holes|columns|bars|stitches|rows|hole rows|groups|copies|blanks|sheets|pieces|lines|pages"
    plural = re.compile(rf"(?<![\d.,] )(?<![\d.,])(?<!\+ )\b1 (bare |empty )?({nouns})\b")
    found = {
        f"{made.kit.code} {document.name}: {text[max(0, match.start() - 20) : match.end() + 10]}"
        for made in every_kit_in(wording("en"))
        for document in made.documents
        for text in texts(document)
        if (match := plural.search(text))
    }
    assert not found, "\n".join(sorted(found))


def test_sentences_have_no_space_at_their_ends() -> None:
    loose = {
        (document.name, text)
        for kit, _ in branches().values()
        for document in make(kit).documents
        for text in texts(document)
        if text != text.strip() or "  " in text.replace("   ", "")
    }
    assert loose == set()
