"""Every stitch of every chart of the demo range, found again in the pixels of its page.

Each check is shown to fail: a stitch moved, two symbols exchanged, a font left out, words over words.
"""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import numpy as np
import pypdfium2
import pytest

from kitbuild.base.blocks import Figure, Paragraph, TextMark
from kitbuild.base.colour import WHITE, ink_on
from kitbuild.base.document import SHEETS, Document
from kitbuild.documents import chart_pages
from kitbuild.documents.booklet import booklet
from kitbuild.documents.window import Window
from kitbuild.output.pdf import render_pdf
from kitbuild.pattern.panel import Stitches
from tests.documents import pixels, raster
from tests.documents.demo import CODES, figures
from tests.documents.jobs import job_of
from tests.documents.raster import Shown
from tests.documents.test_pages import placed
from tests.output.fonts import wrong_fonts, wrong_glyphs
from tests.output.reading import picture
from tests.output.sample import document as sample

SCALE, SEEN_SCALE = 4.0, 3.0
EACH = [(code, "A4") for code in CODES] + [(code, "Letter") for code in ("FERN", "WHIN")]
MATRICES = Path(__file__).parents[1] / "figures" / "colour_vision.csv"


@dataclass(frozen=True, eq=False)
class Page:
    """A page of charts: its number from 0 and the charts on it."""

    number: int
    charts: tuple[Shown, ...]


@dataclass(frozen=True, eq=False)
class Printed:
    """A booklet as a file, with the charts that its pages show."""

    booklet: Document
    data: bytes
    pages: tuple[Page, ...]


@cache
def printed(code: str, paper: str) -> Printed:
    """A demo kit's booklet; the window of each chart is noted while it is made."""
    job = replace(job_of(code), sheet=SHEETS[paper])
    windows: dict[str, tuple[Figure, Window, Stitches]] = {}
    plain = chart_pages.chart

    def noted(alt: str, window: Window, stitches: Stitches, *rest: object, **more: object) -> Figure:
        figure = plain(alt, window, stitches, *rest, **more)
        windows[alt] = (figure, window, stitches)
        return figure

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(chart_pages, "chart", noted)
        made = booklet(job)
    data = render_pdf(made)
    signs = tuple(ink_on(ink.rgb) for ink in job.inks)
    found: dict[int, list[Shown]] = {}
    for figure, (_, page, left, top, *_) in zip(figures(made), placed(data), strict=True):
        if figure.alt in windows:
            _, window, work = windows[figure.alt]
            corner = raster.grid_corner(left, top, window)
            found.setdefault(page, []).append(Shown(*corner, window, work, job.inks, signs))
    return Printed(made, data, tuple(Page(number, tuple(charts)) for number, charts in found.items()))


def charts(code: str, paper: str, scale: float = SCALE) -> Iterator[tuple[np.ndarray, Shown]]:
    """Each chart of a booklet with the picture of its page."""
    each = printed(code, paper)
    for page in each.pages:
        image = picture(each.data, page.number, scale)
        for shown in page.charts:
            yield image, shown


@pytest.mark.parametrize(("code", "paper"), EACH)
def test_every_stitch_has_its_colour_and_its_symbol_at_its_place(code: str, paper: str) -> None:
    read = 0
    for image, shown in charts(code, paper):
        assert raster.wrong_colours(image, SCALE, shown) == []
        assert raster.wrong_symbols(image, SCALE, shown) == []
        read += int(raster.visible(shown).symbol.sum())
    assert read > 80


@pytest.mark.parametrize(("code", "paper"), EACH)
def test_the_pages_together_show_every_stitch_of_every_piece(code: str, paper: str) -> None:
    seen: dict[int, set[int]] = {}
    work = {id(panel.stitches): panel.stitches for panel in (each.panel for each in pieces(code))}
    for page in printed(code, paper).pages:
        for shown in page.charts:
            parts = raster.visible(shown)
            seen.setdefault(id(shown.stitches), set()).update(parts.at[parts.symbol].tolist())
    for key, stitches in work.items():
        assert len(seen[key]) == len(stitches)


def pieces(code: str) -> tuple:
    return job_of(code).amounts.pieces


@pytest.mark.parametrize(("code", "paper"), EACH)
def test_pages_keep_to_their_margins_fonts_and_glyphs_and_no_words_meet(code: str, paper: str) -> None:
    each = printed(code, paper)
    assert wrong_fonts(each.data) == []
    assert wrong_glyphs(each.data) == []
    for number, boxes in enumerate(text_boxes(each.data)):
        assert pixels.outside(picture(each.data, number, 2.0), 2.0, each.booklet.sheet) == []
        assert pixels.overlapping(boxes) == []


def text_boxes(data: bytes) -> Iterator[list[tuple[float, float, float, float]]]:
    """The boxes of the words of each page: left, bottom, right, top in points."""
    for page in pypdfium2.PdfDocument(data):
        words = page.get_textpage()
        yield [words.get_rect(at) for at in range(words.count_rects())]


