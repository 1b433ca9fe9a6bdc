"""The order of work: which stitch follows which, which way the needle goes, and where it starts anew.

Courses are worked as the pattern lays them, each beside one already worked. Within a course the needle goes
on to the nearest area, with a new start where that lies beyond the longest run. At the course's end it is
parked, and brought to its colour's next course if that lies within the longest run. A left-handed stitcher
works the mirror image: from the other side.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from kitbuild.pattern.panel import Ints, Panel, Stitches
from kitbuild.quantity.areas import courses
from kitbuild.quantity.direction import POLICIES
from kitbuild.spec.records import Policy

Hand = Literal["right", "left"]
HANDS: tuple[Hand, Hand] = ("right", "left")
_Hole = tuple[int, int]


@dataclass(frozen=True, slots=True, eq=False)
class Order:
    """The stitches of one copy in order of work; all arrays of one length, one entry a stitch.

    `stitch` is its index in the panel; `turned` says that it comes up at its second end and goes down at its
    first; `previous` is the place in this order of the stitch before it in the same start, -1 at a start's
    first. `forced` counts the stitches turned against the policy, lest a run be too long or come undone.
    """

    panel: Panel
    hand: Hand
    stitch: Ints
    turned: NDArray[np.bool_]
    previous: Ints
    forced: int = 0

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


def order(panel: Panel, policy: Policy, hand: Hand, longest_run: float, park: bool) -> Order:
    """The order of work of one copy; `longest_run` in pitches is the most that may lie on the back."""
    walk = _Walk(_mirrored(panel) if hand == "left" else panel.stitches, panel, policy, longest_run, park)
    for colour, areas in courses(walk.work):
        walk.course(colour, areas)
    stitch, turned = np.array(walk.stitch), np.array(walk.turned, dtype=bool)
    if hand == "left":
        turned ^= _sideways(panel.stitches)[stitch]
    return Order(panel, hand, stitch, turned, np.array(walk.previous), walk.forced)


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


class _Walk:
    """The needle's walk over a panel: grows the order stitch by stitch."""

    def __init__(self, work: Stitches, panel: Panel, policy: Policy, longest_run: float, park: bool) -> None:
        self.work = work
        self.policy = POLICIES[policy]
        self.longest_run = longest_run
        self.park = park
        self.occupied = np.zeros((panel.cover.rows + 2, panel.cover.columns + 2), dtype=bool)
        self.parked: dict[int, tuple[int, _Hole]] = {}
        self.stitch: list[int] = []
        self.turned: list[bool] = []
        self.previous: list[int] = []
        self.forced = 0

    def course(self, colour: int, areas: list[Ints]) -> None:
        """Work all areas of one course, nearest first, then park the needle.

        A needle parked out of reach is not brought: the course begins at the hand's own side.
        """
        needle = self.parked.pop(colour, None) if self.park else None
        if needle and self._nearest(areas, needle[1])[0] > self.longest_run:
            needle = None
        left = list(areas)
        while left:
            needle = self._work_area(self._next_area(left, needle), needle)
        if needle:
            self.parked[colour] = needle

    def _next_area(self, left: list[Ints], needle: tuple[int, _Hole] | None) -> Ints:
        """Take the area with the end nearest to the needle, from that end; without a needle the first."""
        if needle is None:
            return left.pop(0)
        _, at, end = self._nearest(left, needle[1])
        area = left.pop(at)
        return area if end == 0 else area[::-1]

    def _nearest(self, areas: list[Ints], hole: _Hole) -> tuple[float, int, int]:
        """Distance in pitches, place in the list, and end (0 first, -1 last) of the nearest area."""
        ends = [
            (self._distance(hole, int(area[end])), at, end)
            for at, area in enumerate(areas)
            for end in (0, -1)
        ]
        return min(ends, key=lambda each: (each[0], each[1], -each[2]))

    def _distance(self, hole: _Hole, stitch: int) -> float:
        """Pitches from a hole to the nearer end of a stitch."""
        work = self.work
        first = math.hypot(work.x1[stitch] - hole[0], work.y1[stitch] - hole[1])
        return min(first, math.hypot(work.x2[stitch] - hole[0], work.y2[stitch] - hole[1]))

    def _work_area(self, area: Ints, needle: tuple[int, _Hole] | None) -> tuple[int, _Hole]:
        """Lay an area's stitches; the needle ends at (place in the order, hole it went down in)."""
        work = self.work.take(area)
        wanted = self.policy(work, self.occupied).tolist()
        first = list(zip(work.x1.tolist(), work.y1.tolist(), strict=True))
        last = list(zip(work.x2.tolist(), work.y2.tolist(), strict=True))
        for at, stitch in enumerate(area.tolist()):
            ends = (first[at], last[at])
            turned, joined = self._way(ends, wanted[at], needle)
            self.forced += turned != wanted[at]
            self.previous.append(needle[0] if needle and joined else -1)
            self.stitch.append(stitch)
            self.turned.append(turned)
            needle = (len(self.stitch) - 1, ends[not turned])
        self.occupied[work.y1, work.x1] = self.occupied[work.y2, work.x2] = True
        return needle

    def _way(
        self, ends: tuple[_Hole, _Hole], wanted: bool, needle: tuple[int, _Hole] | None
    ) -> tuple[bool, bool]:
        """The stitch's direction and whether it follows on: turned, or begun anew, where it must be."""
        if needle is None:
            return wanted, False
        for turned in (wanted, not wanted):
            run = math.dist(needle[1], ends[turned])
            if 0 < run <= self.longest_run:
                return turned, True
        return wanted, False
