"""The part of a piece that a chart shows, and where its holes lie in the figure."""

from __future__ import annotations

from dataclasses import dataclass

from kitbuild.base.blocks import Ints
from kitbuild.documents.chart_type import USUAL, ChartType


def brackets_mm(lines: int, sizes: ChartType = USUAL) -> float:
    """Height that brackets take with so many lines of words over them."""
    return sizes.bracket_mm + (lines - 1) * sizes.bracket_line_mm if lines else 0.0


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
    sizes: ChartType = USUAL

    @property
    def top_mm(self) -> float:
        """Where the grid begins in the figure: below the numbers, and the brackets if there are any."""
        return self.sizes.band_mm + brackets_mm(self.bracket_lines, self.sizes)

    @property
    def left_mm(self) -> float:
        """Where the grid begins in the figure: right of the numbers."""
        return self.sizes.side_mm

    @property
    def right_mm(self) -> float:
        """Where the grid ends."""
        return self.left_mm + self.width_mm

    @property
    def foot_mm(self) -> float:
        """Where the grid ends below."""
        return self.top_mm + self.height_mm

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
        return self.width_mm + 2 * self.sizes.side_mm

    def x_mm(self, display_column: float) -> float:
        """Where the middle of a display column (from 1) lies in the figure."""
        return self.sizes.side_mm + (display_column - 0.5) * self.hole_mm

    def y_mm(self, row: float) -> float:
        """Where the middle of a hole row lies in the figure."""
        return self.top_mm + (row - self.top + 0.5) * self.hole_mm
