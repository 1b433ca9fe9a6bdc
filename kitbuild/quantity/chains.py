"""In which order the areas of one turn are worked, and from which end: few new starts, short runs between.

An area worked from its left end (way 0) or its right (way 1) has an entry, the hole in which the needle
first comes up, and an exit, the hole in which it goes down last. A `visit` is 2 x area + way. Ways to work
all areas are drafted by going on to the nearest, and then bettered by turning a stretch round or by moving
a few areas elsewhere, as long as that saves thread. Of very few areas the best way is found.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from kitbuild.pattern.panel import Bools, Ints

Floats = NDArray[np.float64]
Hole = tuple[int, int]
Exit = tuple[Hole, Hole]
"""The hole in which the needle goes down last, and the one in which it would if that stitch were turned."""

BLOCK: Final = 80
"""Most areas that are put in order together; more are worked block by block, to and fro down the canvas."""
DRAFTS: Final = 1600
CHANGES: Final = 6000
"""Areas visited in all drafts of one turn, and changes times areas: large turns get fewer of both."""
FEW: Final = 5
"""Most areas for which the best of all ways is found."""
SIDE: Final = 0.1
"""What it costs, a pitch, to begin a turn away from its first area, at the hand's own side."""
_NEVER: Final = 1e6
FAR: Final = -1_000_000
"""Both ordinates of a hole that no run reaches."""


@dataclass(frozen=True, slots=True, eq=False)
class Doors:
    """Holes of each area for both ways: arrays of shape (areas, 2 ways, x and y).

    `entry` is where the needle first comes up by the policy, `other` the far end of that first stitch, where
    it comes up when the policy's run would be too long; `exit` is where it goes down last, `back` where it
    would if that stitch were turned (FAR where it can't be). An area of one stitch has no left and right:
    its way 1 is the stitch turned. `inside[area, way]` is what its own runs and the new starts in it cost.
    """

    entry: Ints
    other: Ints
    exit: Ints
    back: Ints
    single: Bools
    inside: Floats

    def take(self, areas: Ints) -> Doors:
        """The doors of some areas."""
        return Doors(*(getattr(self, name)[areas] for name in self.__slots__))


@dataclass(frozen=True, slots=True)
class Chain:
    """The visits of a turn in order of work; `cost` is all runs and new starts in pitches.

    `exit` is where the needle goes down last, and where it would if the last stitch were turned.
    """

    cost: float
    visits: tuple[int, ...]
    exit: Exit


@dataclass(frozen=True, slots=True)
class Reach:
    """The longest run, and what a new start costs, both in pitches.

    `effort` is the share of all drafts and changes that are tried, less in pieces of very many areas.
    """

    longest: float
    start: float
    effort: float = 1.0


def chains(doors: Doors, needles: list[Exit | None], reach: Reach) -> list[Chain]:
    """A good way to work all areas for each of `needles`: brought from its hole, or None for a new one."""
    count = len(doors.entry)
    blocks = _blocks(doors) if count > BLOCK else [np.arange(count)]
    joints = [_joints(doors.take(block), reach) for block in blocks]
    return [_chain(doors, blocks, joints, needle, reach) for needle in needles]


def from_the_left(doors: Doors, reach: Reach) -> Chain:
    """All areas as they stand, from left to right; of stitches alone those turned that must be."""
    costs = np.vstack([_joints(doors, reach), _runs(None, doors, reach)])
    visits = [0]
    for area in range(1, len(doors.single)):
        way = int(doors.single[area] and costs[visits[-1], 2 * area] >= _NEVER)
        visits.append(2 * area + way)
    return Chain(_total(costs, np.array(visits)), tuple(visits), _exit(doors, visits[-1]))


