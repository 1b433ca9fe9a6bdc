"""The demo range on paper, read back: pages, words, margins, fonts, stitches in their colours and places."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

import numpy as np
import pikepdf
import pypdfium2
import pytest

from kitbuild.base.blocks import Figure, Heading, LineMarks, PolygonMark, StitchMarks, TextMark
from kitbuild.base.document import Document
from kitbuild.output.pdf import render_pdf
from tests.documents.demo import CODES, document, figures, flat, kits, made
from tests.documents.golden import PAGES
from tests.output.reading import POINTS_PER_MM, open_pdf, page_texts, picture

NAMES = ("chart-booklet", "instructions", "pick-list", "cut-list", "proof")
EACH = [(code, name + suffix) for code in CODES for name in NAMES for suffix in ("", ".letter")]
EACH += [(code, f"instructions{variant}") for code in CODES for variant in (".fr", ".de", ".left")]
SCALE = 5.0


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


COLOURED = [
    ("FERN", "chart-booklet"),
    ("FERN", "chart-booklet.letter"),
    ("WHIN", "chart-booklet"),
    ("WHIN", "chart-booklet.letter"),
    ("HEATH", "chart-booklet"),
    ("CAIRN", "chart-booklet"),
    ("ROWAN", "chart-booklet"),
    ("WINDS", "chart-booklet"),
]


@pytest.mark.parametrize(("code", "name"), COLOURED)
def test_stitches_on_paper_have_their_colours_in_their_places(code: str, name: str) -> None:
    each, data = document(code, name), printed(code, name)
    shown = [
        (figure, place)
        for figure, place in zip(figures(each), placed(data), strict=True)
        if figure.alt.startswith("Chart of")
    ]
    pages = {place[1] for _, place in shown}
    chosen = {max(pages)} if code == "HEATH" else pages
    sampled = sum(
        colours_are_right(code, figure, data, place) for figure, place in shown if place[1] in chosen
    )
    assert sampled > 300


def colours_are_right(
    code: str, figure: Figure, data: bytes, place: tuple[str, int, float, float, float, float]
) -> int:
    """Compare two points of each stitch with the palette; how many were compared."""
    _, page, left, top, _, _ = place
    image = picture(data, page, SCALE)
    (mark,) = (mark for mark in figure.marks if isinstance(mark, StitchMarks))
    x, y, colour = sample_points(figure, mark)
    across = np.rint((left + x) * POINTS_PER_MM * SCALE).astype(int)
    below = np.rint((top + y) * POINTS_PER_MM * SCALE).astype(int)
    palette = np.array([each.rgb for each in kits()[code].palette])
    off = np.abs(image[below, across].astype(int) - palette[colour]).max(axis=1)
    wrong = np.flatnonzero(off > 6)
    assert not len(wrong), [(float(x[at]), float(y[at]), image[below[at], across[at]]) for at in wrong[:5]]
    return len(x)


def sample_points(figure: Figure, mark: StitchMarks) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Points within stitches (mm in the figure) away from symbols, outlines, frames and the clip's edge."""
    assert mark.clip_mm is not None
    assert mark.symbol_y is not None
    assert mark.symbol_x is not None
    wide, high = mark.x2 - mark.x1, mark.y2 - mark.y1
    symbol_x, symbol_y = (np.nan_to_num(each, nan=-99.0) for each in (mark.symbol_x, mark.symbol_y))
    points = []
    for share in (0.16, 0.3, 0.7, 0.84):
        at_x, at_y = mark.x1 + wide * share, mark.y1 + high * share
        clear = (np.hypot(at_x - symbol_x, at_y - symbol_y) > 0.36) & (
            min(share, 1 - share) * (np.abs(wide) + np.abs(high)) >= 0.15
        )
        points.append(np.column_stack([at_x, at_y, mark.colour])[clear])
    holes = np.concatenate(points)
    x = holes[:, 0] * mark.hole_mm + mark.origin_mm[0]
    y = holes[:, 1] * mark.hole_mm + mark.origin_mm[1]
    left, top, wide, high = mark.clip_mm
    keep = (x > left + 0.3) & (x < left + wide - 0.3) & (y > top + 0.3) & (y < top + high - 0.3)
    for frame in figure.marks:
        if isinstance(frame, PolygonMark) and frame.fill is None:
            xs, ys = zip(*frame.points_mm, strict=True)
            near = 0.8
            inside = (x > min(xs) - near) & (x < max(xs) + near) & (y > min(ys) - near) & (y < max(ys) + near)
            keep &= ~inside
        if isinstance(frame, TextMark):
            reach = len(frame.text) * frame.size_pt * 0.3 * 25.4 / 72 + 0.3
            keep &= ~((np.abs(x - frame.x_mm) < reach) & (np.abs(y - frame.y_mm + 1) < 2))
    later = figure.marks[figure.marks.index(mark) + 1 :]
    for lines in (each for each in later if isinstance(each, LineMarks)):
        keep &= _distance(x, y, lines.ends_mm) > lines.pen_mm / 2 + 0.25
    return x[keep], y[keep], holes[keep, 2].astype(int)


def _distance(x: np.ndarray, y: np.ndarray, ends: np.ndarray) -> np.ndarray:
    """From each point to the nearest of the lines, in mm."""
    x1, y1, x2, y2 = ends.T
    dx, dy = x2 - x1, y2 - y1
    along = ((x[:, None] - x1) * dx + (y[:, None] - y1) * dy) / np.maximum(dx * dx + dy * dy, 1e-9)
    share = np.clip(along, 0, 1)
    return np.hypot(x1 + share * dx - x[:, None], y1 + share * dy - y[:, None]).min(axis=1)


def test_every_symbol_of_the_key_is_on_the_charts() -> None:
    """The symbol alone tells the thread: its ink differs from the bar's, in the middle of each stitch."""
    each: Document = document("WHIN", "chart-booklet")
    data = printed("WHIN", "chart-booklet")
    figure, place = list(zip(figures(each), placed(data), strict=True))[-1]
    (mark,) = (mark for mark in figure.marks if isinstance(mark, StitchMarks))
    image = picture(data, place[1], SCALE)
    assert mark.symbol_x is not None
    assert mark.symbol_y is not None
    reach = round(0.34 * mark.hole_mm * POINTS_PER_MM * SCALE)
    for x, y, colour in zip(
        mark.symbol_x.tolist(), mark.symbol_y.tolist(), mark.colour.tolist(), strict=True
    ):
        across = round((place[2] + mark.origin_mm[0] + x * mark.hole_mm) * POINTS_PER_MM * SCALE)
        below = round((place[3] + mark.origin_mm[1] + y * mark.hole_mm) * POINTS_PER_MM * SCALE)
        spot = image[below - reach : below + reach, across - reach : across + reach].astype(int)
        off = np.abs(spot - np.array(mark.inks[colour].rgb)).max(axis=2)
        assert (off > 60).mean() > 0.08
