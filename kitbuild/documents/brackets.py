"""Brackets above a chart, each with its words: over it where they fit, else beside it or at a line above."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product
from typing import Final, Literal

import numpy as np

from kitbuild.base.blocks import LineMarks, Mark, TextMark
from kitbuild.base.colour import BLACK
from kitbuild.documents.chart_key import type_mm
from kitbuild.documents.chart_type import MM
from kitbuild.documents.window import Window

AIR_MM: Final = 1.0
"""What stays free between words, and between words and a line that leads to others."""


@dataclass(frozen=True, slots=True)
class Span:
    """A bracket over display columns `first` to `last` with its words."""

    first: int
    last: int
    text: str


@dataclass(frozen=True, slots=True)
class _Place:
    """Words in a line (0 the lowest) from `left` to `right`; `leader` is where a line comes up to them."""

    line: int
    left: float
    right: float
    anchor: Literal["start", "middle", "end"]
    leader: float | None = None

    @property
    def x_mm(self) -> float:
        """The point that the anchor names."""
        return {"start": self.left, "middle": (self.left + self.right) / 2, "end": self.right}[self.anchor]

    def meets(self, other: _Place) -> bool:
        """Whether its words or its leader meet those of another."""
        words = self.line == other.line and self.left < other.right + AIR_MM
        return (words and other.left < self.right + AIR_MM) or self._crosses(other) or other._crosses(self)

    def _crosses(self, other: _Place) -> bool:
        if self.leader is None or self.line <= other.line:
            return False
        return other.left - AIR_MM < self.leader < other.right + AIR_MM


def words_right_mm(window: Window, spans: tuple[Span, ...]) -> float:
    """How far right the words over brackets reach in the figure."""
    return max((place.right for place in _places(window, spans)), default=0.0)


def bracket_lines(window: Window, spans: tuple[Span, ...]) -> int:
    """Lines of words that the brackets need."""
    return max((place.line for place in _places(window, spans)), default=-1) + 1


def bracket_marks(window: Window, spans: tuple[Span, ...]) -> Iterator[Mark]:
    """Brackets above the numbers, with their words."""
    lines, sizes = max(window.bracket_lines, 1), window.sizes
    y = (lines - 1) * sizes.bracket_line_mm + sizes.words_pt * 0.375 + 1.2
    foot = y + 1.4
    for span, place in zip(spans, _places(window, spans), strict=True):
        left, right = _ends(window, span)
        ends = [(left, foot, left, y), (left, y, right, y), (right, y, right, foot)]
        base = y - 1.2 - place.line * sizes.bracket_line_mm
        if place.leader is not None:
            middle = base - 0.35 * sizes.words_pt * MM
            beside = place.left - 0.5 if place.anchor == "start" else place.right + 0.5
            ends += [(place.leader, y, place.leader, middle), (place.leader, middle, beside, middle)]
        yield LineMarks(np.array(ends), 0.4, BLACK)
        yield TextMark(place.x_mm, base, span.text, sizes.words_pt, place.anchor, bold=True)


def _ends(window: Window, span: Span) -> tuple[float, float]:
    """Where a bracket begins and ends: a little inside its columns."""
    half = window.hole_mm / 2 - 0.3
    return window.x_mm(span.first) - half, window.x_mm(span.last) + half


def _places(window: Window, spans: tuple[Span, ...]) -> list[_Place]:
    """Where all words stand, in as few lines as they need without meeting.

    Words that fit stand over their bracket; else those of an outermost one may stand beside it, away from the
    others; else they stand in a line above, at the end of a line that comes up from their bracket.
    """
    choices = [list(_choices(window, span, spans)) for span in spans]
    best: list[_Place] = []
    for tried in product(*choices):
        cost = (max(place.line for place in tried), sum(place.line for place in tried)) if tried else (0, 0)
        met = any(one.meets(other) for at, one in enumerate(tried) for other in tried[at + 1 :])
        if not met and (not best or cost < (max(p.line for p in best), sum(p.line for p in best))):
            best = list(tried)
    return best


def _choices(window: Window, span: Span, spans: tuple[Span, ...]) -> Iterator[_Place]:
    """The places that words may take, the most wanted first."""
    wide, most = type_mm(span.text, window.sizes.words_pt), _most_mm(window, spans)
    left, right = _ends(window, span)
    middle = (left + right) / 2
    if wide <= right - left or len(spans) == 1:
        start = min(max(middle - wide / 2, 0.0), max(most - wide, 0.0))
        yield _Place(0, start, start + wide, "middle")
        return
    if span is spans[0] and right >= wide:
        yield _Place(0, right - wide, right, "end")
    if span is spans[-1] and left + wide <= most:
        yield _Place(0, left, left + wide, "start")
    for line in range(1, len(spans) + 1):
        if middle + 1.5 + wide <= most:
            yield _Place(line, middle + 1.5, middle + 1.5 + wide, "start", middle)
        if middle - 1.5 - wide >= 0:
            yield _Place(line, middle - 1.5 - wide, middle - 1.5, "end", middle)
        start = min(max(middle - wide / 2, 0.0), max(most - wide, 0.0))
        yield _Place(line, start, start + wide, "middle")


def _most_mm(window: Window, spans: tuple[Span, ...]) -> float:
    """How far right words may reach: to the end of the figure, or of the key below a narrow chart."""
    longest = max(type_mm(span.text, window.sizes.words_pt) for span in spans)
    return max(window.figure_mm, window.sizes.least_strip_mm, longest)
