"""The least that a colour of few areas can take: over every order and way to work them.

Areas are taken in each of the ways that they are given in: from either end as the policy lays them, and with
the first or the last stitch turned to reach the next.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final, Protocol

import numpy as np

Hole = tuple[int, int]

FEW: Final = 12
"""Most areas that are judged so: the work doubles with each."""


class Way(Protocol):
    """An area worked from one end: its runs in pitches, and the holes that it can begin and end in."""

    runs: tuple[float, ...]
    begins: tuple[Hole, ...]
    ends: tuple[Hole, ...]


def least_pitches(
    areas: Sequence[Sequence[Way]], longest: float, start: float, front: float = 0.0, usable: float = math.inf
) -> float:
    """Runs and new starts in pitches of a colour's areas, none of its runs over `longest`.

    `start` is what a new start takes, `front` the stitches themselves, `usable` what one start holds of
    stitches and runs. Starts that these ask for and the areas do not fall inside an area, and spare its
    longest run.
    """
    by_starts = _by_starts(areas, longest)
    spared = max([run for ways in areas for way in ways for run in way.runs], default=0.0)
    spared = max(spared, longest)
    least = math.inf
    for starts, runs in enumerate(by_starts):
        if math.isfinite(runs):
            over = front + runs - starts * usable
            more = math.ceil(over / (usable + spared) - 1e-9) if over > 0 else 0
            least = min(least, runs + starts * start + more * (start - spared))
    return least


def _by_starts(areas: Sequence[Sequence[Way]], longest: float) -> list[float]:
    """The least runs with so many starts: by the areas done and the way worked last."""
    ways = [way for each in areas for way in each]
    visits, count = np.arange(len(ways)), len(areas)
    bit = 1 << np.repeat(np.arange(count), [len(each) for each in areas])
    inside = np.array([sum(way.runs) for way in ways])
    joints = np.array([[_run(one, other, longest) for other in ways] for one in ways]) + inside
    least = np.full((1 << count, len(ways), count + 1), np.inf)
    least[bit, visits, 1] = inside
    for done in range(1, 1 << count):
        last = visits[(done & bit > 0) & (done != bit)]
        before = least[done ^ bit[last]]
        joined = (before + joints[:, last].T[:, :, None]).min(axis=1)
        anew = np.roll(before.min(axis=1), 1, axis=1) + inside[last, None]
        least[done, last] = np.minimum(joined, anew)
    return [float(runs) for runs in least[-1].min(axis=0)]


def _run(one: Way, other: Way, longest: float) -> float:
    run = min(math.dist(leave, enter) for leave in one.ends for enter in other.begins)
    return run if run <= longest else math.inf
