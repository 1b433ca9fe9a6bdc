"""The sizes of letters and holes of charts: the usual ones, of large print, of a folded booklet."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from kitbuild.base.document import Sheet

MM: Final = 25.4 / 72
"""Millimetres in a point."""


@dataclass(frozen=True, slots=True)
class ChartType:
    """What a chart's holes and words measure; all that stands round its grid follows from them.

    A chart of one page has holes of `least_hole_mm` or more, one of several of `readable_hole_mm` or more.
    `heading_mm` and `more_words_mm` are what the words above a chart take of its page.
    """

    number_pt: float = 7.0
    words_pt: float = 8.0
    side_mm: float = 9.0
    least_hole_mm: float = 2.5
    readable_hole_mm: float = 2.8
    largest_hole_mm: float = 6.0
    heading_mm: float = 24.0
    more_words_mm: float = 14.0
    least_strip_mm: float = 150.0

    @property
    def band_mm(self) -> float:
        """Height of the numbers above and below the grid."""
        return 4.1 + self.number_pt * MM * 0.972

    @property
    def bracket_mm(self) -> float:
        """A bracket with one line of words over it."""
        return 3.0 + self.words_pt * 0.375

    @property
    def bracket_line_mm(self) -> float:
        """Each further line of words over brackets."""
        return self.words_pt * 0.475

    @property
    def strip_line_mm(self) -> float:
        """One line of the colours below a chart."""
        return self.words_pt * 0.75

    @property
    def scale_mm(self) -> float:
        """The bar to measure below a chart, its words beside it, or under it where they are large."""
        return 3.0 + self.number_pt * MM * (2.3 if self.stacked else 2.0)

    @property
    def stacked(self) -> bool:
        """Whether words are too large to stand beside a bar."""
        return self.number_pt > 12


USUAL: Final = ChartType()
LARGE: Final = ChartType(
    18.0, 18.0, 16.0, 5.0, 5.0, 8.0, heading_mm=32.0, more_words_mm=24.0, least_strip_mm=200.0
)
"""Large print: no letter below 18 points, no hole below 5 mm."""
FOLDED: Final = ChartType(heading_mm=30.0, more_words_mm=24.0)
"""Half a sheet: the usual letters, whose words take more lines."""

WALL_PT: Final = 28.0
"""Letters of a wall chart on A2, read from a few steps away (common practice, no source)."""
A2_MM: Final = 594.0


def for_wall(sheet: Sheet) -> ChartType:
    """The sizes of a chart that hangs on a wall: its letters and holes are as large as its paper allows."""
    size = max(WALL_PT * max(sheet.width_mm, sheet.height_mm) / A2_MM, 14.0)
    return ChartType(
        size,
        size,
        side_mm=0.86 * size,
        least_hole_mm=8.0,
        readable_hole_mm=8.0,
        largest_hole_mm=1.1 * size,
        heading_mm=1.2 * size,
        more_words_mm=0.5 * size,
        least_strip_mm=9.0 * size,
    )


def for_sheet(kind: ChartType, sheet: Sheet) -> ChartType:
    """The same with a strip of colours that is no wider than the sheet."""
    return replace(kind, least_strip_mm=min(kind.least_strip_mm, sheet.frame_width_mm - kind.side_mm))
