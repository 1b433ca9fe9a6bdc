"""The counts along a shape's outline: each straight part once, outside the shape, and over no other mark."""

from __future__ import annotations

from itertools import combinations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from kitbuild.base.blocks import PolygonMark, TextMark
from kitbuild.documents.shape_marks import parts, shape_marks
from kitbuild.documents.window import Window
from tests.documents.test_charts import piece_of

Cell = tuple[int, int]
FAR = (0, 0, 0, 0)


@st.composite
def outlines(draw: st.DrawFn) -> tuple[Cell, ...]:
    """First and last hole row of each of 1 to 12 columns, (0, 0) where a column is bare."""
    row = st.integers(1, 12)
    span = st.one_of(st.just((0, 0)), st.tuples(row, row).map(lambda ends: (min(ends), max(ends))))
    return tuple(draw(st.lists(span, min_size=1, max_size=12)))


def cells(outline: tuple[Cell, ...]) -> set[Cell]:
    return {(x, y) for x, (a, b) in enumerate(outline, 1) if a for y in range(a, b + 1)}


def bared(outline: tuple[Cell, ...]) -> set[tuple[Cell, Cell]]:
    """A hole of the shape with a neighbour that is none, one by one."""
    inside = cells(outline)
    steps = ((0, -1), (0, 1), (-1, 0), (1, 0))
    return {((x, y), (x + a, y + b)) for x, y in inside for a, b in steps if (x + a, y + b) not in inside}


@given(outlines())
def test_parts_are_the_whole_outline_once(outline: tuple[Cell, ...]) -> None:
    found = []
    for part in parts(outline):
        for at in range(part.first, part.last + 1):
            hole = (at, part.line) if part.level else (part.line, at)
            found.append(
                (hole, (hole[0], hole[1] + part.outside) if part.level else (hole[0] + part.outside, at))
            )
    assert len(found) == len(set(found))
    assert set(found) == bared(outline)


@given(outlines())
def test_a_part_ends_where_the_outline_turns(outline: tuple[Cell, ...]) -> None:
    """No two parts of one side follow on each other in one line."""
    for one, other in combinations(parts(outline), 2):
        if (one.level, one.line, one.outside) == (other.level, other.line, other.outside):
            assert max(one.first, other.first) > min(one.last, other.last) + 1


def test_a_heart_is_labelled_as_its_holes_are_counted() -> None:
    """Counted by hand on the chart of the heart: tops and sides of 7, a notch 4 deep, a foot of 3."""
    panel = piece_of("ROWAN", "Heart").panel
    window = Window(np.arange(1, 26), 1, 25, 5.0)
    marks = list(shape_marks(window, panel, FAR))
    told = sorted(int(mark.text) for mark in marks if isinstance(mark, TextMark))
    assert told == [2, 2, 2, 2, 3, 3, 3, 4, 4, 7, 7, 7, 7]


@given(st.floats(2.5, 8.0), st.integers(1, 12), st.integers(13, 25))
def test_no_count_lies_on_the_shape_or_on_another(hole_mm: float, first: int, last: int) -> None:
    for title in ("Heart", "Berry"):
        panel = piece_of("ROWAN", title).panel
        columns = np.arange(first, min(last, panel.cover.columns) + 1)
        window = Window(columns, 1, panel.cover.rows, hole_mm)
        boxes = [
            (*mark.points_mm[0], *mark.points_mm[2])
            for mark in shape_marks(window, panel, FAR)
            if isinstance(mark, PolygonMark)
        ]
        half = hole_mm / 2
        holes = [
            (
                window.x_mm(x - first + 1) - half,
                window.y_mm(y) - half,
                window.x_mm(x - first + 1) + half,
                window.y_mm(y) + half,
            )
            for x, y in cells(panel.piece.outline)
            if x in columns
        ]
        for at, box in enumerate(boxes):
            assert not any(over(box, other) for other in (*holes, *boxes[at + 1 :]))
            assert box[0] >= 0
            assert box[2] <= window.figure_mm


def over(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
