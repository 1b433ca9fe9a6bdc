"""Each area of a turn worked from its left end and from its right: directions, and the holes at its ends."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from kitbuild.pattern.panel import Bools, Ints, Stitches
from kitbuild.quantity.areas import Turn
from kitbuild.quantity.chains import FAR, Doors, Floats, Reach
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
    entry, other, leave, back, inside = (
        np.stack([getattr(left, name), getattr(right, name)], axis=1)
        for name in ("entry", "other", "exit", "back", "inside")
    )
    doors = Doors(entry, other, leave, back, single, inside)
    return Ways(turn.colour, (left.areas, right.areas), (left.turned, right.turned), doors)


@dataclass(frozen=True, slots=True, eq=False)
class _OneWay:
    """Areas worked one way; holes are arrays of shape (areas, x and y)."""

    areas: tuple[Ints, ...]
    turned: tuple[Bools, ...]
    entry: Ints
    other: Ints
    exit: Ints
    back: Ints
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
    inside, leave, back = _inside(up, down, ends - sizes, reach)
    return _OneWay(areas, tuple(np.split(turned, ends[:-1])), up[first], down[first], leave, back, inside)


def _turned_last(up: Ints, down: Ints, ends: Ints, begins: Ints, reach: Reach) -> Ints:
    """Where each area would end with its last stitch turned; FAR where that can't be, or it is alone."""
    last = ends - 1
    run = np.hypot(*(down[last] - down[last - 1]).T)
    able = (ends - begins > 1) & (run > 0) & (run <= reach.longest)
    return np.where(able[:, None], up[last], FAR)


def _inside(up: Ints, down: Ints, begins: Ints, reach: Reach) -> tuple[Floats, Ints, Ints]:
    """What the runs inside each area cost, and the hole in which it ends: as hands lay it by the policy.

    And the hole in which it would end with its last stitch turned.
    """
    run = np.hypot(*(up - np.roll(down, 1, axis=0)).T)
    able = (run > 0) & (run <= reach.longest)
    run[begins], able[begins] = 0, True
    inside = np.add.reduceat(run, begins)
    ends = np.append(begins[1:], len(up))
    leave, back = down[ends - 1], _turned_last(up, down, ends, begins, reach)
    for area in np.flatnonzero(~np.logical_and.reduceat(able, begins)).tolist():
        part = slice(begins[area], ends[area])
        inside[area], leave[area], back[area] = _forced(up[part].tolist(), down[part].tolist(), reach)
    return inside, leave, back


def _forced(up: list[list[int]], down: list[list[int]], reach: Reach) -> tuple[float, list[int], list[int]]:
    """The same for one area in which a stitch must be turned, or begun anew.

    The last may be turned if it begins a start or is reached at either end.
    """
    cost, at, back = 0.0, down[0], up[0]
    for ends in zip(up[1:], down[1:], strict=True):
        runs = [math.dist(at, hole) for hole in ends]
        able = [way for way in (0, 1) if 0 < runs[way] <= reach.longest]
        way = able[0] if able else 0
        cost += runs[way] if able else reach.start
        at, back = ends[1 - way], [FAR, FAR] if len(able) == 1 else ends[way]
    return cost, at, back
