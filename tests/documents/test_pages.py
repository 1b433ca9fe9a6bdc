"""The demo range on paper, read back: pages, words, margins, fonts, figures."""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal
from functools import cache

import numpy as np
import pikepdf
import pypdfium2
import pytest

from kitbuild.base.blocks import Heading
from kitbuild.output.pdf import render_pdf
from tests.documents.demo import CODES, document, figures, flat, made
from tests.documents.golden import PAGES
from tests.output.reading import POINTS_PER_MM, open_pdf, page_texts, picture

NAMES = ("chart-booklet", "instructions", "pick-list", "cut-list", "proof")
EACH = [(code, name + suffix) for code in CODES for name in NAMES for suffix in ("", ".letter")]
EACH += [(code, f"instructions{variant}") for code in CODES for variant in (".fr", ".de", ".left")]
SCALE = 5.0
NUMBERS = {"cm": 6, "re": 4, "m": 2, "l": 2, "c": 6, "w": 1, "rg": 3, "RG": 3, "g": 1, "G": 1}
NUMBERS |= {"Td": 2, "Tm": 6, "TL": 1, "J": 1, "j": 1, "Tr": 1, "Tw": 1, "M": 1}
OTHERS = frozenset(("q", "Q", "h", "n", "W", "f", "S", "B", "BT", "ET", "Tf", "Tj", "T*", "Do", "d", "gs"))
OTHERS |= {"BDC", "BMC", "EMC", "f*", "B*"}
"""Operators of ISO 32000-1, annex A: those that take so many numbers and nothing else, and others in use."""


@cache
def printed(code: str, name: str) -> bytes:
    return render_pdf(document(code, name))


@pytest.mark.parametrize(("code", "name"), EACH)
def test_pages_are_as_many_as_expected_and_each_says_what_it_is(code: str, name: str) -> None:
    pages = page_texts(printed(code, name))
    each = document(code, name)
    kept = dict(line.split() for line in PAGES.read_text(encoding="utf-8").splitlines())
    assert len(pages) == int(kept[f"{code}/{name}"])
    for number, text in enumerate(pages, start=1):
        words = " ".join(text.split())
        foot = " ".join(each.footer.format(page=number, pages=len(pages)).split())
        assert foot in words
        assert foot.startswith(code)
        assert len(words) > 100


@pytest.mark.parametrize(("code", "name"), EACH)
def test_no_words_and_no_ink_stand_in_the_margins(code: str, name: str) -> None:
    sheet, data = document(code, name).sheet, printed(code, name)
    for number, page in enumerate(pypdfium2.PdfDocument(data)):
        assert page.get_size() == pytest.approx(
            (sheet.width_mm * POINTS_PER_MM, sheet.height_mm * POINTS_PER_MM), abs=0.02
        )
        words = page.get_textpage()
        for at in range(words.count_rects()):
            left, bottom, right, top = (side / POINTS_PER_MM for side in words.get_rect(at))
            text = words.get_text_bounded(*words.get_rect(at))
            assert left >= sheet.margin_mm - 0.3, text
            assert right <= sheet.width_mm - sheet.margin_mm + 0.3, text
            assert top <= sheet.height_mm - sheet.margin_mm + 0.3, text
            assert bottom >= sheet.margin_mm - 0.3, text
        ink = np.argwhere((picture(data, number, 2.0) < 235).any(axis=2)) / 2 / POINTS_PER_MM
        assert ink.min() >= sheet.margin_mm - 0.6
        assert ink[:, 1].max() <= sheet.width_mm - sheet.margin_mm + 0.6
        assert ink[:, 0].max() <= sheet.height_mm - sheet.margin_mm + 0.6


@pytest.mark.parametrize(("code", "name"), EACH)
def test_pages_hold_nothing_but_operators_with_their_numbers(code: str, name: str) -> None:
    for page in open_pdf(printed(code, name)).pages:
        for operands, operator in pikepdf.parse_content_stream(page):
            word = str(operator)
            if word in NUMBERS:
                values = [float(each) for each in operands if isinstance(each, int | float | Decimal)]
                assert len(values) == len(operands) == NUMBERS[word], (word, operands)
            else:
                assert word in OTHERS, (word, operands)


@pytest.mark.parametrize(("code", "name"), EACH)
def test_the_file_knows_its_language_title_headings_and_fonts(code: str, name: str) -> None:
    pdf, each = open_pdf(printed(code, name)), document(code, name)
    assert str(pdf.Root.Lang) == each.language
    assert str(pdf.docinfo.Title) == each.title
    assert str(pdf.docinfo.Author) == made(code).kit.house.name
    assert bool(pdf.Root.MarkInfo.Marked)
    with pdf.open_outline() as outline:
        found = [
            title for item in outline.root for title in (item.title, *(kid.title for kid in item.children))
        ]
    assert found == [
        block.text for block in flat(each.blocks) if isinstance(block, Heading) and block.level < 3
    ]
    fonts = [e for e in pdf.objects if isinstance(e, pikepdf.Dictionary) and e.get("/Type") == "/Font"]
    assert fonts
    assert all("/FontFile2" in font.FontDescriptor for font in fonts)
    assert all("DejaVuSans" in str(font.BaseFont) for font in fonts)


@pytest.mark.parametrize(("code", "name"), EACH)
def test_every_figure_is_told_in_words_and_lies_on_its_page(code: str, name: str) -> None:
    found = list(placed(printed(code, name)))
    wanted = figures(document(code, name))
    assert [alt for alt, *_ in found] == [figure.alt for figure in wanted]
    for (_, _, left, top, right, bottom), figure in zip(found, wanted, strict=True):
        assert right - left == pytest.approx(figure.width_mm, abs=0.02)
        assert bottom - top == pytest.approx(figure.height_mm, abs=0.02)


def placed(data: bytes) -> Iterator[tuple[str, int, float, float, float, float]]:
    """Each figure in reading order: its words, page from 0, and left, top, right, bottom in mm from above."""
    pdf = open_pdf(data)
    pages = {page.obj.objgen: (number, page) for number, page in enumerate(pdf.pages)}

    def walk(element: pikepdf.Object) -> Iterator[tuple[str, int, float, float, float, float]]:
        if element.get("/S") == "/Figure":
            number, page = pages[element.Pg.objgen]
            left, bottom, right, top = (float(side) / POINTS_PER_MM for side in element.A.BBox)
            high = float(page.mediabox[3]) / POINTS_PER_MM
            yield str(element.Alt), number, left, high - top, right, high - bottom
        kids = element.get("/K", pikepdf.Array())
        for kid in kids if isinstance(kids, pikepdf.Array) else [kids]:
            if isinstance(kid, pikepdf.Dictionary) and kid.get("/Type") != "/MCR":
                yield from walk(kid)

    yield from walk(pdf.Root.StructTreeRoot)


@pytest.mark.parametrize("name", ["chart-booklet", "instructions", "instructions.fr", "instructions.de"])
@pytest.mark.parametrize("code", CODES)
def test_who_hears_a_figure_is_not_told_the_same_by_its_caption(code: str, name: str) -> None:
    """An alternative says something, in no more than 450 letters; its caption repeats half at most."""
    for figure in figures(document(code, name)):
        told, below = (set(re.findall(r"\w{3,}", text.lower())) for text in (figure.alt, figure.caption))
        assert 20 < len(figure.alt) <= 450
        assert len(told & below) <= 0.5 * len(told), figure.alt
