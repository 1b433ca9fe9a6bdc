"""Areas: stretches of one course in neighbouring columns, so that hands need not jump; and turns of them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np

from kitbuild.pattern.panel import Bools, Ints, Stitches

FREE: Final = 1_500
"""Most areas of charted work for which free turns are tried: they take long to reckon."""
MEASURED: Final = 250_000
"""Most pairs of areas that are measured at once."""


@dataclass(frozen=True, slots=True, eq=False)
class Turn:
    """What is worked in one colour before another comes: the areas of a row, or of a ring.

    An area is an array of stitch indices from its left end to its right (upper to lower for sideways work).
    """

    colour: int
    areas: tuple[Ints, ...]


def turns(stitches: Stitches, occupied: Bools) -> Iterator[Turn]:
    """Each row or ring in order of laying, and in it each colour.

    Courses that follow each other in one ring are one turn where each lies beside work already done: the
    halves of all shapes. Lines are laid one by one, and so are the quarters of four-way work.
    `occupied[y, x]` says which holes hold thread; those of a turn are added when the next is asked for.
    """
    areas = _areas(stitches)
    courses = stitches.course[[area[0] for area in areas]]
    ring: list[Ints] = []
    for each in _split(areas, np.flatnonzero(np.diff(courses)) + 1):
        if ring and not _joins(stitches, ring[0], np.concatenate(each), occupied):
            yield from _by_colour(stitches, ring, occupied)
            ring = []
        ring += each
    yield from _by_colour(stitches, ring, occupied)


def free_turns(stitches: Stitches, occupied: Bools, longest: float) -> Iterator[Turn]:
    """Charted work, which has no rows of its own: each colour as far as it lies beside work already done.

    Of what can be laid comes first what needs no new start, then what the pattern lays first. A turn takes in
    all areas of its colour that runs of at most `longest` pitches join. `occupied` as in `turns`.
    """
    areas = _areas(stitches)
    if len(areas) > FREE:
        yield from turns(stitches, occupied)
        return
    free = _Free(stitches, areas, longest, occupied)
    while free.left.any():
        turn = free.next_turn()
        yield turn
        _fill(stitches, turn, occupied)
        free.beside.laid(np.concatenate(turn.areas))


class _Beside:
    """How many stitches of each area do not lie beside work already done, kept up as work goes on."""

    def __init__(self, stitches: Stitches, areas: list[Ints], occupied: Bools) -> None:
        sizes, every = [len(area) for area in areas], np.arange(len(stitches))
        self.missing = np.array(sizes)
        self._area = np.empty(len(stitches), dtype=np.int64)
        self._area[np.concatenate(areas)] = np.repeat(np.arange(len(areas)), sizes)
        self._found = np.zeros(len(stitches), dtype=bool)
        self._holes = [np.ravel_multi_index(hole, occupied.shape) for hole in _holes(stitches, every)]
        self._ending = np.full((occupied.size, 4), -1, dtype=np.int32)
        for last, holes in enumerate(self._holes):
            self._ending[holes, 2 * (stitches.x1 != stitches.x2) + last] = every
        self._filled(np.flatnonzero(occupied))

    def laid(self, which: Ints) -> None:
        """Count anew when some stitches are laid: what ends in their holes lies beside work done."""
        self._filled(np.concatenate([holes[which] for holes in self._holes]))

    def _filled(self, holes: Ints) -> None:
        found = np.unique(self._ending[holes])
        found = found[(found >= 0) & ~self._found[found]]
        self._found[found] = True
        np.subtract.at(self.missing, self._area[found], 1)


class _Free:
    """The areas of charted work, and which are left to lay."""

    def __init__(self, stitches: Stitches, areas: list[Ints], longest: float, occupied: Bools) -> None:
        self.areas, self.longest = areas, longest
        work = stitches.take(np.array([area[0] for area in areas]))
        self.course, self.colour = work.course, work.colour
        self.kind = 2 * work.colour + (work.x1 != work.x2)
        self.ends = _end_holes(stitches, areas)
        self.beside = _Beside(stitches, areas, occupied)
        self.left = np.ones(len(areas), dtype=bool)
        self.laid: dict[int, Ints] = {}

    def next_turn(self) -> Turn:
        """The next areas to be laid, taken from those left."""
        can = (self.beside.missing == 0) | (self.course == self.course[int(np.argmax(self.left))])
        ready = np.flatnonzero(self.left & can)
        alike = [ready[self.kind[ready] == kind] for kind in np.unique(self.kind[ready])]
        _, _, begin, mine = min(map(self._choice, alike), key=lambda choice: choice[:3])
        which = self._joined(mine, begin)
        colour = int(self.colour[begin])
        self.left[which] = False
        self.laid[colour] = which
        return Turn(colour, tuple(self.areas[at] for at in which.tolist()))

    def _choice(self, ready: Ints) -> tuple[bool, int, int, Ints]:
        """Of areas of one colour whether they need a new start, the course and the area to go on with."""
        laid = self.laid.get(int(self.colour[ready[0]]))
        near = ready if laid is None else ready[self._in_reach(ready, laid)]
        begin = near[0] if len(near) else ready[0]
        return not len(near), int(self.course[begin]), int(begin), ready

    def _joined(self, ready: Ints, begin: int) -> Ints:
        """Of the areas that are ready those that runs join to the first one."""
        joined, rest = [np.array([begin])], ready[ready != begin]
        while len(joined[-1]) and len(rest):
            near = self._in_reach(rest, joined[-1])
            joined.append(rest[near])
            rest = rest[~near]
        return np.sort(np.concatenate(joined))

    def _in_reach(self, areas: Ints, others: Ints) -> Bools:
        """Which areas have an end no farther than the longest run from an end of `others`.

        All of them, where there are too many to measure.
        """
        if len(areas) * len(others) > MEASURED:
            return np.ones(len(areas), dtype=bool)
        (x, y), (goal_x, goal_y) = (self.ends[which].reshape(-1, 2).T for which in (areas, others))
        square = (x[:, None] - goal_x) ** 2 + (y[:, None] - goal_y) ** 2
        near = square.min(axis=1) <= self.longest**2
        return near.reshape(len(areas), -1).any(axis=1)


def _end_holes(stitches: Stitches, areas: list[Ints]) -> Ints:
    """Both holes of each area's first and last stitch: shape (areas, 4, x and y)."""
    first, last = ([area[at] for area in areas] for at in (0, -1))
    work = [stitches.take(np.array(which)) for which in (first, last)]
    return np.stack(
        [np.column_stack(hole) for part in work for hole in ((part.x1, part.y1), (part.x2, part.y2))], axis=1
    )


