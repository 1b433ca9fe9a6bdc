"""Repeats found from the stitches, measures of the design, mirrored halves, colourways, order of work."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kitbuild.pattern.expand import expand
from kitbuild.pattern.measures import measured
from kitbuild.pattern.panel import Panel
from kitbuild.pattern.repeats import period
from kitbuild.quantity.needle import simulate
from kitbuild.quantity.order import HANDS, order
from kitbuild.spec.outlines import circle, heart
from kitbuild.spec.piece import Piece
from tests.pattern.builders import (
    COLOURS,
    UPRIGHT,
    charted,
    kit,
    line,
    palette,
    panel_of,
    pattern,
    piece,
    pieces,
    squares,
)
from tests.pattern.counting import bars_of, columns_of

any_piece = st.one_of(pieces(most=90, families=UPRIGHT), squares(most=41))


def _columns(panel: Panel) -> list[list[tuple[int, int, int]]]:
    work = panel.stitches
    return columns_of(replace(work, row=work.colour), panel.cover.columns)


@given(pieces(most=90, families=UPRIGHT), st.booleans())
@settings(max_examples=100, deadline=None)
def test_the_repeat_its_count_and_the_ends_rebuild_the_piece(what: Piece, as_chart: bool) -> None:
    panel = panel_of(what)
    panel = panel_of(charted(panel)) if as_chart else panel
    repeat, columns = panel.repeat, _columns(panel)
    once = columns[repeat.left : repeat.left + repeat.columns]
    left, right = columns[: repeat.left], columns[len(columns) - repeat.right :] if repeat.right else []
    assert [*left, *once * repeat.count, *right] == columns
    assert repeat.count >= 1
    shifts = range(1, len(columns) // 2 + 1)
    smallest = [shift for shift in shifts if columns[shift:] == columns[:-shift]]
    if smallest:
        assert repeat.columns == smallest[0]


@given(pieces(most=90, families=UPRIGHT), st.sampled_from(("shorten", "lengthen")))
@settings(max_examples=80, deadline=None)
def test_the_picture_returns_downwards(what: Piece, edges: str) -> None:
    """Away from the stitches that edges cut, each returns so many bars lower."""
    panel = panel_of(replace(what, pattern=replace(what.pattern, edges=edges)))
    bars = panel.repeat.bars
    if bars == what.rows - 1:
        return
    for column in _columns(panel):
        whole = column[2:-2]
        last = max((first for first, _, _ in whole), default=0)
        lower = {(first + bars, end + bars, colour) for first, end, colour in whole if first + bars <= last}
        assert lower <= set(whole)


@pytest.mark.parametrize("count", range(1, 7))
@pytest.mark.parametrize("over", [2, 4, 7])
def test_flames_return_after_all_their_colours(count: int, over: int) -> None:
    of = pattern("flame", over, colours=COLOURS[:count])
    assert panel_of(piece(columns=30, rows=over * count * 3 + 30, pattern=of)).repeat.bars == over * count
    two = replace(of, colours=("red", "blue", "red", "blue"))
    assert panel_of(piece(columns=30, rows=over * 12 + 30, pattern=two)).repeat.bars == over * 2


def test_a_line_written_twice_is_half_as_wide() -> None:
    written = line(list=["2", "2 down 2", "2 up 2", "2 down 2"])
    repeat = panel_of(piece(columns=24, rows=40, pattern=pattern("flame", 4, written, left=1))).repeat
    assert (repeat.columns, repeat.count, repeat.left, repeat.right) == (4, 6, 0, 0)


def test_stated_ends_stand_where_they_are_stated() -> None:
    of = line(groups_of=2, step=2, down=4, up=4, turns="once")
    what = piece(columns=3 + 3 * 12 + 2, rows=41, pattern=pattern("flame", 4, of, left=3, right=2))
    repeat = panel_of(what).repeat
    assert (repeat.columns, repeat.count, repeat.left, repeat.right) == (12, 3, 3, 2)


def test_four_way_and_shapes_are_worked_whole() -> None:
    for what in (
        piece(columns=49, rows=49, pattern=pattern("four-way")),
        piece(columns=40, rows=40, outline=circle(40, 40)),
    ):
        repeat = panel_of(what).repeat
        assert (repeat.columns, repeat.count, repeat.bars) == (what.columns, 1, what.rows - 1)


@given(st.lists(st.integers(0, 2), max_size=12), st.integers(1, 4))
def test_periods_by_trying_all(values: list[int], times: int) -> None:
    values = values * times
    shifts = [shift for shift in range(1, len(values) + 1) if values[shift:] == values[: len(values) - shift]]
    assert period(np.array(values, dtype=np.uint64)) == (shifts[0] if values else 0)


@given(pieces(most=80, families=("diamond", "medallion")))
@settings(max_examples=80, deadline=None)
def test_mirrored_halves_mirror_but_for_the_odd_bar(what: Piece) -> None:
    """Rings lie alike above and below the axis; only where a gap is odd do ends differ, by that one bar."""
    if (what.rows + 1 - what.pattern.apart) % 2:
        what = replace(what, rows=what.rows + 1)
    work, rows = panel_of(what).stitches, what.rows
    for column in columns_of(work, what.columns):
        rings = [ring for first, last, ring in column for _ in range(first, last)]
        assert rings == rings[::-1]
        if what.pattern.over < 8:
            ends = {1, *(last for _, last, _ in column)}
            mirror = {rows + 1 - end for end in ends}
            assert all({end - 1, end, end + 1} & mirror for end in ends)
            if not what.pattern.apart % 2:
                assert ends == mirror


@given(any_piece)
@settings(max_examples=40, deadline=None)
def test_colourways_differ_in_colour_only_and_share_the_work(what: Piece) -> None:
    turned = replace(kit(what), palette=palette(COLOURS[::-1]))
    renamed = replace(
        what.pattern, colours=tuple(COLOURS[5 - COLOURS.index(key)] for key in what.pattern.colours)
    )
    panels = [panel_of(what), expand(turned, what), panel_of(replace(what, pattern=renamed))]
    for other in panels[1:]:
        for name in ("x1", "y1", "x2", "y2", "row", "course"):
            assert getattr(other.stitches, name) is getattr(panels[0].stitches, name)
        assert (other.stitches.colour == 5 - panels[0].stitches.colour).all()
        assert other.repeat == panels[0].repeat


@given(any_piece)
@settings(max_examples=40, deadline=None)
def test_measures_against_a_plain_count(what: Piece) -> None:
    panel = panel_of(what)
    found, bars = measured(panel, len(COLOURS)), bars_of(panel)
    lengths = [(x2 - x1) + (y2 - y1) for x1, y1, x2, y2, _ in bars]
    for colour, share in enumerate(found.shares):
        mine = [length for length, bar in zip(lengths, bars, strict=True) if bar[4] == colour]
        assert share == pytest.approx(sum(mine) / sum(lengths))
    assert (found.longest, found.over_one) == (max(lengths), lengths.count(1))
    wide, high = what.columns + 1, what.rows + 1
    assert found.mirror_across is ({(wide - c, b, wide - a, d, e) for a, b, c, d, e in bars} == bars)
    assert found.mirror_down is ({(a, high - d, c, high - b, e) for a, b, c, d, e in bars} == bars)


def test_turns_of_a_line() -> None:
    for of, turns in [
        (line(groups_of=2, step=2, down=4, up=4, turns="once"), 2),
        (line(list=["2"]), 0),
        (line(list=["2", "2 down 2", "2 up 2", "2 down 4"]), 4),
        (line(list=["2", "2 down 2"], drift="down 4"), 0),
    ]:
        assert measured(panel_of(piece(columns=24, pattern=pattern("flame", 4, of))), 6).turns == turns
    drawn = charted(panel_of(piece(columns=25, rows=41)))
    assert measured(panel_of(drawn), 6).turns == 3


@given(any_piece, st.sampled_from(("", "circle", "heart", "chart")))
@settings(max_examples=60, deadline=None)
def test_all_work_can_be_ordered_and_stitched(what: Piece, shape: str) -> None:
    if shape in ("circle", "heart"):
        drawing = circle if shape == "circle" else heart
        what = replace(what, outline=drawing(what.columns, what.rows))
    panel = panel_of(charted(panel_of(what)) if shape == "chart" else what)
    for hand in HANDS:
        work = simulate(kit(what), order(panel, "clean holes", hand, 7.0, True))
        assert sorted(work.order.stitch.tolist()) == list(range(len(panel.stitches)))
    assert panel.stitches.course[0] == 0
    assert set(np.unique(np.diff(panel.stitches.course)).tolist()) <= {0, 1}
