"""The colours below a chart, and patches of colour with their symbols."""

from __future__ import annotations

from typing import Final

from kitbuild.base.blocks import Ink, Mark, PolygonMark, TextMark
from kitbuild.base.colour import BLACK, ink_on
from kitbuild.documents.chart_type import USUAL, ChartType

Key = tuple[tuple[Ink, str], ...]

LEAST_STRIP_MM: Final = USUAL.least_strip_mm
"""A key strip is at least this wide, so that a narrow chart does not make it long."""


def key_strip(
    key: Key, left: float, top: float, width: float, sizes: ChartType = USUAL
) -> tuple[list[Mark], int]:
    """Colour patches with symbols and names in lines, and how many lines they take."""
    marks: list[Mark] = []
    size = sizes.words_pt
    for (ink, name), (x, line) in zip(key, _strip_places(key, width, sizes), strict=True):
        y = top + line * sizes.strip_line_mm
        marks += patch_marks(ink, left + x, y, size * 0.55)
        marks.append(TextMark(left + x + size * 0.7, y + size * 0.4125, name, size))
    return marks, strip_lines(key, width, sizes)


def strip_lines(key: Key, width: float, sizes: ChartType = USUAL) -> int:
    """Lines that a key takes in a width of so many mm."""
    places = _strip_places(key, width, sizes)
    return places[-1][1] + 1 if places else 0


def strip_mm(key: Key, width: float, sizes: ChartType = USUAL) -> float:
    """What the longest line of a key takes of a width of so many mm."""
    places = _strip_places(key, width, sizes)
    ends = (x + _entry_mm(name, sizes) for (_, name), (x, _) in zip(key, places, strict=True))
    return max(ends, default=0.0)


def _strip_places(key: Key, width: float, sizes: ChartType) -> list[tuple[float, int]]:
    """Where each patch of a key stands: mm from the left, and its line from 0."""
    places, x, line = [], 0.0, 0
    for _, name in key:
        wide = _entry_mm(name, sizes)
        if x and x + wide > width:
            x, line = 0.0, line + 1
        places.append((x, line))
        x += wide
    return places


def _entry_mm(name: str, sizes: ChartType) -> float:
    """A patch, its name, and the space after them."""
    return 1.125 * sizes.words_pt + type_mm(name, sizes.words_pt)


def patch_marks(ink: Ink, left: float, top: float, size_mm: float) -> list[Mark]:
    """A square of colour with its symbol."""
    right, bottom = left + size_mm, top + size_mm
    corners = ((left, top), (right, top), (right, bottom), (left, bottom))
    size_pt = size_mm * 2.1
    symbol = TextMark(
        (left + right) / 2, bottom - size_mm * 0.25, ink.symbol, size_pt, "middle", rgb=ink_on(ink.rgb)
    )
    return [PolygonMark(corners, fill=ink.rgb, outline=BLACK, pen_mm=0.2), symbol]


def type_mm(text: str, size_pt: float) -> float:
    """A generous width of words: six tenths of the type size a character."""
    return len(text) * size_pt * 0.6 * 25.4 / 72
