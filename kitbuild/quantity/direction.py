"""The needle's way through each stitch: which end it comes up at, by the kit's policy.

False is downwards: up at the upper (left) end, down at the lower (right) one. True is the other way. Several
areas are judged at once: `first` is True at the first stitch of each.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import numpy as np

from kitbuild.pattern.panel import Bools, Ints, Stitches

Occupied = Bools


def even(work: Stitches, first: Bools, occupied: Occupied) -> Bools:
    """Always downwards."""
    return np.zeros(len(work), dtype=bool)


def clean_holes(work: Stitches, first: Bools, occupied: Occupied) -> Bools:
    """Come up in an empty hole, go down in a shared one: below the line upwards, above it downwards.

    Where both ends or neither are shared, the stitch goes the way of the one before it. Common practice.
    """
    begins = occupied[work.y1, work.x1]
    ends = occupied[work.y2, work.x2]
    return _carried(np.where(begins == ends, 0, np.where(begins, 1, -1)), first)


def cover_the_back(work: Stitches, first: Bools, occupied: Occupied) -> Bools:
    """The long run at each step: downwards where the line climbs, upwards where it falls (published)."""
    return _carried(_slopes(work, first), first)


def save_thread(work: Stitches, first: Bools, occupied: Occupied) -> Bools:
    """The short run at each step: downwards where the line falls, upwards where it climbs."""
    return _carried(-_slopes(work, first), first)


Way = Callable[[Stitches, Bools, Occupied], Bools]

POLICIES: Final[dict[str, Way]] = {
    "clean holes": clean_holes,
    "cover the back": cover_the_back,
    "even": even,
    "save thread": save_thread,
}


def _slopes(work: Stitches, first: Bools) -> Ints:
    """+1 where the line falls to the next stitch in order of work, -1 where it climbs, 0 on the level.

    Carried on, the first stitch of a turning group keeps the slope it was reached by, so that both steps
    beside the turn get the policy's run; a turning group of one goes by the step that leaves it.
    """
    across = work.x1 != work.x2
    middle = np.where(across, work.x1 + work.x2, work.y1 + work.y2)
    arrived = np.where(first, 0, np.sign(np.diff(middle, prepend=0)))
    return np.append(arrived[1:], 0)


def _carried(sign: Ints, first: Bools) -> Bools:
    """True where the sign is positive; a 0 takes the sign before it, or at an area's start the first after.

    Downwards where the area has no sign at all.
    """
    area = np.cumsum(first)
    known = np.flatnonzero(sign)
    if not len(known):
        return np.zeros(len(sign), dtype=bool)
    back = np.searchsorted(known, np.arange(len(sign)), side="right") - 1
    before, after = known[np.maximum(back, 0)], known[np.minimum(back + 1, len(known) - 1)]
    source = np.where((back >= 0) & (area[before] == area), before, after)
    return (area[source] == area) & (sign[source] > 0)
