"""The sizes of letters and holes of charts: the usual ones, of large print, of a folded booklet."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from kitbuild.base.colour import BLACK, Rgb
from kitbuild.base.document import Sheet

MM: Final = 25.4 / 72
"""Millimetres in a point."""
DIGIT: Final = 0.64
"""Width of a digit, in its type size."""


@dataclass(frozen=True, slots=True)
class ChartType:
    """What a chart's holes and words measure; all that stands round its grid follows from them.

    Holes of a line alone measure `least_hole_mm` or more, so that they can be counted, and no more than
    `line_hole_mm`, since it stands below its words; those of other charts `readable_hole_mm` or more, so that
    symbols can be told apart. `title`, `text` and `note` are the letters in points, and the lines in mm, of a
    heading above a chart, of its text, of small print; `line_words_mm` is what the words of a line take.
    """

    number_pt: float = 7.0
    words_pt: float = 8.0
    side_mm: float = 9.0
    least_hole_mm: float = 2.5
    readable_hole_mm: float = 3.2
    largest_hole_mm: float = 6.0
    line_hole_mm: float = 3.6
    line_words_mm: float = 38.0
    least_strip_mm: float = 150.0
    title: tuple[float, float] = (14.0, 6.4)
    text: tuple[float, float] = (10.5, 5.3)
    note: tuple[float, float] = (8.5, 4.3)
    grid_mm: float = 0.1
    grid_rgb: Rgb = (170, 170, 170)

    @property
    def band_mm(self) -> float:
        """Height of the numbers above and below the grid."""
        return 4.1 + self.number_pt * MM * 0.972

    @property
    def arrow_mm(self) -> tuple[float, float]:
        """Breadth and length of arrow heads at the centre: broad as the letters ask, short of the numbers."""
        return max(2.2, 0.28 * self.number_pt), 2.6 if self.stacked else 2.2

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
    number_pt=18.0,
    words_pt=18.0,
    side_mm=18.5,
    least_hole_mm=5.0,
    readable_hole_mm=5.0,
    largest_hole_mm=8.0,
    line_hole_mm=8.0,
    line_words_mm=56.0,
    least_strip_mm=200.0,
    title=(25.0, 11.3),
    text=(21.0, 9.9),
    note=(21.0, 9.9),
)
"""Large print: no letter below 18 points, no hole below 5 mm."""
FOLDED: Final = ChartType(readable_hole_mm=2.8, line_words_mm=54.0)
"""Half a sheet: the usual letters, whose words take more lines, and holes as small as can be read."""

WALL_PT: Final = 28.0
"""Letters of a wall chart on A2, read from a few steps away (common practice, no source)."""
A2_MM: Final = 594.0
WALL_WORDS_MM: Final = 34.0
"""A heading of two lines, and words on how sheets are joined."""


def for_wall(sheet: Sheet) -> ChartType:
    """The sizes of a chart that hangs on a wall: its letters and holes are as large as its paper allows."""
    size = max(WALL_PT * max(sheet.width_mm, sheet.height_mm) / A2_MM, 14.0)
    return ChartType(
        number_pt=size,
        words_pt=size,
        side_mm=0.86 * size,
        least_hole_mm=8.0,
        readable_hole_mm=8.0,
        largest_hole_mm=1.1 * size,
        line_hole_mm=1.1 * size,
        line_words_mm=WALL_WORDS_MM,
        least_strip_mm=9.0 * size,
        title=LARGE.title,
        text=LARGE.text,
        note=LARGE.note,
        grid_mm=0.3,
    )


def for_sheet(kind: ChartType, sheet: Sheet) -> ChartType:
    """The same with a strip of colours that is no wider than the sheet."""
    return replace(kind, least_strip_mm=min(kind.least_strip_mm, sheet.frame_width_mm - kind.side_mm))


def for_numbers(kind: ChartType, highest: int) -> ChartType:
    """The same with no more room at the sides than the number of the highest hole row takes."""
    digits_mm = len(str(highest)) * kind.number_pt * MM * DIGIT
    return replace(kind, side_mm=min(kind.side_mm, 3.4 + digits_mm))


def in_black(kind: ChartType) -> ChartType:
    """The same with thinner lines along the bars: printers break up thin lines of grey."""
    return replace(kind, grid_mm=0.07, grid_rgb=BLACK)
