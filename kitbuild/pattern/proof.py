"""The proof of coverage: each link that the cover names is crossed exactly once, no other at all."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kitbuild.pattern.panel import Cover, Ints, Stitches


@dataclass(frozen=True, slots=True)
class Fault:
    """A link crossed `times` instead of `wanted`, from hole (x, y) down, or to the right if `sideways`."""

    x: int
    y: int
    sideways: bool
    times: int
    wanted: int

    def __str__(self) -> str:
        x, y = (self.x + 1, self.y) if self.sideways else (self.x, self.y + 1)
        state = "bare" if not self.times else f"crossed {self.times} times"
        return f"the bar between holes ({self.x}, {self.y}) and ({x}, {y}) is {state}, not {self.wanted}"


def crossings(stitches: Stitches, columns: int, rows: int) -> tuple[Ints, Ints]:
    """How often each upright and each sideways link is crossed; shapes as in Cover."""
    upright = stitches.x1 == stitches.x2
    down = stitches.take(upright)
    across = stitches.take(~upright).transposed()
    return _chains(down, columns, rows), _chains(across, rows, columns).T


def _chains(stitches: Stitches, columns: int, rows: int) -> Ints:
    """Crossings of upright links: +1 where a stitch begins, -1 where it ends, summed downwards."""
    size = rows * columns
    begin = np.bincount((stitches.y1 - 1) * columns + stitches.x1 - 1, minlength=size)
    end = np.bincount((stitches.y2 - 1) * columns + stitches.x2 - 1, minlength=size)
    return np.cumsum((begin - end).reshape(rows, columns), axis=0)[:-1]


def faults(stitches: Stitches, cover: Cover) -> tuple[Fault, ...]:
    """Every link that is bare, doubled, or crossed though it must not be, and crooked stitches as such."""
    found = crossings(stitches, cover.columns, cover.rows)
    listed = []
    for sideways, (count, wanted) in enumerate(zip(found, (cover.upright, cover.sideways), strict=True)):
        for y, x in np.argwhere(count != wanted):
            wrong = Fault(int(x) + 1, int(y) + 1, bool(sideways), int(count[y, x]), int(wanted[y, x]))
            listed.append(wrong)
    return tuple(listed)


def is_straight(stitches: Stitches, cover: Cover) -> bool:
    """Whether every stitch is straight, at least one bar long, and inside the stitched area."""
    dx, dy = stitches.x2 - stitches.x1, stitches.y2 - stitches.y1
    along = ((dx == 0) & (dy > 0)) | ((dy == 0) & (dx > 0))
    inside = (stitches.x1 >= 1) & (stitches.y1 >= 1)
    inside &= (stitches.x2 <= cover.columns) & (stitches.y2 <= cover.rows)
    return bool((along & inside).all())
