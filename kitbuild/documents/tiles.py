"""How a chart is divided over pages: always in whole holes, never below the least hole size."""

from __future__ import annotations

from dataclasses import dataclass

from kitbuild.base.units import down, up
from kitbuild.documents.chart_type import USUAL, ChartType

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


def tiling(
    columns: int,
    rows: int,
    width_mm: float,
    height_mm: float,
    sizes: ChartType = USUAL,
    least_mm: float | None = None,
) -> Tiling:
    """The fewest pages on which `columns` by `rows` holes measure `least_mm` or more, else can be read.

    `width_mm` by `height_mm` is the area on each page; holes are as large as those pages allow.
    """
    least_mm = least_mm or sizes.readable_hole_mm
    single = min(width_mm / columns, height_mm / rows, sizes.largest_hole_mm)
    if single >= least_mm - 1e-9:
        return Tiling(down(single * 100) / 100, (Tile(1, 0, 0, 1, columns, 1, rows, 0, 0),))
    across = _spans(columns, max(down(width_mm / least_mm), REPEATED + 1))
    below = _spans(rows, max(down(height_mm / least_mm), REPEATED + 1))
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
