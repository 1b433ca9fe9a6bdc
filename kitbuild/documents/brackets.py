"""Brackets above a chart, each with its words, which stand in further lines where they would meet."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from kitbuild.base.blocks import LineMarks, Mark, TextMark
from kitbuild.base.colour import BLACK
from kitbuild.documents.chart_key import type_mm
from kitbuild.documents.window import BRACKET_LINE_MM, Window

WORDS_PT = 8.0


@dataclass(frozen=True, slots=True)
class Span:
    """A bracket over display columns `first` to `last` with its words."""

    first: int
    last: int
    text: str


def words_mm(spans: tuple[Span, ...]) -> float:
    """What the longest words over brackets take."""
    return max((type_mm(span.text, WORDS_PT) for span in spans), default=0.0)


def bracket_lines(window: Window, spans: tuple[Span, ...]) -> int:
    """Lines of words that the brackets need."""
    return max((line for _, line in _places(window, spans)), default=-1) + 1


def bracket_marks(window: Window, spans: tuple[Span, ...]) -> Iterator[Mark]:
    """Brackets above the numbers, with their words over them."""
    lines = max(window.bracket_lines, 1)
    top = (lines - 1) * BRACKET_LINE_MM
    for span, (middle, line) in zip(spans, _places(window, spans), strict=True):
        left = window.x_mm(span.first) - window.hole_mm / 2 + 0.3
        right = window.x_mm(span.last) + window.hole_mm / 2 - 0.3
        y, foot = top + 4.2, top + 5.6
        ends = np.array([(left, foot, left, y), (left, y, right, y), (right, y, right, foot)])
        yield LineMarks(ends, 0.4, BLACK)
        yield TextMark(middle, y - 1.2 - line * BRACKET_LINE_MM, span.text, WORDS_PT, "middle", bold=True)


def _places(window: Window, spans: tuple[Span, ...]) -> list[tuple[float, int]]:
    """The middle of each bracket's words inside the figure, and their line, 0 the lowest.

    Shorter words are placed first, each in the lowest line in which they meet no others.
    """
    wide = max(window.figure_mm, words_mm(spans))
    taken: list[tuple[float, float, int]] = []
    places: dict[Span, tuple[float, int]] = {}
    for span in sorted(spans, key=lambda each: len(each.text)):
        half = type_mm(span.text, WORDS_PT) / 2
        middle = (window.x_mm(span.first) + window.x_mm(span.last)) / 2
        middle = min(max(middle, half), wide - half)
        met = {line for left, right, line in taken if left < middle + half and middle - half < right}
        line = next(line for line in range(len(spans)) if line not in met)
        taken.append((middle - half, middle + half, line))
        places[span] = (middle, line)
    return [places[span] for span in spans]
