"""The needle's way through each stitch: which end it comes up at, by the kit's policy.

False is downwards: up at the upper (left) end, down at the lower (right) one. True is the other way.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import numpy as np
from numpy.typing import NDArray

from kitbuild.pattern.panel import Stitches

Bools = NDArray[np.bool_]
Occupied = NDArray[np.bool_]


def even(work: Stitches, occupied: Occupied) -> Bools:
    """Always downwards."""
    return np.zeros(len(work), dtype=bool)


def clean_holes(work: Stitches, occupied: Occupied) -> Bools:
    """Come up in an empty hole, go down in a shared one: below the line upwards, above it downwards.

    Where both ends or neither are shared, the stitch goes the way of the one before it. Common practice.
    """
    first = occupied[work.y1, work.x1]
    last = occupied[work.y2, work.x2]
    return _carried(np.where(first == last, 0, np.where(first, 1, -1)))


def cover_the_back(work: Stitches, occupied: Occupied) -> Bools:
    """The long run at each step: downwards where the line climbs, upwards where it falls (published)."""
    return _carried(_slopes(work))


def save_thread(work: Stitches, occupied: Occupied) -> Bools:
    """The short run at each step: downwards where the line falls, upwards where it climbs."""
    return _carried(-_slopes(work))


POLICIES: Final[dict[str, Callable[[Stitches, Occupied], Bools]]] = {
    "clean holes": clean_holes,
    "cover the back": cover_the_back,
    "even": even,
    "save thread": save_thread,
}


def _slopes(work: Stitches) -> NDArray[np.int64]:
    """+1 where the line falls to the next stitch in order of work, -1 where it climbs, 0 on the level.

    The first stitch of a turning group keeps the slope it was reached by, so that both steps beside the
    turn get the policy's run; a turning group of one goes by the step that leaves it.
    """
    across = work.x1 != work.x2
    middle = np.where(across, work.x1 + work.x2, work.y1 + work.y2)
    step = np.sign(np.diff(middle))
    slope = np.append(step, 0)
    arrived = np.insert(step, 0, 0)
    level_next = slope == 0
    return np.where(level_next & (arrived != 0), arrived, slope)


def _carried(sign: NDArray[np.int64]) -> Bools:
    """True where the sign is positive; a 0 takes the sign before it, or at the start the first one after.

    With no sign at all, downwards.
    """
    known = np.flatnonzero(sign)
    if not len(known):
        return np.zeros(len(sign), dtype=bool)
    back = np.searchsorted(known, np.arange(len(sign)), side="right") - 1
    return sign[known[np.maximum(back, 0)]] > 0
