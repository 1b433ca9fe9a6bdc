"""How a chart is divided over pages: always in whole holes, never below the least hole size."""

from __future__ import annotations

from dataclasses import dataclass

from kitbuild.base.units import down, up
from kitbuild.documents.chart_type import USUAL, ChartType

LEAST_HOLE_MM = USUAL.least_hole_mm
"""No chart is printed smaller: below this a hole cannot be counted."""
LARGEST_HOLE_MM = USUAL.largest_hole_mm
REPEATED = 4
"""Columns and rows of the page before that are shown again, hatched."""


@dataclass(frozen=True, slots=True)
class Tile:
    """One page of a chart: its holes, first and last included, and how many of them stood on the page before.

    `across` and `down` count the tiles from 0, `number` from 1, row by row.
    """

    number: int
    across: int
    down: int
    left: int
    right: int
    top: int
    bottom: int
    repeated_columns: int
    repeated_rows: int

    @property
    def columns(self) -> int:
        """Columns on this page."""
        return self.right - self.left + 1

    @property
    def rows(self) -> int:
        """Hole rows on this page."""
        return self.bottom - self.top + 1


@dataclass(frozen=True, slots=True)
class Tiling:
    """All pages of a chart at one hole size."""

    hole_mm: float
    tiles: tuple[Tile, ...]

    @property
    def across(self) -> int:
        """Pages side by side."""
        return self.tiles[-1].across + 1

    @property
    def down(self) -> int:
        """Pages one below the other."""
        return self.tiles[-1].down + 1


def tiling(columns: int, rows: int, width_mm: float, height_mm: float, sizes: ChartType = USUAL) -> Tiling:
    """The fewest pages on which `columns` by `rows` holes can be read, in an area of so many mm."""
    single = min(width_mm / columns, height_mm / rows, sizes.largest_hole_mm)
    if single >= sizes.least_hole_mm:
        return Tiling(down(single * 100) / 100, (Tile(1, 0, 0, 1, columns, 1, rows, 0, 0),))
    across = _spans(columns, down(width_mm / sizes.readable_hole_mm))
    below = _spans(rows, down(height_mm / sizes.readable_hole_mm))
    widest = max(last - first + 1 for first, last in across)
    highest = max(last - first + 1 for first, last in below)
    hole = min(width_mm / widest, height_mm / highest, sizes.largest_hole_mm)
    tiles = tuple(
        Tile(y * len(across) + x + 1, x, y, left, right, top, bottom, REPEATED * (x > 0), REPEATED * (y > 0))
        for y, (top, bottom) in enumerate(below)
        for x, (left, right) in enumerate(across)
    )
    return Tiling(down(hole * 100) / 100, tiles)


def _spans(holes: int, room: int) -> list[tuple[int, int]]:
    """First and last hole of each page, as even as can be, each with the last REPEATED of the one before."""
    if holes <= room:
        return [(1, holes)]
    pages = up((holes - REPEATED) / (room - REPEATED))
    fresh = (holes - REPEATED) / pages
    starts = [round(page * fresh) for page in range(pages)]
    ends = [start + REPEATED for start in starts[1:]] + [holes]
    return [(start + 1, end) for start, end in zip(starts, ends, strict=True)]
