"""Random lines in all families: every bar crossed once, every stitch where the trade puts it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from kitbuild.pattern.expand import panels
from kitbuild.pattern.panel import Panel
from kitbuild.pattern.proof import faults, is_straight
from kitbuild.quantity.areas import turns
from kitbuild.quantity.chains import BLOCK
from kitbuild.quantity.needle import simulate
from kitbuild.quantity.order import HANDS, order
from kitbuild.spec.piece import Piece
from tests.pattern.builders import COLOURS, UPRIGHT, kit, line, panel_of, pattern, piece, pieces, sideways
from tests.pattern.counting import (
    beside_one_laid,
    columns_of,
    crossed,
    diamond_columns,
    flame_columns,
    heights,
    hungarian_columns,
    ribbon_columns,
)

LINES = ("flame", "scallop")
RINGS = ("diamond", "medallion", "ribbon")


def assert_covered(panel: Panel) -> None:
    columns, rows = panel.piece.columns, panel.piece.rows
    upright, across = crossed(panel.stitches)
    assert not across
    wanted = {(x, y): 1 for x in range(1, columns + 1) for y in range(1, rows)}
    assert upright == wanted
    assert not faults(panel.stitches, panel.cover)
    assert is_straight(panel.stitches, panel.cover)


@given(pieces(families=UPRIGHT))
@settings(max_examples=100, deadline=None)
def test_every_bar_is_crossed_exactly_once(what: Piece) -> None:
    assert_covered(panel_of(what))


@given(pieces(most=300, families=UPRIGHT).filter(lambda what: what.columns > 150 and what.rows > 150))
@settings(max_examples=6, deadline=None)
def test_large_panels_are_covered(what: Piece) -> None:
    assert_covered(panel_of(what))


@given(pieces(families=LINES))
@settings(max_examples=60, deadline=None)
def test_line_patterns_agree_with_a_count_by_hand(what: Piece) -> None:
    stitches = panel_of(what).stitches
    counted = flame_columns(what.pattern, what.columns, what.rows)
    assert columns_of(stitches, what.columns) == counted
    colours = what.pattern.colours
    for colour, row in zip(stitches.colour.tolist(), stitches.row.tolist(), strict=True):
        assert COLOURS[colour] == colours[row % len(colours)]


@given(pieces(families=("hungarian point",)))
@settings(max_examples=40, deadline=None)
def test_hungarian_point_agrees_with_a_count_by_hand(what: Piece) -> None:
    stitches = panel_of(what).stitches
    assert columns_of(stitches, what.columns) == hungarian_columns(what.pattern, what.columns, what.rows)
    colours = what.pattern.colours
    for colour, row in zip(stitches.colour.tolist(), stitches.row.tolist(), strict=True):
        assert COLOURS[colour] == colours[row % len(colours)]


@given(pieces(families=RINGS))
@settings(max_examples=100, deadline=None)
def test_ring_patterns_agree_with_a_count_by_hand(what: Piece) -> None:
    stitches = panel_of(what).stitches
    count = ribbon_columns if what.pattern.family == "ribbon" else diamond_columns
    counted = count(what.pattern, what.columns, what.rows)
    assert columns_of(stitches, what.columns) == counted
    rings = what.pattern.colours
    for colour, ring in zip(stitches.colour.tolist(), stitches.row.tolist(), strict=True):
        assert ring >= 0
        assert COLOURS[colour] == rings[ring % len(rings)]


@given(pieces(families=LINES))
@settings(max_examples=40, deadline=None)
def test_the_line_stands_as_it_is_written(what: Piece) -> None:
    stitches = panel_of(what).stitches
    high = heights(what.pattern.line, what.columns, what.pattern.left)
    whole = stitches.take((stitches.row == 0) & (stitches.length() == what.pattern.over))
    level = {y - high[x - 1] for x, y in zip(whole.x1.tolist(), whole.y1.tolist(), strict=True)}
    assert len(level) <= 1


@given(pieces())
@settings(max_examples=60, deadline=None)
def test_only_the_edges_have_compensating_stitches(what: Piece) -> None:
    """Inside, a stitch is `over` long, or it is a middle of a diamond: at most over + 1 and at most 8."""
    stitches, over = panel_of(what).stitches, what.pattern.over
    inside = (stitches.y1 > 1) & (stitches.y2 < what.rows)
    lengths = set(stitches.length()[inside].tolist())
    if what.pattern.family == "diamond":
        assert all(length == over or 1 <= length <= min(over + 1, 8) for length in lengths)
    else:
        assert lengths <= {over}
    assert (stitches.length() <= max(over, min(over + 1, 8))).all()


@given(pieces(families=("diamond",)))
@settings(max_examples=60, deadline=None)
def test_diamonds_mirror_about_the_middle_hole_row(what: Piece) -> None:
    """Lines touch, so every gap is even and has no odd bar: the halves mirror exactly.

    Of an even number of hole rows the upper middle one is the axis, and the last has no mate.
    """
    rows = what.rows - (what.rows + 1) % 2
    for column in columns_of(panel_of(what).stitches, what.columns):
        seen = [(first, min(last, rows), ring) for first, last, ring in column if first < rows]
        assert seen == sorted((rows + 1 - last, rows + 1 - first, ring) for first, last, ring in seen)


def test_the_published_scallop_has_forty_columns() -> None:
    """6x1, 3x2, 2x3, 1x4, 2x3, 3x2, 6x1: the sequence is published, its sum derived."""
    runs = ["6x1", "3x2", "2x3", "1x4", "2x3", "3x2", "6x1"]
    twice = line(groups=runs, step=2, turns="twice")
    once = line(groups=runs, step=2, turns="once")
    assert sum(group.stitches for group in twice.groups) == 40
    assert sum(group.stitches for group in once.groups) == 39
    panel = panel_of(piece(columns=40, rows=60, pattern=pattern("scallop", 4, twice)))
    assert panel.repeat.columns == 40
    high = heights(twice, 40, 0)
    assert high == high[::-1]
    assert max(high) - min(high) == 2 * 11


@given(st.sampled_from(("flame", "diamond")), st.integers(1, 4), st.integers(2, 6), st.integers(8, 30))
@settings(max_examples=40, deadline=None)
def test_two_to_one_rescales_cleanly(family: str, wide: int, deep: int, half: int) -> None:
    """2-1, 4-2 and 6-3 are one picture (published)."""
    bars = 2 * half
    if family == "flame" and (bars - deep) % 2 == 0:
        bars += 1
    pictures = []
    for scale in (1, 2, 3):
        of = line(groups_of=wide, step=scale, down=deep, up=deep, turns="once")
        work = pattern(family, 2 * scale, of)
        what = piece(columns=40, rows=scale * bars + 1, pattern=work)
        small = columns_of(panel_of(what).stitches, 40)
        pictures.append([[(y - 1, end - 1, row, scale) for y, end, row in column] for column in small])
    for scaled in pictures[1:]:
        shrunk = [[(y / scale, end / scale, row, 1) for y, end, row, scale in column] for column in scaled]
        assert shrunk == pictures[0]


def _line_is_inside(what: Piece) -> bool:
    high = heights(what.pattern.line, what.columns, what.pattern.left)
    longest = max(what.pattern.over, *(max(row) for row in what.pattern.lengths), 0)
    return max(high) - min(high) + longest < what.rows


@given(pieces(families=LINES).filter(_line_is_inside))
@settings(max_examples=60, deadline=None)
def test_rows_lie_beside_rows_already_laid(what: Piece) -> None:
    panel = panel_of(what)
    assert not beside_one_laid(panel)
    first = panel.stitches.take(panel.stitches.course == 0)
    assert set(first.row.tolist()) == {0}
    assert sorted(first.x1.tolist()) == list(range(1, what.columns + 1))


def _a_shape_fits(what: Piece) -> bool:
    high = heights(what.pattern.line, what.columns, what.pattern.left)
    return 2 * (max(high) - min(high) + what.pattern.over + what.pattern.apart) < what.rows


def _floating_lines(panel: Panel) -> list[int]:
    """Courses of lines, not the first, that touch no line before them in any column."""
    stitches, laid, floating = panel.stitches, set(), []
    lines = stitches.take(stitches.row == 0)
    courses = sorted(set(lines.course.tolist()))
    assert courses == list(range(len(courses))), "lines come before all rings"
    for course in courses:
        mine = lines.take(lines.course == course)
        holes = set(zip(mine.x1.tolist(), mine.y1.tolist(), strict=True))
        holes |= set(zip(mine.x2.tolist(), mine.y2.tolist(), strict=True))
        if course and not holes & laid:
            floating.append(course)
        laid |= holes
    return floating


def _only_corners_miss(panel: Panel, floating: list[int]) -> bool:
    """Whether floating courses show nothing in the columns where lines come nearest."""
    stitches = panel.stitches
    high = heights(panel.piece.pattern.line, panel.piece.columns, panel.piece.pattern.left)
    nearest = {x for x, height in enumerate(high, 1) if height in (min(high), max(high))}
    return all(not nearest & set(stitches.x1[stitches.course == course].tolist()) for course in floating)


@given(pieces(families=("diamond",)).filter(_a_shape_fits))
@settings(max_examples=60, deadline=None)
def test_lines_of_diamonds_are_laid_from_the_middle_outwards(what: Piece) -> None:
    """A line touches the one before it where they come nearest, so that it can be laid without counting.

    In a corner of the canvas a line may show only beside that place.
    """
    panel = panel_of(what)
    assert _only_corners_miss(panel, _floating_lines(panel))


@given(pieces(families=("medallion", "ribbon")).filter(_a_shape_fits))
@settings(max_examples=60, deadline=None)
def test_lines_apart_are_reached_through_the_rings_between_them(what: Piece) -> None:
    """Where two lines do not touch, the rings between them are laid on the way from one to the other."""
    if what.pattern.apart:
        assert beside_one_laid(panel_of(what)) == []


@given(pieces(families=("hungarian point",)).filter(_line_is_inside))
@settings(max_examples=40, deadline=None)
def test_rows_of_hungarian_point_lie_beside_rows_already_laid(what: Piece) -> None:
    assert beside_one_laid(panel_of(what)) == []


@given(pieces(families=("diamond", "ribbon")).filter(_a_shape_fits))
@settings(max_examples=60, deadline=None)
def test_rings_lie_beside_lines_or_rings_already_laid(what: Piece) -> None:
    """Where an edge cuts a shape, its far line may be off the canvas: rings then follow from the near one."""
    panel = panel_of(what)
    lines = set(panel.stitches.course[panel.stitches.row == 0].tolist())
    assert [each for each in beside_one_laid(panel) if each[0] not in lines] == []


@pytest.mark.parametrize("rows", range(49, 120, 5))
def test_lines_of_one_zigzag_diamond_touch(rows: int) -> None:
    of = line(groups_of=2, step=2, down=6, up=6, turns="once")
    panel = panel_of(piece(columns=78, rows=rows, pattern=pattern("diamond", 4, of, left=8)))
    assert _floating_lines(panel) == []


@given(pieces(most=60))
@settings(max_examples=25, deadline=None)
def test_work_turned_by_a_quarter_is_proven_and_measured_alike(what: Piece) -> None:
    upright = panel_of(what)
    turned = sideways(upright)
    assert faults(turned.stitches, turned.cover) == ()
    assert is_straight(turned.stitches, turned.cover)
    occupied = np.zeros((upright.cover.rows + 2, upright.cover.columns + 2), dtype=bool)
    # more areas than that are put in order strip by strip across the canvas, whichever way it lies
    assume(all(len(turn.areas) <= BLOCK for turn in turns(upright.stitches, occupied)))
    one = kit(what)
    there = order(turned, "even", "right", 7.0, True)
    here = order(upright, "even", "right", 7.0, True)
    assert there.stitch.tolist() == here.stitch.tolist()
    assert there.turned.tolist() == here.turned.tolist()
    assert simulate(one, there).used.tolist() == simulate(one, here).used.tolist()
    for hand in HANDS:
        work = simulate(one, order(turned, "cover the back", hand, 7.0, True))
        assert sorted(work.order.stitch.tolist()) == list(range(len(turned.stitches)))


def test_a_kit_of_proven_panels() -> None:
    whole = kit(piece("one"), piece("two", pattern=pattern("diamond")))
    assert [panel.counted for panel in panels(whole)] == ["rows", "rings"]
    assert [panel.cover.name for panel in panels(whole)] == ["columns", "columns"]


@pytest.mark.parametrize("rows", [3, 4, 7])
def test_the_smallest_panels_are_covered(rows: int) -> None:
    for family in ("flame", "diamond"):
        for over in range(2, 9):
            assert_covered(panel_of(piece(columns=2, rows=rows, pattern=pattern(family, over))))


@pytest.mark.parametrize("family", UPRIGHT)
@pytest.mark.parametrize(("columns", "rows"), [(300, 300), (299, 300), (300, 299)])
def test_the_largest_pieces_are_covered(family: str, columns: int, rows: int) -> None:
    of = line(groups_of=3, step=2, down=9, up=9, turns="once")
    work = pattern(family, 5, of, left=7, apart=3, shift=10, lengths=((7, 2), (3, 8)))
    work = replace(work, apart=0) if family == "diamond" else work
    assert_covered(panel_of(piece(columns=columns, rows=rows, pattern=work)))
