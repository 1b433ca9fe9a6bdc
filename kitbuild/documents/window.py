"""The part of a piece that a chart shows, and where its holes lie in the figure."""

from __future__ import annotations

from dataclasses import dataclass

from kitbuild.base.blocks import Ints

GUTTER_LEFT_MM = 9.0
GUTTER_RIGHT_MM = 9.0
GUTTER_TOP_MM = 6.5
GUTTER_BOTTOM_MM = 6.5
BRACKET_MM = 6.0
BRACKET_LINE_MM = 3.8


def brackets_mm(lines: int) -> float:
    """Height that brackets take with so many lines of words over them."""
    return BRACKET_MM + (lines - 1) * BRACKET_LINE_MM if lines else 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Window:
    """The holes that a chart shows: `columns` as numbered on the piece, in order, and rows `top` to `bottom`.

    Columns may leave out part of the piece where it repeats; `breaks` are the display columns (from 1)
    before which something was left out or a part ends. `bracket_lines` are the lines of words over the
    brackets above the grid, 0 where there are none.
    """

    columns: Ints
    top: int
    bottom: int
    hole_mm: float
    breaks: tuple[int, ...] = ()
    repeated_columns: int = 0
    repeated_rows: int = 0
    bracket_lines: int = 0

    @property
    def top_mm(self) -> float:
        """Where the grid begins in the figure: below the numbers, and the brackets if there are any."""
        return GUTTER_TOP_MM + brackets_mm(self.bracket_lines)

    @property
    def width_mm(self) -> float:
        """Width of the grid."""
        return len(self.columns) * self.hole_mm

    @property
    def height_mm(self) -> float:
        """Height of the grid."""
        return (self.bottom - self.top + 1) * self.hole_mm

    @property
    def figure_mm(self) -> float:
        """Width of the grid with its gutters."""
        return GUTTER_LEFT_MM + self.width_mm + GUTTER_RIGHT_MM

    def x_mm(self, display_column: float) -> float:
        """Where the middle of a display column (from 1) lies in the figure."""
        return GUTTER_LEFT_MM + (display_column - 0.5) * self.hole_mm

    def y_mm(self, row: float) -> float:
        """Where the middle of a hole row lies in the figure."""
        return self.top_mm + (row - self.top + 0.5) * self.hole_mm