@cache
def sights() -> dict[str, np.ndarray]:
    """Greyscale, and each deficiency at full severity, as matrices over linear light."""
    rows = csv.reader(line for line in MATRICES.read_text("utf-8").splitlines() if not line.startswith("#"))
    full = {row[0]: np.array(row[2:11], dtype=float).reshape(3, 3) for row in rows if row[1] == "1.0"}
    return {"grey": np.tile(pixels.LUMINANCE, (3, 1))} | full


@pytest.mark.parametrize(("code", "paper"), EACH)
def test_neighbours_are_told_apart_by_their_symbols_however_colours_are_seen(code: str, paper: str) -> None:
    assert set(sights()) == {"grey", "protan", "deutan", "tritan"}
    for image, shown in charts(code, paper, SEEN_SCALE):
        pairs = raster.beside(shown)
        assert len(pairs) >= raster.visible(shown).symbol.sum() - 1
        assert raster.unreadable(image, SEEN_SCALE, shown) == []
        for name, matrix in sights().items():
            faded, seen = pixels.seen_through(image, matrix), shown.seen_through(matrix)
            assert raster.unreadable(faded, SEEN_SCALE, seen) == [], name
            assert raster.same_beside(faded, SEEN_SCALE, seen, pairs) == []


def whin() -> tuple[np.ndarray, Shown]:
    """The last chart of a small kit."""
    return list(charts("WHIN", "A4"))[-1]


def moved(shown: Shown) -> Shown:
    """The chart's work with one stitch that stands elsewhere."""
    work = shown.stitches
    steps = np.arange(len(work)) == len(work) // 2
    return replace(shown, stitches=replace(work, y1=work.y1 + steps, y2=work.y2 + steps))


def exchanged(shown: Shown) -> Shown:
    """The chart's inks with the symbols of the first two exchanged."""
    one, other, *rest = shown.inks
    return replace(shown, inks=(replace(one, symbol=other.symbol), replace(other, symbol=one.symbol), *rest))


def recoloured(shown: Shown) -> Shown:
    """The chart's work with one stitch of another colour."""
    work = shown.stitches
    colour = work.colour.copy()
    colour[0] = (colour[0] + 1) % len(shown.inks)
    return replace(shown, stitches=replace(work, colour=colour))


def test_a_stitch_in_another_place_or_colour_is_found() -> None:
    image, shown = whin()
    assert raster.wrong_symbols(image, SCALE, moved(shown))
    assert len(raster.wrong_colours(image, SCALE, recoloured(shown))) == 1
    assert len(raster.wrong_symbols(image, SCALE, recoloured(shown))) == 1


def test_exchanged_symbols_are_found_at_every_stitch_that_bears_them() -> None:
    image, shown = whin()
    parts = raster.visible(shown)
    found = raster.wrong_symbols(image, SCALE, exchanged(shown))
    assert len(found) == np.count_nonzero(parts.symbol & (parts.colour < 2)) > 50


def test_a_symbol_for_two_colours_and_one_that_is_hard_to_read_are_found() -> None:
    image, shown = whin()
    same = tuple(replace(ink, symbol=shown.inks[0].symbol) for ink in shown.inks)
    assert raster.same_beside(image, SCALE, replace(shown, inks=same), raster.beside(shown))
    pale = (image // 4 + 190).astype(np.uint8)
    assert raster.unreadable(pale, SCALE, shown)


def test_ink_in_the_margin_and_words_over_words_are_found() -> None:
    each = printed("WHIN", "A4")
    image = picture(each.data, 0, 2.0).copy()
    image[300:304, 20:40] = 0
    assert pixels.outside(image, 2.0, each.booklet.sheet) == ["left"]
    twice = Figure("twice", 60, 20, (TextMark(2, 10, "one word"), TextMark(5, 10.5, "another")))
    (boxes,) = text_boxes(render_pdf(sample((twice,))))
    assert pixels.overlapping(boxes)


@pytest.mark.parametrize(("text", "check"), [("plain", wrong_fonts), ("漢", wrong_glyphs)])
def test_a_font_left_out_and_a_glyph_box_are_found(text: str, check: Callable[[bytes], list[str]]) -> None:
    data = render_pdf(sample((Paragraph(text),)))
    if check is wrong_fonts:
        assert check(data) == []
        data = data.replace(b"/FontFile2", b"/FontFileX")
    assert check(data)


def test_a_matrix_leaves_black_white_and_what_is_grey_as_they_are() -> None:
    greys = np.array([(0, 0, 0), WHITE, (128, 128, 128)], dtype=np.uint8)
    for matrix in sights().values():
        assert (np.abs(pixels.seen_through(greys, matrix).astype(int) - greys) <= 1).all()
