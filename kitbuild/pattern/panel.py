"""The records of the pattern room: stitches, the links they must cross, and the panel they make."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from kitbuild.spec.piece import Piece

Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class Stitches:
    """All stitches of one copy of a piece: seven arrays of one length.

    Holes count from 1, x from the left, y from the top. (x1, y1) is the upper or left end, (x2, y2) the
    lower or right one. `colour` points into the kit's palette. `row` counts from the line: 0 is the line,
    above it negative, below positive; in ring patterns it is the ring, counted inwards from the line.
    `course` numbers the strings of stitches that lie side by side, in the order in which hands can lay
    them: 0 is the line that is laid first, and each course lies beside one before it.
    """

    x1: Ints
    y1: Ints
    x2: Ints
    y2: Ints
    colour: Ints
    row: Ints
    course: Ints

    def __len__(self) -> int:
        return len(self.x1)

    def take(self, which: Ints | Bools) -> Stitches:
        """The stitches that an index or mask picks, in that order."""
        return Stitches(*(getattr(self, name)[which] for name in self.__slots__))

    def length(self) -> Ints:
        """Bars that each stitch crosses."""
        return np.abs(self.x2 - self.x1) + np.abs(self.y2 - self.y1)

    def transposed(self) -> Stitches:
        """The same work turned on its side: columns become hole rows."""
        return Stitches(self.y1, self.x1, self.y2, self.x2, self.colour, self.row, self.course)


def joined(*parts: Stitches) -> Stitches:
    """All stitches of several parts, one part after the other."""
    if len(parts) == 1:
        return parts[0]
    names = Stitches.__slots__
    return Stitches(*(np.concatenate([getattr(part, name) for part in parts]) for name in names))


@dataclass(frozen=True, slots=True, eq=False)
class Cover:
    """Which links must be crossed once; every other link must not be crossed at all.

    `name` is what pieces.csv says. `upright[y-1, x-1]` is the link from hole (x, y) to (x, y + 1), shape
    (rows - 1, columns); `sideways[y-1, x-1]` that from (x, y) to (x + 1, y), shape (rows, columns - 1).
    """

    name: str
    upright: Bools
    sideways: Bools

    @property
    def columns(self) -> int:
        """Holes across."""
        return self.upright.shape[1]

    @property
    def rows(self) -> int:
        """Holes down."""
        return self.sideways.shape[0]

    def chains(self) -> tuple[Ints, Ints, Ints, Ints]:
        """x1, y1, x2, y2 of the longest straight chains of links that must be crossed, upright ones first."""
        x, top, bottom = _straight(self.upright.T)
        y, left, right = _straight(self.sideways)
        ends = ((x, left), (top, y), (x, right), (bottom, y))
        x1, y1, x2, y2 = (np.concatenate(pair).astype(np.int64) for pair in ends)
        return x1, y1, x2, y2


def _straight(links: Bools) -> tuple[Ints, Ints, Ints]:
    """Line, first hole and last hole, from 1, of each unbroken run of links along axis 1."""
    padded = np.pad(links.astype(np.int8), ((0, 0), (1, 1)))
    change = np.diff(padded, axis=1)
    line, first = np.nonzero(change == 1)
    return line + 1, first + 1, np.nonzero(change == -1)[1] + 1


@dataclass(frozen=True, slots=True)
class Repeat:
    """How a pattern repeats: `columns` wide, `count` whole times, after `left` and before `right` columns.

    `bars` is how far down the canvas the whole picture returns: all of them where it does not. Left end,
    repeats and right end rebuild the piece column for column.
    """

    columns: int
    count: int
    left: int
    right: int
    bars: int


@dataclass(frozen=True, slots=True, eq=False)
class Panel:
    """One copy of a piece, stitch by stitch, with its cover proven and its repeat known.

    `counted` says what `stitches.row` counts: rows from the line, or rings from the line inwards.
    """

    piece: Piece
    stitches: Stitches
    cover: Cover
    repeat: Repeat
    counted: Literal["rows", "rings"]
