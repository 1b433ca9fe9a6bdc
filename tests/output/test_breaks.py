"""Where sections break into pages: last pages are not nearly empty, drawings do not leave white behind."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from kitbuild.base.blocks import Block, Figure, Heading, Paragraph, Steps, Table
from kitbuild.base.document import SHEETS
from kitbuild.output.pdf_breaks import EMPTY, FOOT
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


BLOCKS = st.one_of(
    st.builds(Paragraph, st.integers(1, 90).map(lambda words: "words " * words)),
    st.builds(Heading, st.just(2), st.just("A heading")),
    st.builds(lambda items: Steps(("Something to do, and how. " * 4,) * items), st.integers(1, 12)),
    st.floats(4, 240).map(lambda high: figure(high)),
    st.integers(1, 24).map(
        lambda rows: Table(("Word", "What it means"), (("hole", "A hole. " * 12),) * rows, (0.2, 0.8), "ll")
    ),
)


@settings(deadline=None, max_examples=150)
@given(st.lists(BLOCKS, min_size=2, max_size=16))
def test_no_page_holds_more_than_its_frame(blocks: list[Block]) -> None:
    """Whatever was tried on the way: what is drawn is what was measured."""
    assert max(shares(*blocks), default=0) <= 1.0001


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


def test_a_drawing_leaves_its_words_where_it_would_leave_a_fifth_of_their_page() -> None:
    high = SHEET.frame_height_mm
    for above in (100, 0.97 * high * (1 - FOOT)):
        first, second = shares(figure(above), LINE, figure(180))
        assert first > above / high + 0.02
        assert second < 185 / high
    first, second = shares(figure(1.03 * high * (1 - FOOT)), LINE, figure(180))
    assert first < 1.05 * (1 - FOOT)
    assert second > 185 / high


def test_a_heading_and_its_paragraph_do_not_leave_a_drawing_that_the_page_holds_with_them() -> None:
    first, second = shares(figure(100), Heading(2, "Next"), LINE, figure(180))
    assert first < 104 / SHEET.frame_height_mm
    assert second > 190 / SHEET.frame_height_mm
    first, _ = shares(figure(100), Heading(2, "Next"), Steps(("One thing to do.",)), figure(180))
    assert first > 104 / SHEET.frame_height_mm
    first, _ = shares(figure(100), Heading(2, "Next"), LINE, figure(258))
    assert first > 104 / SHEET.frame_height_mm


def test_pieces_stand_closer_where_one_more_then_fits_into_a_white_foot() -> None:
    high = SHEET.frame_height_mm
    above = figure(0.4 * high)
    lines = [LINE] * 10
    loose = shares(above, *lines, figure(2))[0]
    fits = next(mm for mm in range(150) if len(shares(above, *lines, figure(mm + 1), figure(0.9 * high))) > 2)
    assert fits / high + loose > 1.01
    first, second = shares(above, *lines, figure(fits), figure(0.9 * high))
    assert first > 0.97
    assert second < 0.95


def test_the_rest_of_a_paragraph_has_no_page_to_itself_before_a_drawing_of_a_whole_page() -> None:
    high = SHEET.frame_height_mm
    words = Paragraph("Many words that fill one line after the other. " * 20)
    pages = shares(figure(0.88 * high), words, Heading(3, "Part"), figure(0.9 * high))
    assert len(pages) == 3
    assert pages[1] > 0.15


def test_a_heading_is_never_left_alone() -> None:
    first, _ = shares(figure(100), Heading(2, "Next"), figure(180))
    assert first < 104 / SHEET.frame_height_mm


def test_a_table_that_a_page_can_hold_is_cut_only_where_it_would_leave_a_third() -> None:
    table = Table(("a", "b"), tuple((str(at), "words") for at in range(30)), (0.5, 0.5), "ll")
    low, _ = shares(figure(200), table)
    assert low < 204 / SHEET.frame_height_mm
    high, _ = shares(figure(120), table)
    assert high > 200 / SHEET.frame_height_mm
