"""The colours below a chart, and patches of colour with their symbols."""

from __future__ import annotations

from typing import Final

from kitbuild.base.blocks import Ink, Mark, PolygonMark, TextMark
from kitbuild.base.colour import BLACK, ink_on

STRIP_LINE_MM: Final = 6.0
LEAST_STRIP_MM: Final = 150.0
"""A key strip is at least this wide, so that a narrow chart does not make it long."""


def key_strip(
    key: tuple[tuple[Ink, str], ...], left: float, top: float, width: float
) -> tuple[list[Mark], int]:
    """Colour patches with symbols and names in lines, and how many lines they take."""
    marks: list[Mark] = []
    for (ink, name), (x, line) in zip(key, _strip_places(key, width), strict=True):
        y = top + line * STRIP_LINE_MM
        marks += patch_marks(ink, left + x, y, 4.4)
        marks.append(TextMark(left + x + 5.6, y + 3.3, name, 8))
    return marks, strip_lines(key, width)


def strip_lines(key: tuple[tuple[Ink, str], ...], width: float) -> int:
    """Lines that a key takes in a width of so many mm."""
    places = _strip_places(key, width)
    return places[-1][1] + 1 if places else 0


def strip_mm(key: tuple[tuple[Ink, str], ...], width: float) -> float:
    """What the longest line of a key takes of a width of so many mm."""
    places = _strip_places(key, width)
    return max((x + _entry_mm(name) for (_, name), (x, _) in zip(key, places, strict=True)), default=0.0)


def _strip_places(key: tuple[tuple[Ink, str], ...], width: float) -> list[tuple[float, int]]:
    """Where each patch of a key stands: mm from the left, and its line from 0."""
    places, x, line = [], 0.0, 0
    for _, name in key:
        wide = _entry_mm(name)
        if x and x + wide > width:
            x, line = 0.0, line + 1
        places.append((x, line))
        x += wide
    return places


def _entry_mm(name: str) -> float:
    """A patch, its name, and the space after them."""
    return 9 + type_mm(name, 8)


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
