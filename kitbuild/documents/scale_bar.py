"""A bar of 5 cm, marked in inches too, that shows whether a printer has shrunk the page."""

from __future__ import annotations

from typing import Final

import numpy as np

from kitbuild.base.blocks import LineMarks, Mark, TextMark
from kitbuild.base.units import MM_PER_INCH
from kitbuild.documents.chart_key import type_mm
from kitbuild.documents.chart_type import MM, ChartType

BAR_MM: Final = 50.0
INCHES: Final = 2
GAP_MM: Final = 4.0


def scale_bar(left: float, top: float, words: str, sizes: ChartType) -> list[Mark]:
    """Ticks at each centimetre above a line of 5 cm, at each half inch below one of 2 in; then the words."""
    size = sizes.number_pt
    line, inch = top + 1.6, MM_PER_INCH
    metric = [(left + 10 * at, line - 1.6, left + 10 * at, line) for at in range(6)]
    halves = [(left + at * inch / 2, line, left + at * inch / 2, line + 1.6) for at in range(2 * INCHES + 1)]
    ends = [(left, line, left + INCHES * inch, line), *metric, *halves]
    x, y = left + INCHES * inch + GAP_MM, line + 0.365 * size * MM
    if sizes.stacked:
        x, y = left, line + 2.8 + size * MM
    return [LineMarks(np.array(ends), 0.3), TextMark(x, y, words, size)]


def scale_width_mm(words: str, sizes: ChartType) -> float:
    """What the bar with its words takes of the width."""
    beside = 0.0 if sizes.stacked else INCHES * MM_PER_INCH + GAP_MM
    return max(beside + type_mm(words, sizes.number_pt), INCHES * MM_PER_INCH)