def _chain(
    doors: Doors, blocks: list[Ints], joints: list[Floats], needle: Exit | None, reach: Reach
) -> Chain:
    """Block by block; a block begins where the one before it left the needle."""
    cost, visits, count = 0.0, [], len(doors.entry)
    for block, joint in zip(blocks, joints, strict=True):
        mine = doors.take(block)
        begin = _runs(np.array([needle]) if needle else None, mine, reach)[0]
        least, order = _ordered(np.vstack([joint, begin]), mine.single, count, reach.effort)
        cost += least
        visits += (2 * block[order // 2] + order % 2).tolist()
        needle = _exit(doors, visits[-1])
    return Chain(cost, tuple(visits), needle or ((0, 0), (FAR, FAR)))


def _exit(doors: Doors, visit: int) -> Exit:
    down, back = (holes.reshape(-1, 2)[visit].tolist() for holes in (doors.exit, doors.back))
    return (down[0], down[1]), (back[0], back[1])


def _blocks(doors: Doors) -> list[Ints]:
    """Areas in blocks of at most BLOCK: strips across the canvas, worked to and fro."""
    middle = doors.entry.mean(axis=1)
    wide, high = np.ptp(middle, axis=0) + 1
    strips = min(len(middle), max(1, round(float(np.sqrt(len(middle) / BLOCK * high / wide)))))
    by_height = np.argsort(middle[:, 1], kind="stable")
    blocks = []
    for at, strip in enumerate(np.array_split(by_height, strips)):
        across = strip[np.argsort(middle[strip, 0], kind="stable")]
        parts = np.array_split(across, -(-len(across) // BLOCK))
        blocks += parts[::-1] if at % 2 else parts
    return blocks


def _joints(doors: Doors, reach: Reach) -> Floats:
    """What it costs to go from each visit's exit to each visit: shape (visits, visits)."""
    costs = _runs(np.stack([doors.exit, doors.back], axis=2).reshape(-1, 2, 2), doors, reach)
    visits = np.arange(len(costs))
    costs[visits[:, None] // 2 == visits // 2] = _NEVER
    return costs


def _runs(leave: Ints | None, doors: Doors, reach: Reach) -> Floats:
    """What it costs to come from each exit to each visit and to work it; from none, with a new start.

    To begin anew away from the hand's own side is a little dearer. A run beyond the longest, or none at all,
    turns the stitch that it leads to; where that does not help, the one that it comes from; else the needle
    starts anew. `leave` has the shape (exits, as it is and turned, x and y).
    """
    single = np.repeat(doors.single, 2)
    turned = single & (np.arange(len(single)) % 2 == 1)
    inside = doors.inside.reshape(-1)
    anew = np.where(turned, _NEVER, reach.start)
    if leave is None:
        aside = doors.entry.reshape(-1, 2) - doors.entry[0, 0]
        return (anew + SIDE * np.hypot(*aside.T) + inside)[None, :]
    ways = [
        (_distance(leave[:, back], holes, doors.single), banned)
        for back in (0, 1)
        for holes, banned in ((doors.entry, turned), (doors.other, single & ~turned))
    ]
    cost = np.broadcast_to(anew, ways[0][0].shape)
    for run, banned in reversed(ways):
        cost = np.where((run > 0) & (run <= reach.longest), np.where(banned, _NEVER, run), cost)
    return cost + inside


def _distance(leave: Ints, holes: Ints, single: Bools) -> Floats:
    """Pitches from each hole to each visit's hole; a stitch alone has the same one both ways."""
    goal = np.where(single[:, None, None], holes[:, :1], holes).reshape(-1, 2)
    return np.hypot(leave[:, :1] - goal[:, 0], leave[:, 1:] - goal[:, 1])


def _ordered(costs: Floats, single: Bools, count: int, effort: float) -> tuple[float, Ints]:
    """The least cost found and its visits; the last row of `costs` is that of beginning with a visit.

    `count` is how many areas the whole turn has, `effort` the share of drafts and changes to try.
    """
    if len(single) <= FEW:
        order = _best(costs)
        return _total(costs, order), order
    number = int(effort * min(count, DRAFTS // count))
    drafts = (_draft(costs, at) for at in range(max(1, number)))
    best = min(drafts, key=lambda order: _total(costs, order))
    order = _bettered(costs, best, np.repeat(single, 2), int(effort * max(40, CHANGES // count)))
    return _total(costs, order), order


def _best(costs: Floats) -> Ints:
    """The order of least cost, found by the areas visited so far and the visit that came last of them.

    Bit a of `some` is area a.
    """
    visits = np.arange(costs.shape[1])
    bit = 1 << visits // 2
    every = (1 << len(visits) // 2) - 1
    least = np.full((every + 1, len(visits)), np.inf)
    came = np.zeros(least.shape, dtype=np.int64)
    least[bit, visits] = costs[-1]
    for some in range(1, every + 1):
        last = visits[(some & bit > 0) & (some != bit)]
        ways = least[some ^ bit[last]] + costs[:-1, last].T
        came[some, last] = np.argmin(ways, axis=1)
        least[some, last] = np.min(ways, axis=1)
    some, order = every, [int(np.argmin(least[every]))]
    while some != bit[order[0]]:
        at = order[0]
        order.insert(0, int(came[some, at]))
        some ^= int(bit[at])
    return np.array(order)


def _total(costs: Floats, order: Ints) -> float:
    return float(costs[-1, order[0]] + costs[order[:-1], order[1:]].sum())


def _draft(costs: Floats, number: int) -> Ints:
    """To the nearest each time; drafts after the first see all runs a little longer, each in its own way."""
    count = costs.shape[1]
    at = count
    left = np.zeros(count)
    noise = 1 + (np.arange(count) * 0.6180339887 + number * 0.7548776662) % 1 * (0.7 if number else 0)
    order = []
    for _ in range(count // 2):
        at = int((costs[at] * noise + left).argmin())
        order.append(at)
        left[[at, at ^ 1]] = 10 * _NEVER
    return np.array(order)


def _bettered(costs: Floats, order: Ints, single: Bools, changes: int) -> Ints:
    """The order after at most so many changes, each the one that saves most."""
    size = costs.shape[1]
    padded = np.zeros((size + 1, size + 1))
    padded[:, :size] = costs
    flip = np.where(single, np.arange(size), np.arange(size) ^ 1)
    for _ in range(changes):
        gain, changed = min(
            (_turned_round(padded, order, flip), *_moves(padded, order, flip)), key=lambda each: each[0]
        )
        if gain > -1e-9:
            break
        order = changed()
    return order


_Change = tuple[float, Callable[[], Ints]]
"""What a change of order adds to its cost, and the order changed."""


def _turned_round(costs: Floats, order: Ints, flip: Ints) -> _Change:
    """The best stretch turned round.

    `costs` has a last row for the beginning and a last column, of zeros, for the end.
    """
    end = len(costs) - 1
    back = flip[order]
    before, after = np.append(end, order[:-1]), np.append(order[1:], end)
    ahead = np.append(0, np.cumsum(costs[order[:-1], order[1:]]))
    behind = np.append(0, np.cumsum(costs[back[1:], back[:-1]]))
    gain = (behind - ahead)[None, :] - (behind - ahead)[:, None]
    gain += costs[before[:, None], back] + costs[back[:, None], after]
    gain -= costs[before, order][:, None] + costs[order, after]
    gain[np.tri(len(order), k=-1, dtype=bool)] = 0
    first, last = divmod(int(np.argmin(gain)), len(order))

    def changed() -> Ints:
        return np.concatenate([order[:first], back[first : last + 1][::-1], order[last + 1 :]])

    return float(gain[first, last]), changed


def _moves(costs: Floats, order: Ints, flip: Ints) -> Iterator[_Change]:
    """The best move of one, two or three areas elsewhere, as they are and turned round.

    One area alone may also have its stitch turned.
    """
    for size in range(1, min(3, len(order) - 1) + 1):
        parts = [order[at : len(order) - size + 1 + at] for at in range(size)]
        yield _moved(costs, order, parts, parts)
        round_ = [flip[part] for part in parts[::-1]] if size > 1 else [parts[0] ^ 1]
        yield _moved(costs, order, parts, round_)


def _moved(costs: Floats, order: Ints, parts: list[Ints], ways: list[Ints]) -> _Change:
    """The best stretch of a few visits taken out and put elsewhere, or back in its place, as `ways`.

    `parts[i]` holds visit i of each stretch. Place p is before visit p of the order, or at its end.
    """
    end, size, count = len(costs) - 1, len(parts), len(parts[0])
    before, after = np.append(end, order), np.append(order, end)
    link, at = costs[before, after], np.arange(count)
    inside = [costs[one, other] for one, other in pairwise(ways)] + [np.zeros(count)]
    inside += [-costs[one, other] for one, other in pairwise(parts)]
    closed = costs[before[:count], after[size:]]
    taken = sum(inside) - link[:count] - link[size:]
    gain = (
        (taken + closed)[:, None] + costs[before, ways[0][:, None]] + costs[ways[-1][:, None], after] - link
    )
    for place in range(size + 1):
        gain[at, at + place] = 0
    gain[at, at] = taken + costs[before[:count], ways[0]] + costs[ways[-1], after[size:]]
    first, place = divmod(int(np.argmin(gain)), len(order) + 1)

    def changed() -> Ints:
        stretch = np.array([way[first] for way in ways])
        rest = np.delete(order, np.s_[first : first + size])
        return np.insert(rest, place if place <= first else place - size, stretch)

    return float(gain[first, place]), changed