def area_count(stitches: Stitches) -> int:
    """How many areas there are."""
    return len(_areas(stitches))


def _areas(stitches: Stitches) -> list[Ints]:
    """All areas, course by course; in each from left to right, one colour after another in a column."""
    across = stitches.x1 != stitches.x2
    along = np.where(across, stitches.y1, stitches.x1)
    low = np.where(across, stitches.x1, stitches.y1)
    order = np.lexsort((low, along, stitches.colour, stitches.course))
    jump = np.abs(np.diff(along[order])) > 1
    for of in (stitches.course, stitches.colour):
        jump |= np.diff(of[order]) != 0
    return np.split(order, np.flatnonzero(jump) + 1)


def _split(areas: list[Ints], places: Ints) -> Iterator[list[Ints]]:
    begins = [0, *places.tolist()]
    for first, end in zip(begins, [*begins[1:], len(areas)], strict=True):
        yield areas[first:end]


def _joins(stitches: Stitches, one: Ints, other: Ints, occupied: Bools) -> bool:
    """Whether two courses are of one ring, and the second lies beside work done before them both."""
    ends = stitches.take(np.array([one[0], other[0]]))
    across = ends.x1 != ends.x2
    if ends.row[0] == 0 or ends.row[0] != ends.row[1] or across[0] != across[1]:
        return False
    begins, ends = _holes(stitches, other)
    return bool((occupied[begins] | occupied[ends]).all())


def _by_colour(stitches: Stitches, areas: list[Ints], occupied: Bools) -> Iterator[Turn]:
    colours = [int(stitches.colour[area[0]]) for area in areas]
    for colour in sorted(set(colours)):
        turn = Turn(colour, tuple(area for area, of in zip(areas, colours, strict=True) if of == colour))
        yield turn
        _fill(stitches, turn, occupied)


def _fill(stitches: Stitches, turn: Turn, occupied: Bools) -> None:
    for holes in _holes(stitches, np.concatenate(turn.areas)):
        occupied[holes] = True


def _holes(stitches: Stitches, which: Ints) -> tuple[tuple[Ints, Ints], tuple[Ints, Ints]]:
    """(y, x) of the first and of the last holes of some stitches."""
    work = stitches.take(which)
    return (work.y1, work.x1), (work.y2, work.x2)
