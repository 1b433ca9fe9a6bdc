"""Booklet and sheet of every demo kit as pages for the screen: rules of access, all words, whole charts."""

from __future__ import annotations

import re

import pytest

from kitbuild.base.blocks import StitchMarks
from kitbuild.base.document import Document
from kitbuild.output.html import render_html
from tests.documents.brackets import OPEN, brackets
from tests.documents.demo import CODES, branches, every_kit_in, figures, kits, made
from tests.documents.texts import texts
from tests.output.page_check import faults, parsed, text_of
from tests.output.test_html import squeezed, words_in_order

LARGEST = 200_000
"""Bytes that no page of the demo range exceeds."""


@pytest.mark.parametrize("code", CODES)
def test_every_page_keeps_every_rule_and_says_every_word(code: str) -> None:
    for document in made(code).screens:
        page = render_html(document)
        assert faults(page) == [], document.name
        assert len(page) < LARGEST, document.name
        root = parsed(page)
        assert root.get("lang") == document.language
        assert squeezed(text_of(root.find("body/main"))) == squeezed("".join(words_in_order(document.blocks)))
        assert text_of(root.find("body/footer")) == " ".join(document.footer.split())


def test_the_pages_of_all_branches_keep_every_rule() -> None:
    from kitbuild.build import make

    for kit, warnings in branches().values():
        for document in make(kit, warnings).screens[:2]:
            assert faults(render_html(document)) == [], (kit.code, document.name)


def booklet(code: str) -> Document:
    return next(each for each in made(code).screens if each.name == "chart-booklet")


@pytest.mark.parametrize("code", CODES)
def test_a_chart_is_whole_and_its_holes_are_of_a_fair_size(code: str) -> None:
    from kitbuild.pattern.expand import panels

    charts = [
        mark
        for figure in figures(booklet(code))
        for mark in figure.marks
        if isinstance(mark, StitchMarks) and mark.symbols and mark.hole_mm == 4.5
    ]
    for panel in panels(kits()[code]):
        assert [mark for mark in charts if len(mark.x1) == len(panel.stitches)], panel.piece.key


@pytest.mark.parametrize("code", CODES)
def test_nothing_speaks_of_pages_on_a_screen(code: str) -> None:
    """No chart page, no page before, no neighbour: a screen has none of them."""
    said = " ".join(texts(booklet(code)))
    assert not re.findall(r"chart page|page before|page \d|\{page|map of", said)


def test_every_label_of_a_page_comes_from_the_catalogue() -> None:
    for each in every_kit_in(brackets()):
        for document in each.screens:
            guide = document.guide
            assert guide is not None
            for words in (guide.skip, guide.contents, guide.scroll, document.footer, document.title):
                assert words.startswith(OPEN), words
