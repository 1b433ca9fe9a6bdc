"""Slanting lines over what stood on the page before; they stop short of the symbols."""

from __future__ import annotations

from collections.abc import Iterator
from math import sqrt
from typing import Final

import numpy as np

from kitbuild.base.blocks import Floats, LineMarks
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
    reach, parts = CLEAR_HOLES * hole_mm, []
    along = symbols.sum(axis=1)
    for x1, y1, x2, _ in lines.tolist():
        off = (x1 + y1 - along) / 2
        near = 2 * off**2 < reach**2
        middle, half = symbols[near, 0] + off[near], np.sqrt(reach**2 - 2 * off[near] ** 2) / sqrt(2)
        order = np.argsort(middle)
        starts = [x1, *np.clip(middle + half, x1, x2)[order].tolist()]
        ends = [*np.clip(middle - half, x1, x2)[order].tolist(), x2]
        parts += [(a, x1 + y1 - a, b, x1 + y1 - b) for a, b in zip(starts, ends, strict=True) if b - a > 0.1]
    return np.array(parts, dtype=np.float64).reshape(-1, 4)
