"""The order of work: which stitch follows which, which way the needle goes, and where it starts anew.

Rows and rings are worked as the pattern lays them, each beside one already worked. In each the needle goes
from area to area so that runs are short and new starts few. At the end it is parked, and brought to its
colour's next row if that lies within the longest run. A left-handed stitcher works the mirror image: from the
other side.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from kitbuild.pattern.panel import Bools, Ints, Panel, Stitches
from kitbuild.quantity.areas import FREE, Turn, area_count, free_turns, turns
from kitbuild.quantity.chains import Reach
from kitbuild.quantity.direction import POLICIES
from kitbuild.quantity.planning import Visit, planned
from kitbuild.quantity.ways import both_ways
from kitbuild.spec.records import Hand, Policy

HANDS: tuple[Hand, Hand] = ("right", "left")
_Hole = tuple[int, int]

FULL_EFFORT = 3_000
"""Areas of a piece up to which its order is sought with all effort."""


@dataclass(frozen=True, slots=True, eq=False)
class Order:
    """The stitches of one copy in order of work; all arrays of one length, one entry a stitch.

    `stitch` is its index in the panel; `turned` says that it comes up at its second end and goes down at its
    first; `previous` is the place in this order of the stitch before it in the same start, -1 at a start's
    first. `turn` numbers, from 0, what is worked in one colour before another comes. `against` says which
    stitches go against the policy, lest a run be too long or come undone.
    """

    panel: Panel
    hand: Hand
    stitch: Ints
    turned: NDArray[np.bool_]
    previous: Ints
    turn: Ints
    against: NDArray[np.bool_]

    @property
    def forced(self) -> int:
        """How many stitches go against the policy."""
        return int(self.against.sum())

    def holes(self) -> tuple[Ints, Ints, Ints, Ints]:
        """up_x, up_y, down_x, down_y of each stitch in order of work."""
        work = self.panel.stitches.take(self.stitch)
        up_x, down_x = np.where(self.turned, work.x2, work.x1), np.where(self.turned, work.x1, work.x2)
        up_y, down_y = np.where(self.turned, work.y2, work.y1), np.where(self.turned, work.y1, work.y2)
        return up_x, up_y, down_x, down_y

    def runs(self) -> NDArray[np.float64]:
        """Pitches from the down hole of a start's previous stitch to this up hole; 0 at a start's first."""
        up_x, up_y, down_x, down_y = self.holes()
        before = np.maximum(self.previous, 0)
        run = np.hypot(up_x - down_x[before], up_y - down_y[before])
        return np.where(self.previous < 0, 0.0, run)


def order(
    panel: Panel, policy: Policy, hand: Hand, longest_run: float, park: bool, new_start: float = 28.0
) -> Order:
    """The order of work of one copy.

    `longest_run` is the most that may lie on the back, `new_start` the thread that a new start takes, both
    in pitches.
    """
    work = _mirrored(panel) if hand == "left" else panel.stitches
    count = area_count(panel.stitches)
    reach = Reach(longest_run, new_start, min(1.0, FULL_EFFORT / count))
    walks = [_walked(panel, work, policy, listed, reach, park) for listed in _listings(panel, count, reach)]
    walk = min(walks, key=lambda each: each.cost(new_start))
    stitch, turned = np.array(walk.stitch), np.array(walk.turned, dtype=bool)
    if hand == "left":
        turned ^= _sideways(panel.stitches)[stitch]
    previous, turn, against = np.array(walk.previous), np.array(walk.turn), np.array(walk.against, dtype=bool)
    return Order(panel, hand, stitch, turned, previous, turn, against)


_Listed = Callable[[Stitches, Bools], Iterable[Turn]]


def _listings(panel: Panel, count: int, reach: Reach) -> tuple[_Listed, ...]:
    """The ways to divide the work into turns; charted work has no rows, and may go colour by colour."""
    if panel.piece.pattern.family == "charted" and count <= FREE:
        return turns, *(partial(free_turns, longest=far * reach.longest) for far in (1, 2))
    return (turns,)


def _walked(panel: Panel, work: Stitches, policy: Policy, listed: _Listed, reach: Reach, park: bool) -> _Walk:
    """All turns planned and walked."""
    occupied = np.zeros((panel.cover.rows + 2, panel.cover.columns + 2), dtype=bool)
    ways = (both_ways(work, turn, POLICIES[policy], occupied, reach) for turn in listed(work, occupied))
    walk = _Walk(work, reach.longest)
    for visit in planned(ways, reach, park):
        walk.area(visit)
    return walk


def _mirrored(panel: Panel) -> Stitches:
    """Left and right exchanged; a sideways stitch changes ends too, so that its first is the left."""
    work, wide, sideways = panel.stitches, panel.cover.columns + 1, _sideways(panel.stitches)
    x1, x2 = (
        np.where(sideways, wide - work.x2, wide - work.x1),
        np.where(sideways, wide - work.x1, wide - work.x2),
    )
    return Stitches(x1, work.y1, x2, work.y2, work.colour, work.row, work.course)


def _sideways(work: Stitches) -> NDArray[np.bool_]:
    return work.x1 != work.x2


@dataclass(frozen=True, slots=True)
class _Needle:
    """Where a colour's needle is: the place in the order of its last stitch, the holes in which that went
    down and came up, and the hole that it came from, None at a start's first."""

    at: int
    down: _Hole
    up: _Hole
    came: _Hole | None


