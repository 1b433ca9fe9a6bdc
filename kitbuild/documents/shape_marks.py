"""How long the straight parts of a shape's outline are: a number in a box beside each, from turn to turn."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np

from kitbuild.base.blocks import Mark, PolygonMark, TextMark
from kitbuild.base.colour import BLACK, WHITE
from kitbuild.documents.chart import numbered, tenths
from kitbuild.documents.chart_key import type_mm
from kitbuild.documents.chart_type import MM
from kitbuild.documents.window import Window
from kitbuild.pattern.area import Outline
from kitbuild.pattern.panel import Panel

LEAST: Final = 2
"""Holes of the shortest part that has a number: a part of one hole is seen at a glance."""
OFF_MM: Final = 0.5
"""From the outline to a box."""
AIR_MM: Final = 0.3
"""Between a box and what stands beside it."""
ARROW_AIR_MM: Final = (0.4, 0.2)
"""What an arrow head at the centre takes beside its own breadth and length, outside the grid."""

Box = tuple[float, float, float, float]
"""Left, top, right and foot, in mm of the figure."""


@dataclass(frozen=True, slots=True, order=True)
class Part:
    """A straight part of an outline: holes `first` to `last` along it, numbered from 1.

    Where it is `level`, they are columns and `line` is the hole row just inside it; else they are hole rows
    and `line` is the column just inside it. `outside` is -1 where the bare side is above or left, else 1.
    """

    level: bool
    line: int
    first: int
    last: int
    outside: int

    @property
    def holes(self) -> int:
        """How many holes stand along it."""
        return self.last - self.first + 1


def parts(outline: Outline) -> list[Part]:
    """The straight parts of an outline (first and last hole row of each column), from turn to turn."""
    spans = [(0, 0), *outline, (0, 0)]
    found = [*_level(spans, 0), *_level(spans, 1)]
    for column, (one, other) in enumerate(pairwise(spans)):
        left, right = _rows(one), _rows(other)
        found += [Part(False, column, *run, 1) for run in _runs(left - right)]
        found += [Part(False, column + 1, *run, -1) for run in _runs(right - left)]
    return sorted(found)


def shape_marks(window: Window, panel: Panel, first_stitch: tuple[int, int, int, int]) -> Iterator[Mark]:
    """The counts of a shape's straight parts, outside them; the longest first, and none over another mark.

    Where the window shows too little of a part, or there is no room beside it, its count is left out.
    """
    outline = panel.piece.outline
    taken = [*_worked(window, outline), *_around(window, panel), _framed(window, first_stitch)]
    for part in sorted(parts(outline), key=lambda each: (-each.holes, each)):
        if part.holes < LEAST:
            continue
        box = next((box for box in _places(window, part) if _free(window, box, taken)), None)
        if box:
            taken.append(box)
            yield from _boxed(window, box, str(part.holes))


def _level(spans: list[tuple[int, int]], end: int) -> Iterator[Part]:
    """The upper (`end` 0) or lower parts: columns side by side that begin, or end, in the same hole row."""
    start = 0
    for column in range(1, len(spans)):
        if spans[column][end] == spans[start][end]:
            continue
        if spans[start][end]:
            yield Part(True, spans[start][end], start, column - 1, 1 if end else -1)
        start = column


def _rows(span: tuple[int, int]) -> set[int]:
    return set(range(span[0], span[1] + 1)) - {0}


def _runs(rows: set[int]) -> Iterator[tuple[int, int]]:
    """First and last of each run of numbers without a gap."""
    for row in sorted(rows):
        if row - 1 not in rows:
            last = row
            while last + 1 in rows:
                last += 1
            yield row, last


def _places(window: Window, part: Part) -> Iterator[Box]:
    """Where a part's box may stand: along the middle first, then towards its ends."""
    size, half = window.sizes.number_pt, window.hole_mm / 2
    wide, high = type_mm(str(part.holes), size) + 0.5, _size_mm(window) * 1.25
    along, across = (wide, high) if part.level else (high, wide)
    shown = _shown(window, part)
    if len(shown) < part.holes or shown[-1] - shown[0] + 2 * half < along:
        return
    low, slack = shown[0] - half, shown[-1] - shown[0] + 2 * half - along
    inside = window.y_mm(part.line) if part.level else _column_mm(window, part.line)
    edge = inside + part.outside * (half + OFF_MM)
    near, far = sorted((edge, edge + part.outside * across))
    for share in (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.1, 0.9, 0.0, 1.0):
        start = low + share * slack
        yield (start, near, start + along, far) if part.level else (near, start, far, start + along)


