"""Brackets above a chart, each with its words, which stand in further lines where they would meet."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from kitbuild.base.blocks import LineMarks, Mark, TextMark
from kitbuild.base.colour import BLACK
from kitbuild.documents.chart_key import type_mm
from kitbuild.documents.chart_type import USUAL, ChartType
from kitbuild.documents.window import Window


@dataclass(frozen=True, slots=True)
class Span:
    """A bracket over display columns `first` to `last` with its words."""

    first: int
    last: int
    text: str


def words_mm(spans: tuple[Span, ...], sizes: ChartType = USUAL) -> float:
    """What the longest words over brackets take."""
    return max((type_mm(span.text, sizes.words_pt) for span in spans), default=0.0)


def bracket_lines(window: Window, spans: tuple[Span, ...]) -> int:
    """Lines of words that the brackets need."""
    return max((line for _, line in _places(window, spans)), default=-1) + 1


def bracket_marks(window: Window, spans: tuple[Span, ...]) -> Iterator[Mark]:
    """Brackets above the numbers, with their words over them."""
    lines, sizes = max(window.bracket_lines, 1), window.sizes
    y = (lines - 1) * sizes.bracket_line_mm + sizes.words_pt * 0.375 + 1.2
    foot = y + 1.4
    for span, (middle, line) in zip(spans, _places(window, spans), strict=True):
        left = window.x_mm(span.first) - window.hole_mm / 2 + 0.3
        right = window.x_mm(span.last) + window.hole_mm / 2 - 0.3
        ends = np.array([(left, foot, left, y), (left, y, right, y), (right, y, right, foot)])
        yield LineMarks(ends, 0.4, BLACK)
        base = y - 1.2 - line * sizes.bracket_line_mm
        yield TextMark(middle, base, span.text, sizes.words_pt, "middle", bold=True)


def _places(window: Window, spans: tuple[Span, ...]) -> list[tuple[float, int]]:
    """The middle of each bracket's words inside the figure, and their line, 0 the lowest.

    Shorter words are placed first, each in the lowest line in which they meet no others.
    """
    wide = max(window.figure_mm, words_mm(spans, window.sizes))
    taken: list[tuple[float, float, int]] = []
    places: dict[Span, tuple[float, int]] = {}
    for span in sorted(spans, key=lambda each: len(each.text)):
        half = type_mm(span.text, window.sizes.words_pt) / 2
        middle = (window.x_mm(span.first) + window.x_mm(span.last)) / 2
        middle = min(max(middle, half), wide - half)
        met = {line for left, right, line in taken if left < middle + half and middle - half < right}
        line = next(line for line in range(len(spans)) if line not in met)
        taken.append((middle - half, middle + half, line))
        places[span] = (middle, line)
    return [places[span] for span in spans]
