"""Slanting lines over what stood on the page before; they stop short of the symbols."""

from __future__ import annotations

from collections.abc import Iterator
from math import sqrt
from typing import Final

import numpy as np

from kitbuild.base.blocks import Floats, Ints, LineMarks
from kitbuild.base.colour import Rgb
from kitbuild.documents.window import Window

GREY: Rgb = (120, 120, 120)
PEN_MM: Final = 0.2
GAP_MM: Final = 2.4
"""From line to line, along the upper edge."""
CLEAR_HOLES: Final = 0.44
"""No line comes nearer to the middle of a symbol, which reaches 0.37 holes at its corners."""


def hatching(window: Window, middle_x: Floats, middle_y: Floats) -> Iterator[LineMarks]:
    """Lines over the repeated columns and rows; the middles of symbols are in display columns and rows."""
    seen = np.isfinite(middle_x)
    symbols = np.column_stack(
        [window.x_mm(0) + middle_x[seen] * window.hole_mm, window.y_mm(0) + middle_y[seen] * window.hole_mm]
    )
    for left, top, width, height in _areas(window):
        if width > 0 and height > 0:
            yield LineMarks(_clear(_slanted(left, top, width, height), symbols, window.hole_mm), PEN_MM, GREY)


def _areas(window: Window) -> Iterator[tuple[float, float, float, float]]:
    """Left, top, width and height of what stood on the page at the left, then on the page above."""
    skip = window.repeated_columns * window.hole_mm
    if window.repeated_columns:
        yield window.left_mm, window.top_mm, skip, window.height_mm
    if window.repeated_rows:
        high = window.repeated_rows * window.hole_mm
        yield window.left_mm + skip, window.top_mm, window.width_mm - skip, high


def _slanted(left: float, top: float, width: float, height: float) -> Floats:
    """Lines at 45 degrees clipped to a rectangle, each from its lower end on: (n, 4)."""
    offsets = np.arange(GAP_MM, width + height, GAP_MM)
    x1, y1 = np.maximum(offsets - height, 0), np.minimum(offsets, height)
    x2, y2 = np.minimum(offsets, width), np.maximum(offsets - width, 0)
    return np.column_stack([left + x1, top + y1, left + x2, top + y2])


def _clear(lines: Floats, symbols: Floats, hole_mm: float) -> Floats:
    """The parts of slanting lines that lie clear of all symbols: (n, 4)."""
    symbols = symbols[np.argsort(symbols.sum(axis=1), kind="stable")]
    reach, sums, along = CLEAR_HOLES * hole_mm, lines[:, 0] + lines[:, 1], symbols.sum(axis=1)
    first = np.searchsorted(along, sums - sqrt(2) * reach, "right")
    near = np.searchsorted(along, sums + sqrt(2) * reach, "left") - first
    line = np.repeat(np.arange(len(lines)), near)
    symbol = np.arange(len(line)) - np.repeat(np.cumsum(near) - near, near) + first[line]
    off = (sums[line] - along[symbol]) / 2
    middle, half = symbols[symbol, 0] + off, np.sqrt(np.maximum(reach**2 - 2 * off**2, 0)) / sqrt(2)
    order = np.lexsort((middle, line))
    line, middle, half = line[order], middle[order], half[order]
    low, high = lines[line, 0], lines[line, 2]
    every = np.arange(len(lines))
    starts, at = _merged((every, lines[:, 0]), (line, np.clip(middle + half, low, high)))
    ends, _ = _merged((line, np.clip(middle - half, low, high)), (every, lines[:, 2]))
    parts = np.column_stack([starts, sums[at] - starts, ends, sums[at] - ends])
    return parts[ends - starts > 0.1]


def _merged(one: tuple[Ints, Floats], other: tuple[Ints, Floats]) -> tuple[Floats, Ints]:
    """Values line by line, those of `one` before those of `other`, and the line of each."""
    lines = np.concatenate([one[0], other[0]])
    order = np.argsort(lines, kind="stable")
    return np.concatenate([one[1], other[1]])[order], lines[order]
