"""Each area of a turn worked from its left end and from its right: directions, and the holes at its ends."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from kitbuild.pattern.panel import Bools, Ints, Stitches
from kitbuild.quantity.areas import Turn
from kitbuild.quantity.chains import Doors, Floats, Reach
from kitbuild.quantity.direction import Way


@dataclass(frozen=True, slots=True, eq=False)
class Ways:
    """A turn's areas by way, 0 from the left and 1 from the right: their stitches in order of work.

    `turned[way][area]` says which stitches the policy lets come up at their second end.
    """

    colour: int
    areas: tuple[tuple[Ints, ...], tuple[Ints, ...]]
    turned: tuple[tuple[Bools, ...], tuple[Bools, ...]]
    doors: Doors


def both_ways(work: Stitches, turn: Turn, policy: Way, occupied: Bools, reach: Reach) -> Ways:
    """All areas of a turn both ways, with `occupied[y, x]` as it was when the turn began."""
    sizes = np.array([len(area) for area in turn.areas])
    left = _one_way(work, turn.areas, sizes, policy, occupied, reach)
    right = _one_way(work, tuple(area[::-1] for area in turn.areas), sizes, policy, occupied, reach)
    single = sizes == 1
    right.exit[single] = left.entry[single]
    entry, other, leave = (
        np.stack(pair, axis=1)
        for pair in ((left.entry, right.entry), (left.other, right.other), (left.exit, right.exit))
    )
    doors = Doors(entry, other, leave, single, np.stack([left.inside, right.inside], axis=1))
    return Ways(turn.colour, (left.areas, right.areas), (left.turned, right.turned), doors)


@dataclass(frozen=True, slots=True, eq=False)
class _OneWay:
    """Areas worked one way; holes are arrays of shape (areas, x and y)."""

    areas: tuple[Ints, ...]
    turned: tuple[Bools, ...]
    entry: Ints
    other: Ints
    exit: Ints
    inside: Floats


def _one_way(
    work: Stitches, areas: tuple[Ints, ...], sizes: Ints, policy: Way, occupied: Bools, reach: Reach
) -> _OneWay:
    part = work.take(np.concatenate(areas))
    ends = np.cumsum(sizes)
    first = np.zeros(len(part), dtype=bool)
    first[ends - sizes] = True
    turned = policy(part, first, occupied)
    up = np.column_stack([np.where(turned, part.x2, part.x1), np.where(turned, part.y2, part.y1)])
    down = np.column_stack([np.where(turned, part.x1, part.x2), np.where(turned, part.y1, part.y2)])
    inside, leave = _inside(up, down, ends - sizes, reach)
    return _OneWay(areas, tuple(np.split(turned, ends[:-1])), up[first], down[first], leave, inside)


def _inside(up: Ints, down: Ints, begins: Ints, reach: Reach) -> tuple[Floats, Ints]:
    """What the runs inside each area cost, and the hole in which it ends: as hands lay it by the policy."""
    run = np.hypot(*(up - np.roll(down, 1, axis=0)).T)
    able = (run > 0) & (run <= reach.longest)
    run[begins], able[begins] = 0, True
    inside = np.add.reduceat(run, begins)
    ends = np.append(begins[1:], len(up))
    leave = down[ends - 1]
    for area in np.flatnonzero(~np.logical_and.reduceat(able, begins)).tolist():
        part = slice(begins[area], ends[area])
        inside[area], leave[area] = _forced(up[part].tolist(), down[part].tolist(), reach)
    return inside, leave


def _forced(up: list[list[int]], down: list[list[int]], reach: Reach) -> tuple[float, list[int]]:
    """The same for one area in which a stitch must be turned, or begun anew."""
    cost, at = 0.0, down[0]
    for ends in zip(up[1:], down[1:], strict=True):
        runs = [math.dist(at, hole) for hole in ends]
        able = [way for way in (0, 1) if 0 < runs[way] <= reach.longest]
        cost += runs[able[0]] if able else reach.start
        at = ends[1 - able[0]] if able else ends[1]
    return cost, at
