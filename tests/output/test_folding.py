"""A booklet to fold: pages in folding order, by the rule and on paper; words, titles and bookmarks kept."""

from __future__ import annotations

from dataclasses import replace

import pikepdf
import pypdfium2
import pytest

from kitbuild.base.blocks import Block, Heading, PageBreak, Paragraph
from kitbuild.base.document import HALVES, SHEETS, Press
from kitbuild.output.folding import folding_order
from kitbuild.output.pdf import render_pdf
from tests.figures import rows
from tests.output.reading import open_pdf
from tests.output.sample import document

PAGES = (4, 8, 12, 16, 20)


def leaves(sides: list[tuple[int, int]]) -> list[int]:
    """The pages in reading order of sheets printed on both sides, laid on each other and folded once.

    The outer sheet comes first. Read through, the right halves of the fronts and the left halves of the backs
    come first, from the outer sheet inwards; then the other halves, from the inner sheet outwards.
    """
    fronts, backs = sides[::2], sides[1::2]
    sheets = list(zip(fronts, backs, strict=True))
    inwards = [page for front, back in sheets for page in (front[1], back[0])]
    outwards = [page for front, back in reversed(sheets) for page in (back[1], front[0])]
    return inwards + outwards


@pytest.mark.parametrize("pages", PAGES)
def test_the_outer_sheet_has_the_last_page_and_the_first(pages: int) -> None:
    expected = []
    for sheet in range(pages // 4):
        low, high = 1 + 2 * sheet, pages - 2 * sheet
        expected += [(high, low), (low + 1, high - 1)]
    assert folding_order(pages) == tuple(expected)
    assert expected[:2] == [(pages, 1), (2, pages - 1)]


@pytest.mark.parametrize("pages", PAGES)
def test_folded_sheets_are_read_from_first_to_last(pages: int) -> None:
    assert leaves(list(folding_order(pages))) == list(range(1, pages + 1))


@pytest.mark.parametrize("pages", range(1, 24))
def test_empty_pages_come_last(pages: int) -> None:
    found = leaves(list(folding_order(pages)))
    assert len(found) % 4 == 0
    assert found == [*range(1, pages + 1), *[0] * (len(found) - pages)]
    assert len(found) - pages < 4


def folded(pages: int, paper: str = "A4") -> bytes:
    blocks: list[Block] = []
    for page in range(1, pages + 1):
        blocks += [*[PageBreak()] * (page > 1), Heading(1, f"Leaf {page}"), Paragraph(f"Word{page}end. " * 3)]
    press = Press(folded=SHEETS[paper])
    return render_pdf(replace(document(tuple(blocks)), sheet=HALVES[paper], press=press))


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("pages", [*PAGES, 6])
def test_pages_stand_side_by_side_on_paper(pages: int, paper: str) -> None:
    data = folded(pages, paper)
    found = []
    for side in pypdfium2.PdfDocument(data):
        width, height = side.get_size()
        words = side.get_textpage()
        halves = [words.get_text_bounded(0, 0, width / 2, height)]
        halves.append(words.get_text_bounded(width / 2, 0, width, height))
        found.append(
            tuple(int(half.split("Leaf ")[1].split()[0]) if "Leaf" in half else 0 for half in halves)
        )
        for half, page in zip(halves, found[-1], strict=True):
            assert half.count(f"Word{page}end") == 3 * bool(page)
    assert tuple(found) == folding_order(pages)


@pytest.mark.parametrize(("paper", "name"), [("A4", "A4"), ("Letter", "Letter (ANSI A)")])
def test_the_sheet_is_turned_on_its_side(paper: str, name: str) -> None:
    (size,) = (row for row in rows("paper_sizes.csv") if row["name"] == name)
    for side in pypdfium2.PdfDocument(folded(8, paper)):
        assert side.get_size() == pytest.approx((float(size["h_pt"]), float(size["w_pt"])), abs=0.02)


def test_its_pages_are_half_a_sheet() -> None:
    (a5,) = (row for row in rows("paper_sizes.csv") if row["name"] == "A5")
    assert (HALVES["A4"].width_mm, HALVES["A4"].height_mm) == (float(a5["w_mm"]), float(a5["h_mm"]))
    for paper, half in HALVES.items():
        assert half.height_mm == pytest.approx(SHEETS[paper].width_mm, abs=0.01)
        assert SHEETS[paper].height_mm / 2 - 1 < half.width_mm <= SHEETS[paper].height_mm / 2


def test_title_language_fonts_labels_and_bookmarks_are_kept() -> None:
    pdf = open_pdf(folded(6))
    assert str(pdf.Root.Lang) == document().language
    assert str(pdf.docinfo.Title) == document().title
    fonts = [
        each for each in pdf.objects if isinstance(each, pikepdf.Dictionary) and each.get("/Type") == "/Font"
    ]
    assert fonts
    assert all("/FontFile2" in font.FontDescriptor for font in fonts)
    assert [page.label for page in pdf.pages] == ["1", "2", "6, 3", "4, 5"]
    with pdf.open_outline() as outline:
        assert [item.title for item in outline.root] == [f"Leaf {page}" for page in range(1, 7)]
        places = [pdf.pages.index(pikepdf.Page(item.destination[0])) for item in outline.root]
    assert places == [0, 1, 2, 3, 3, 2]


def test_the_structure_is_read_in_the_order_of_pages() -> None:
    """Each heading is on its side of paper, and they follow each other as they are read."""
    pdf = open_pdf(folded(6))
    numbers = {page.obj.objgen: number for number, page in enumerate(pdf.pages)}
    elements = pdf.Root.StructTreeRoot.K.K
    heads = [numbers[element.Pg.objgen] for element in elements if element.S == "/H1"]
    assert heads == [0, 1, 2, 3, 3, 2]


def test_a_paragraph_over_two_leaves_is_read_in_order() -> None:
    """Page 2 is drawn beside page 7 and before page 3, page 1 beside page 8: marks follow the pages."""
    long = Paragraph("Keep the back tidy and never cross an open bar. " * 400)
    press = Press(folded=SHEETS["A4"])
    pdf = open_pdf(render_pdf(replace(document((long,)), sheet=HALVES["A4"], press=press)))
    numbers = {page.obj.objgen: number for number, page in enumerate(pdf.pages)}
    (element,) = [
        each for each in [pdf.Root.StructTreeRoot.K.K] if not isinstance(each, pikepdf.Array)
    ] or list(pdf.Root.StructTreeRoot.K.K)
    own = numbers[element.Pg.objgen]
    kids = [numbers[kid.Pg.objgen] if isinstance(kid, pikepdf.Dictionary) else own for kid in element.K]
    pages = len(kids)
    assert pages > 4
    order = folding_order(pages)
    sides = [side for side in order if any(side)]
    assert kids == [next(at for at, side in enumerate(sides) if page in side) for page in range(1, pages + 1)]