class _Walk:
    """The needle's walk over a panel: grows the order stitch by stitch."""

    def __init__(self, work: Stitches, longest_run: float) -> None:
        self.work = work
        self.longest_run = longest_run
        self.parked: dict[int, _Needle] = {}
        self.stitch: list[int] = []
        self.turned: list[bool] = []
        self.previous: list[int] = []
        self.turn: list[int] = []
        self.against: list[bool] = []
        self.runs = 0.0

    def cost(self, new_start: float) -> float:
        """All runs and new starts in pitches."""
        return self.runs + new_start * self.previous.count(-1)

    def area(self, visit: Visit) -> None:
        """Lay an area's stitches; the needle stays parked where the last one ends."""
        work = self.work.take(visit.area)
        wanted = visit.turned.tolist()
        first = list(zip(work.x1.tolist(), work.y1.tolist(), strict=True))
        last = list(zip(work.x2.tolist(), work.y2.tolist(), strict=True))
        needle = self._brought(visit, (first[0], last[0]))
        for at, stitch in enumerate(visit.area.tolist()):
            ends = (first[at], last[at])
            turned, joined = self._way(ends, wanted[at], needle)
            self.against.append(turned != wanted[at])
            self.previous.append(needle.at if needle and joined else -1)
            self.stitch.append(stitch)
            self.turned.append(turned)
            came = needle.down if needle and joined else None
            needle = _Needle(len(self.stitch) - 1, ends[not turned], ends[turned], came)
        self.turn += [visit.turn] * len(visit.area)
        if needle:
            self.parked[visit.colour] = needle

    def _brought(self, visit: Visit, ends: tuple[_Hole, _Hole]) -> _Needle | None:
        """The needle that the area is begun with: the colour's own as it is parked, or None for a new start.

        Where it is parked too far off, its last stitch is turned, if that brings it within the longest run.
        """
        parked = self.parked.get(visit.colour)
        if not parked or visit.fresh:
            return None
        if any(self._within(parked.down, hole) for hole in ends):
            return parked
        within = any(self._within(parked.up, hole) for hole in ends)
        if not within or (parked.came and not self._within(parked.came, parked.down)):
            return parked
        return self._last_turned(parked)

    def _last_turned(self, needle: _Needle) -> _Needle:
        """The needle after the stitch that it last went down in is turned."""
        self.turned[needle.at] = not self.turned[needle.at]
        self.against[needle.at] = not self.against[needle.at]
        if needle.came:
            self.runs += math.dist(needle.came, needle.down) - math.dist(needle.came, needle.up)
        return _Needle(needle.at, needle.up, needle.down, needle.came)

    def _within(self, one: _Hole, other: _Hole) -> bool:
        return 0 < math.dist(one, other) <= self.longest_run

    def _way(self, ends: tuple[_Hole, _Hole], wanted: bool, needle: _Needle | None) -> tuple[bool, bool]:
        """The stitch's direction and whether it follows on: turned, or begun anew, where it must be."""
        if needle is None:
            return wanted, False
        for turned in (wanted, not wanted):
            if self._within(needle.down, ends[turned]):
                self.runs += math.dist(needle.down, ends[turned])
                return turned, True
        return wanted, False
