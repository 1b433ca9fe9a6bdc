"""Charts are divided in whole holes: nothing lost, nothing too small, every page within its frame."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from reportlab.pdfbase import pdfmetrics

from kitbuild.base.blocks import Ink
from kitbuild.base.document import HALVES, SHEETS, Sheet
from kitbuild.documents.chart import room_mm
from kitbuild.documents.chart_type import FOLDED, LARGE, USUAL, ChartType, for_numbers, for_sheet
from kitbuild.documents.tiles import REPEATED, Tiling, tiling
from kitbuild.documents.window import brackets_mm
from kitbuild.output.pdf_style import PLAIN, load_fonts
from tests.output.reading import POINTS_PER_MM

load_fonts()

HOLES = st.integers(2, 700)
ROOMS = st.sampled_from(
    [room_mm(sheet.frame_width_mm, sheet.frame_height_mm - 24, (), 1) for sheet in SHEETS.values()]
) | st.tuples(st.floats(40, 420), st.floats(40, 420))


LEAST = {USUAL: 3.2, LARGE: 5.0, FOLDED: 2.8}


@given(HOLES, HOLES, ROOMS)
def test_every_hole_is_on_a_page(columns: int, rows: int, room: tuple[float, float]) -> None:
    plan = tiling(columns, rows, *room)
    seen = {"across": set[int](), "down": set[int]()}
    for tile in plan.tiles:
        seen["across"].update(range(tile.left, tile.right + 1))
        seen["down"].update(range(tile.top, tile.bottom + 1))
    assert seen == {"across": set(range(1, columns + 1)), "down": set(range(1, rows + 1))}
    places = [(tile.across, tile.down) for tile in plan.tiles]
    assert places == [(x, y) for y in range(plan.down) for x in range(plan.across)]
    assert [tile.number for tile in plan.tiles] == list(range(1, len(plan.tiles) + 1))
    assert len({(tile.across, tile.left, tile.right) for tile in plan.tiles}) == plan.across
    assert len({(tile.down, tile.top, tile.bottom) for tile in plan.tiles}) == plan.down


@given(HOLES, HOLES, ROOMS, st.sampled_from((USUAL, LARGE, FOLDED)))
def test_pages_hold_whole_holes_that_can_be_counted(
    columns: int, rows: int, room: tuple[float, float], sizes: ChartType
) -> None:
    plan = tiling(columns, rows, *room, sizes)
    assert LEAST[sizes] <= plan.hole_mm <= (8.0 if sizes is LARGE else 6.0)
    assert round(plan.hole_mm * 100) == pytest.approx(plan.hole_mm * 100)
    for tile in plan.tiles:
        assert all(isinstance(end, int) for end in (tile.left, tile.right, tile.top, tile.bottom))
        assert tile.columns * plan.hole_mm <= room[0] + 1e-6
        assert tile.rows * plan.hole_mm <= room[1] + 1e-6
        assert tile.columns > tile.repeated_columns
        assert tile.rows > tile.repeated_rows


@given(HOLES, HOLES, ROOMS)
def test_repeated_holes_are_the_last_of_the_page_before(
    columns: int, rows: int, room: tuple[float, float]
) -> None:
    plan = tiling(columns, rows, *room)
    at = {(tile.across, tile.down): tile for tile in plan.tiles}
    for tile in plan.tiles:
        assert tile.repeated_columns == (REPEATED if tile.across else 0)
        assert tile.repeated_rows == (REPEATED if tile.down else 0)
        if tile.across:
            before = at[tile.across - 1, tile.down]
            assert tile.left + tile.repeated_columns - 1 == before.right
        if tile.down:
            above = at[tile.across, tile.down - 1]
            assert tile.top + tile.repeated_rows - 1 == above.bottom


@given(HOLES, HOLES, ROOMS)
def test_pages_are_even_and_no_more_than_needed(columns: int, rows: int, room: tuple[float, float]) -> None:
    plan = tiling(columns, rows, *room)
    for sizes in ({tile.columns for tile in plan.tiles}, {tile.rows for tile in plan.tiles}):
        assert max(sizes) - min(sizes) <= REPEATED + 1
    assert (len(plan.tiles) == 1) == (min(room[0] / columns, room[1] / rows) >= LEAST[USUAL])


@given(HOLES, st.sampled_from((USUAL, LARGE, FOLDED)))
def test_sides_hold_the_numbers_of_hole_rows(rows: int, sizes: ChartType) -> None:
    narrow = for_numbers(sizes, rows).side_mm
    number_mm = pdfmetrics.stringWidth(str(rows), PLAIN, sizes.number_pt) / POINTS_PER_MM
    assert 3 + number_mm <= narrow <= sizes.side_mm


def test_a_line_may_have_smaller_holes() -> None:
    assert len(tiling(62, 30, 166.0, 150.0, USUAL, USUAL.least_hole_mm).tiles) == 1
    assert len(tiling(62, 30, 166.0, 150.0).tiles) == 2


PLACES = [(sheet, USUAL) for sheet in SHEETS.values()] + [(sheet, LARGE) for sheet in SHEETS.values()]
PLACES += [(half, FOLDED) for half in HALVES.values()]


@given(HOLES, HOLES, st.sampled_from(PLACES), st.integers(0, 2), st.integers(0, 3), st.booleans())
def test_a_page_of_chart_fits_the_frame(
    columns: int, rows: int, place: tuple[Sheet, ChartType], strips: int, lines: int, narrow: bool
) -> None:
    """With numbers, brackets and a key below, and the same hole size on all pages of one chart."""
    sheet, sizes = place[0], for_sheet(place[1], place[0])
    key = tuple((Ink((9, 9, 9), "●"), "a name") for _ in range(2 * strips))
    sizes = for_numbers(sizes, rows) if narrow else sizes
    room = room_mm(sheet.frame_width_mm, sheet.frame_height_mm, key, lines, sizes, scaled=True)
    plan = tiling(columns, rows, *room, sizes)
    wide = max(tile.columns for tile in plan.tiles) * plan.hole_mm
    high = max(tile.rows for tile in plan.tiles) * plan.hole_mm
    assert wide + 2 * sizes.side_mm <= sheet.frame_width_mm + 1e-6
    strip = 2 + sizes.strip_line_mm if strips else 0
    around = 2 * sizes.band_mm + brackets_mm(lines, sizes) + strip + sizes.scale_mm
    assert around + high <= sheet.frame_height_mm + 1e-6


@pytest.mark.parametrize(
    ("columns", "rows", "room", "hole", "across", "down"),
    [
        (26, 27, (170.0, 220.0), 6.0, 1, 1),
        (53, 27, (170.0, 220.0), 3.2, 1, 1),
        (54, 27, (170.0, 220.0), 5.86, 2, 1),
        (50, 100, (170.0, 220.0), 3.4, 1, 2),
    ],
)
def test_examples(
    columns: int, rows: int, room: tuple[float, float], hole: float, across: int, down: int
) -> None:
    plan: Tiling = tiling(columns, rows, *room)
    assert (plan.hole_mm, plan.across, plan.down) == (hole, across, down)