def _shown(window: Window, part: Part) -> list[float]:
    """The middles, along the part, of its holes that the window shows; none where its line is hidden."""
    holes = range(part.first, part.last + 1)
    if part.level:
        inside = window.top <= part.line <= window.bottom
        return [_column_mm(window, x) for x in holes if inside and x in window.columns]
    inside = part.line in window.columns
    return [window.y_mm(y) for y in holes if inside and window.top <= y <= window.bottom]


def _column_mm(window: Window, column: int) -> float:
    return window.x_mm(int(np.flatnonzero(window.columns == column)[0]) + 1)


def _worked(window: Window, outline: Outline) -> Iterator[Box]:
    """The holes of the shape that the window shows, column by column."""
    half = window.hole_mm / 2
    for at, column in enumerate(window.columns.tolist(), 1):
        first, last = outline[column - 1]
        if first:
            x = window.x_mm(at)
            yield x - half, window.y_mm(first) - half, x + half, window.y_mm(last) + half


def _around(window: Window, panel: Panel) -> Iterator[Box]:
    """What stands round the grid: numbers, arrow heads, and words at the sides where the piece goes on."""
    size, left, right, top, foot = (
        _size_mm(window),
        window.left_mm,
        window.right_mm,
        window.top_mm,
        window.foot_mm,
    )
    for at in numbered(window):
        x, half = window.x_mm(at), type_mm(str(int(window.columns[at - 1])), window.sizes.number_pt) / 2
        yield from ((x - half, 0, x + half, top - 3), (x - half, foot + 3, x + half, foot + 4 + size))
    for row in tenths(window.top, window.bottom):
        y, half = window.y_mm(row), size / 2
        yield from ((0, y - half, left - 3, y + half), (right + 3, y - half, right + 99, y + half))
    breadth, long = (size + air for size, air in zip(window.sizes.arrow_mm, ARROW_AIR_MM, strict=True))
    half = breadth / 2
    column, y = (panel.cover.columns + 1) // 2, window.y_mm((panel.cover.rows + 1) // 2)
    yield from ((left - long, y - half, left, y + half), (right, y - half, right + long, y + half))
    if column in window.columns:
        x = _column_mm(window, column)
        yield from ((x - half, top - long, x + half, top), (x - half, foot, x + half, foot + long))
    if int(window.columns[0]) > 1:
        yield -99, -99, left, 999
    if int(window.columns[-1]) < panel.cover.columns:
        yield right, -99, 999, 999
    if window.top > 1:
        yield -99, -99, 999, top
    if window.bottom < panel.cover.rows:
        yield -99, foot, 999, 999


def _size_mm(window: Window) -> float:
    return window.sizes.number_pt * MM


def _framed(window: Window, stitch: tuple[int, int, int, int]) -> Box:
    """About the frame of the first stitch; an empty box far away where the window does not show it."""
    x1, y1, x2, y2 = stitch
    if x1 not in window.columns or x2 not in window.columns:
        return -9, -9, -9, -9
    reach = 0.7 * window.hole_mm
    return (
        _column_mm(window, x1) - reach,
        window.y_mm(y1) - reach,
        _column_mm(window, x2) + reach,
        window.y_mm(y2) + reach,
    )


def _free(window: Window, box: Box, taken: list[Box]) -> bool:
    """Whether a box stays within the band round the grid and off all that stands there."""
    left, top, right, foot = box
    sizes = window.sizes
    if left < window.left_mm - sizes.side_mm or right > window.right_mm + sizes.side_mm:
        return False
    if top < window.top_mm - sizes.band_mm or foot > window.foot_mm + sizes.band_mm:
        return False
    return all(
        right + AIR_MM <= a or c + AIR_MM <= left or foot + AIR_MM <= b or d + AIR_MM <= top
        for a, b, c, d in taken
    )


def _boxed(window: Window, box: Box, text: str) -> Iterator[Mark]:
    left, top, right, foot = box
    corners = ((left, top), (right, top), (right, foot), (left, foot))
    yield PolygonMark(corners, fill=WHITE, outline=BLACK, pen_mm=0.25)
    size = window.sizes.number_pt
    yield TextMark((left + right) / 2, foot - (foot - top) * 0.22, text, size, "middle")
