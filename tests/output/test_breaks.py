"""Where sections break into pages: last pages are not nearly empty, drawings do not leave white behind."""

from __future__ import annotations

from kitbuild.base.blocks import Block, Figure, Heading, Paragraph, Table
from kitbuild.base.document import SHEETS
from kitbuild.output.pdf_breaks import EMPTY
from kitbuild.output.pdf_flow import Content, stack_height
from kitbuild.output.pdf_pages import lay_out
from kitbuild.output.pdf_settings import neutral_settings
from kitbuild.output.pdf_story import Studio, sections
from kitbuild.output.pdf_style import load_fonts, mm

SHEET = SHEETS["A4"]
LINE = Paragraph("One line of words.")


def shares(*blocks: Block) -> list[float]:
    """How much of each page is filled."""
    with neutral_settings():
        load_fonts()
        pages: list[Content] = lay_out(sections(Studio(), blocks), SHEET)
        width, height = mm(SHEET.frame_width_mm), mm(SHEET.frame_height_mm)
        return [stack_height(page, width) / height for page in pages]


def figure(high_mm: float) -> Figure:
    return Figure("a drawing", 50.0, high_mm, ())


def test_a_page_of_a_few_lines_is_saved_by_closer_ones() -> None:
    fits = next(count for count in range(1, 99) if len(shares(*[LINE] * (count + 1))) == 2)
    assert 36 < fits < 99
    assert len(shares(*[LINE] * fits)) == 1


def test_a_last_page_shares_the_white_of_those_before_it() -> None:
    most = next(count for count in range(1, 99) if len(shares(*[LINE] * (count + 1))) == 2)
    for more in range(1, 12):
        assert shares(*[LINE] * (most + more))[-1] >= EMPTY


def test_a_drawing_leaves_its_words_where_it_would_leave_a_third_of_their_page() -> None:
    first, second = shares(figure(100), Heading(2, "Next"), LINE, figure(180))
    assert first > 100 / SHEET.frame_height_mm + 0.03
    assert second < 190 / SHEET.frame_height_mm


def test_a_heading_is_never_left_alone() -> None:
    first, _ = shares(figure(100), Heading(2, "Next"), figure(180))
    assert first < 104 / SHEET.frame_height_mm


def test_a_table_that_a_page_can_hold_is_cut_only_where_it_would_leave_a_third() -> None:
    table = Table(("a", "b"), tuple((str(at), "words") for at in range(30)), (0.5, 0.5), "ll")
    low, _ = shares(figure(200), table)
    assert low < 204 / SHEET.frame_height_mm
    high, _ = shares(figure(120), table)
    assert high > 200 / SHEET.frame_height_mm
