"""The holes that a piece's stitches may use: a rectangle, or a shape inside it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from kitbuild.pattern.panel import Bools, Ints
from kitbuild.pattern.wrong import Wrong

Outline = tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True, eq=False)
class Area:
    """`first` and `last` are the hole rows between which each column is stitched, both 0 where it is not."""

    columns: int
    rows: int
    first: Ints
    last: Ints

    @property
    def whole(self) -> bool:
        """Whether it is the whole rectangle."""
        return bool((self.first == 1).all() and (self.last == self.rows).all())

    def holds(self, x: Ints, y: Ints) -> Bools:
        """Whether each hole (x, y), column 1 to `columns`, lies inside."""
        return (self.first[x - 1] <= y) & (y <= self.last[x - 1]) & (self.first[x - 1] > 0)

    def upright(self) -> Bools:
        """Which upright links lie inside, shape (rows - 1, columns)."""
        y = np.arange(1, self.rows)[:, None]
        return (self.first <= y) & (y < self.last) & (self.first > 0)

    def sideways(self) -> Bools:
        """Which sideways links lie inside, shape (rows, columns - 1)."""
        y = np.arange(1, self.rows + 1)[:, None]
        holes = (self.first <= y) & (y <= self.last) & (self.first > 0)
        return holes[:, :-1] & holes[:, 1:]


def area_of(columns: int, rows: int, outline: Outline = ()) -> Area:
    """The area of a piece; an empty outline is the whole rectangle."""
    if not outline:
        one = np.ones(columns, dtype=np.int64)
        return Area(columns, rows, one, one * rows)
    ends = np.array(outline, dtype=np.int64).reshape(-1, 2)
    return Area(columns, rows, ends[:, 0].copy(), ends[:, 1].copy())


def outline_faults(columns: int, rows: int, outline: Outline) -> Iterator[Wrong]:
    """What keeps an outline from shaping a piece of so many columns and hole rows."""
    if not outline:
        return
    path = ("outline",)
    if len(outline) != columns:
        message = f"the outline has {len(outline)} columns, the piece {columns}"
        yield Wrong("KB410", path, message, f"give {columns} columns")
        return
    ends = np.array(outline, dtype=np.int64)
    empty = (ends == 0).all(axis=1)
    if empty.all():
        yield Wrong("KB410", path, "the outline leaves nothing to stitch", "give columns with hole rows")
    outside = ~empty & ((ends[:, 0] < 1) | (ends[:, 1] > rows))
    for x in np.flatnonzero(outside)[:3].tolist():
        message = f"column {x + 1} of the outline, hole rows {outline[x][0]} to {outline[x][1]}, is outside"
        yield Wrong("KB410", (*path, "spans", x), message, f"keep within hole rows 1 to {rows}")
    for x in np.flatnonzero(~empty & ~outside & (ends[:, 1] <= ends[:, 0]))[:3].tolist():
        message = f"column {x + 1} of the outline has no bar that a stitch could cross"
        yield Wrong("KB410", (*path, "spans", x), message, "give it two hole rows or more, or `-` for none")
