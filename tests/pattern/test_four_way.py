"""Four quarters on the diagonals: links as the mitre says, area by raster, corners, turns."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings

from kitbuild.pattern import rules
from kitbuild.pattern.expand import pattern_problems
from kitbuild.pattern.panel import Panel
from kitbuild.pattern.proof import faults, is_straight
from kitbuild.spec.piece import Piece
from tests.pattern.builders import kit, line, panel_of, pattern, piece, squares
from tests.pattern.counting import bars_of, columns_of, crossed, flame_columns

SIZES = (49, 51, 63, 75)
"""Odd sizes at which the mitre was checked (derived)."""


def _square(size: int, over: int = 4) -> Piece:
    of = line(groups_of=2, step=2, down=5, up=5, turns="once")
    return piece(columns=size, rows=size, pattern=pattern("four-way", over, of))


def _assert_mitred(panel: Panel) -> None:
    n = panel.piece.columns
    near = [0, *(min(k, n + 1 - k) for k in range(1, n + 1))]
    holes, links = range(1, n + 1), range(1, n)
    wanted = {(x, y): 1 for x in holes for y in links if y + 1 <= near[x] or y >= n + 1 - near[x]}
    upright, across = crossed(panel.stitches)
    assert upright == wanted
    assert across == {(y, x): 1 for x, y in wanted}
    assert not faults(panel.stitches, panel.cover)
    assert is_straight(panel.stitches, panel.cover)
    assert panel.cover.name == "four-way"


def _raster(panel: Panel) -> tuple[float, float]:
    """Bare and double area in square pitches: each stitch a pitch wide, on a raster of half pitches."""
    size = 2 * (panel.piece.columns - 1)
    field = np.zeros((size + 2, size + 2), dtype=int)
    for x1, y1, x2, y2, _ in bars_of(panel):
        if x1 == x2:
            field[2 * y1 - 1 : 2 * y2 - 1, 2 * x1 - 2 : 2 * x1] += 1
        else:
            field[2 * y1 - 2 : 2 * y1, 2 * x1 - 1 : 2 * x2 - 1] += 1
    inside = field[1:-1, 1:-1]
    return np.count_nonzero(inside == 0) / 4, float((inside - 1).clip(0).sum()) / 4


@pytest.mark.parametrize("over", [2, 4, 5, 8])
@pytest.mark.parametrize("size", SIZES)
def test_the_checked_sizes(size: int, over: int) -> None:
    panel = panel_of(_square(size, over))
    _assert_mitred(panel)
    assert _raster(panel) == ((size - 1) / 2, (size - 1) / 2)
    short = panel.stitches.take(panel.stitches.length() == 1)
    near = {1, 2, size - 1, size}
    assert len(short) == 8
    assert all(near >= set(end.tolist()) for end in (short.x1, short.y1, short.x2, short.y2))
    assert not [found for found in rules.judged(kit(panel.piece), (panel,)) if found.code == "KB405"]


@given(squares(most=120))
@settings(max_examples=60, deadline=None)
def test_random_squares(what: Piece) -> None:
    panel = panel_of(what)
    _assert_mitred(panel)
    n = what.columns
    assert _raster(panel) == ((n - 1) / 2, (n - 1) / 2)
    assert np.count_nonzero(panel.stitches.length() == 1) == (8 if n > 3 else 4)
    assert int(panel.stitches.length().max()) <= 8


@given(squares(most=45))
@settings(max_examples=30, deadline=None)
def test_quarters_are_one_turned_and_mirror(what: Piece) -> None:
    n, found = what.columns, bars_of(panel_of(what))
    turned = {(n + 1 - y2, x1, n + 1 - y1, x2, colour) for x1, y1, x2, y2, colour in found if x1 == x2}
    turned |= {(n + 1 - y1, x1, n + 1 - y2, x2, colour) for x1, y1, x2, y2, colour in found if x1 != x2}
    assert turned == found
    assert {(n + 1 - x2, y1, n + 1 - x1, y2, colour) for x1, y1, x2, y2, colour in found} == found


@given(squares(most=45))
@settings(max_examples=30, deadline=None)
def test_the_top_quarter_is_the_line_pattern_but_at_its_ends(what: Piece) -> None:
    """Rows and colours are those of the line on the quarter's depth; only ends are cut or lengthened."""
    n, work = what.columns, panel_of(what).stitches
    middle = (n + 1) // 2
    top = work.take((work.x1 == work.x2) & (work.y2 <= middle) & (work.x1 <= middle))
    counted = flame_columns(replace(what.pattern, family="flame"), middle, middle)
    for x, (column, whole) in enumerate(zip(columns_of(top, middle), counted, strict=True), 1):
        inner = [each for each in whole if each[0] > 1 and each[1] < x]
        assert set(column[2:-2]) <= set(inner)
        assert len(column) >= len(inner)


def test_the_line_of_all_quarters_comes_first() -> None:
    work = panel_of(_square(63)).stitches
    first = work.take(work.course < 4)
    assert set(first.row.tolist()) == {0}
    sides = []
    for course in range(4):
        one = first.take(first.course == course)
        x, y = (one.x1 + one.x2).mean() / 2 - 32, (one.y1 + one.y2).mean() / 2 - 32
        upright = bool((one.x1 == one.x2).all())
        sides.append(("top" if y < 0 else "bottom") if upright else ("left" if x < 0 else "right"))
    assert sides == ["top", "right", "bottom", "left"]
    order = [int(work.row[work.course == course][0]) for course in range(0, int(work.course.max()), 4)]
    inwards = [row for row in order if row >= 0]
    assert order == [*range(len(inwards)), *(-1 - at for at in range(len(order) - len(inwards)))]


@pytest.mark.parametrize(("columns", "rows"), [(50, 50), (49, 51), (49, 50)])
def test_even_and_oblong_pieces_have_no_centre(columns: int, rows: int) -> None:
    what = replace(_square(49), columns=columns, rows=rows)
    assert [problem.code for problem in pattern_problems(what)] == ["KB407"]
    assert not list(pattern_problems(_square(49)))
