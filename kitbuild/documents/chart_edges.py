"""What stands at the edges of a whole chart: trim and seam lines, and the pages that carry on."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import pairwise
from typing import Final, Literal

import numpy as np

from kitbuild.base.blocks import LineMarks, Mark, TextMark
from kitbuild.documents.chart import tenths
from kitbuild.documents.chart_key import type_mm
from kitbuild.documents.chart_type import MM
from kitbuild.documents.window import Window
from kitbuild.pattern.panel import Panel

Side = Literal["left", "right", "up", "down"]
SIDES: Final[dict[Side, tuple[int, int]]] = {
    "left": (-1, 0),
    "right": (1, 0),
    "up": (0, -1),
    "down": (0, 1),
}
ARROWS: Final[dict[Side, str]] = {"left": "←", "right": "→", "up": "↑", "down": "↓"}
OFF_MM: Final = 1.2
"""How far outside the grid the trim line runs."""
SEAM_OFF_MM: Final = 0.45

Edge = tuple[float, float, float, float]


def trim_marks(window: Window, panel: Panel) -> Iterator[Mark]:
    """A dashed line round the piece, where the window shows its edges: outside a straight one, on a shape's.

    The line of a shape runs between its outermost holes and those that stay bare.
    """
    edges = list(_shape(window, panel) if panel.piece.outline else _straight(window, panel))
    if edges:
        yield LineMarks(np.array(edges), 0.45, dash_mm=(2.2, 1.2))


def seam_marks(window: Window, panel: Panel, words: str) -> Iterator[Mark]:
    """A heavy line along the two edges of a sleeve that are laid over each other, with the word for it."""
    if panel.piece.finish.kind != "sleeve":
        return
    for side, x in _upright(window, panel):
        x += -SEAM_OFF_MM if side == "left" else SEAM_OFF_MM
        yield LineMarks(np.array([(x, window.top_mm, x, window.foot_mm)]), 0.7)
        yield from _beside(window, side, words)


def page_names(window: Window, neighbours: Mapping[Side, tuple[int, str]]) -> Iterator[Mark]:
    """At each edge beyond which the piece goes on: the number and the name of the page that carries on.

    Where the name is too long for its place, an arrow and the number stand alone.
    """
    for side, (number, name) in neighbours.items():
        short = f"{ARROWS[side]} {number}"
        if side in ("left", "right"):
            yield from _beside(window, side, name, short)
        else:
            yield from _along(window, side, name, short)


def _straight(window: Window, panel: Panel) -> Iterator[Edge]:
    top = window.top_mm - (OFF_MM if window.top == 1 else 0)
    foot = window.foot_mm + (OFF_MM if window.bottom == panel.cover.rows else 0)
    ends = dict(_upright(window, panel))
    left = ends["left"] - OFF_MM if "left" in ends else window.left_mm
    right = ends["right"] + OFF_MM if "right" in ends else window.right_mm
    if "left" in ends:
        yield left, top, left, foot
    if "right" in ends:
        yield right, top, right, foot
    if window.top == 1:
        yield left, top, right, top
    if window.bottom == panel.cover.rows:
        yield left, foot, right, foot


def _upright(window: Window, panel: Panel) -> Iterator[tuple[Side, float]]:
    """The left and right edges of the piece that the window shows, and their places in the figure."""
    if int(window.columns[0]) == 1:
        yield "left", window.left_mm
    if int(window.columns[-1]) == panel.cover.columns:
        yield "right", window.right_mm


def _shape(window: Window, panel: Panel) -> Iterator[Edge]:
    """Steps round a shape's holes, clipped to the window."""
    spans = [(0, 0), *panel.piece.outline, (0, 0)]
    half = window.hole_mm / 2
    for at, column in enumerate(window.columns.tolist(), 1):
        x = window.x_mm(at)
        first, last = spans[column]
        for row, y in ((first, window.y_mm(first) - half), (last, window.y_mm(last) + half)):
            if first and window.top <= row <= window.bottom:
                yield x - half, y, x + half, y
        yield from _steps(window, x - half, spans[column - 1], (first, last))
        if column == panel.cover.columns:
            yield from _steps(window, x + half, (first, last), (0, 0))


def _steps(window: Window, x: float, one: tuple[int, int], other: tuple[int, int]) -> Iterator[Edge]:
    """The upright parts of an outline between two columns: rows that stand in one of them alone."""
    rows = set(range(one[0], one[1] + 1)) ^ set(range(other[0], other[1] + 1))
    half = window.hole_mm / 2
    for row in sorted(rows - {0}):
        if window.top <= row <= window.bottom:
            yield x, window.y_mm(row) - half, x, window.y_mm(row) + half


def _beside(window: Window, side: Side, text: str, short: str = "") -> Iterator[TextMark]:
    """Words turned on their side beside the grid, in the middle between two numbers; else `short`."""
    size = window.sizes.number_pt
    high = size * MM
    y, room = _gap([window.y_mm(row) for row in tenths(window.top, window.bottom)], window, down=True)
    left = side == "left"
    if type_mm(text, size) <= room - high - 1:
        x = window.left_mm - 3.2 if left else window.right_mm + 3.2 + 0.73 * high
        yield TextMark(x, y, text, size, "middle", turned=True)
    elif short:
        x = window.left_mm - 3 if left else window.right_mm + 3
        yield TextMark(x, y + 0.365 * high, short, size, "end" if left else "start")


def _along(window: Window, side: Side, text: str, short: str) -> Iterator[TextMark]:
    """Words above or below the grid, between two numbers where they fit; else `short`."""
    size = window.sizes.number_pt
    columns = window.columns.tolist()
    numbered = [window.x_mm(at) for at, column in enumerate(columns, 1) if column % 10 == 0 or column == 1]
    x, room = _gap(numbered, window, down=False)
    text = text if type_mm(text, size) <= room - type_mm("0000", size) else short
    y = window.top_mm - 3 if side == "up" else window.foot_mm + 3.4 + 0.73 * size * MM
    yield TextMark(x, y, text, size, "middle")


def _gap(numbers: list[float], window: Window, *, down: bool) -> tuple[float, float]:
    """The middle and the width of the gap between two numbers that lies nearest to the middle of the grid."""
    low, high = (window.top_mm, window.foot_mm) if down else (window.left_mm, window.right_mm)
    places = [low - 2, *numbers, high + 2]
    gaps = [(a, b) for a, b in pairwise(places) if b - a > 1]
    widest = max(b - a for a, b in gaps)
    a, b = min(
        (gap for gap in gaps if gap[1] - gap[0] > 0.9 * widest),
        key=lambda gap: abs((gap[0] + gap[1]) / 2 - (low + high) / 2),
    )
    return (a + b) / 2, b - a
