"""Needlefuls by simulation: how far each cut length goes, in whole hundredths of a mm so that sums agree."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kitbuild.pattern.panel import Bools, Ints
from kitbuild.quantity.order import Order
from kitbuild.spec.house import ThreadRules
from kitbuild.spec.materials import Thread
from kitbuild.spec.records import Kit


@dataclass(frozen=True, slots=True, eq=False)
class Work:
    """An order of work with its thread: arrays of one entry a stitch, lengths in hundredths of a mm.

    `start` counts from 1 within the piece, `needleful` from 1 within the kit. `used` is what the needle has
    given since the start began, tail included. `back` is 0 at a start's first stitch.
    """

    order: Order
    start: Ints
    needleful: Ints
    front: Ints
    back: Ints
    through: Ints
    used: Ints


def hundredths(length_mm: float) -> int:
    """Millimetres as whole hundredths."""
    return round(length_mm * 100)


def stitch_lengths(kit: Kit, order: Order) -> tuple[Ints, Ints, Ints]:
    """Front, back and passing length of each stitch in order of work, in hundredths of a millimetre.

    Front is the bars crossed, back the run from the hole before, and two passes through the canvas take
    twice its thickness and what bending takes of the thread (derived). What a test stitch took more or less
    than this model is carried by the passing length.
    """
    front, back, alone, run = _lengths(kit, order)
    return front, back, alone + run - front - back


def _lengths(kit: Kit, order: Order) -> tuple[Ints, Ints, Ints, Ints]:
    """Front and back by geometry; what a stitch takes without the run before it, and what that run takes."""
    piece, work = order.panel.piece, order.panel.stitches.take(order.stitch)
    pitch = piece.canvas.pitch_mm
    threads = [colour.thread for colour in kit.palette]
    through = np.array([2 * piece.canvas.thickness_mm + thread.bend_mm for thread in threads])[work.colour]
    pull = np.array([thread.pull for thread in threads])[work.colour]
    front, back, passing = (_whole(each) for each in (work.length() * pitch, order.runs() * pitch, through))
    alone, run = (np.rint(pull * each).astype(np.int64) for each in (front + passing, back))
    return front, back, alone, run


def _whole(lengths_mm: NDArray[np.float64]) -> Ints:
    return np.rint(lengths_mm * 100).astype(np.int64)


@dataclass(slots=True)
class _Needle:
    """One colour's needle: what its needleful held at this start, and what it has given since."""

    full: int
    tail: int
    under: int
    held: int
    least: int
    begun: bool = False
    holds: int = 0
    used: int = 0

    @classmethod
    def of(cls, rules: ThreadRules) -> _Needle:
        lengths = (rules.needleful_mm, rules.start_tail_mm, rules.run_under_mm, rules.held_mm)
        return cls(*map(hundredths, (*lengths, rules.least_remainder_mm)))

    @property
    def room(self) -> int:
        """What the next stitches may take before the needleful must be fastened off."""
        return self.holds - self.used - self.under - self.held

    def begin(self, length: int) -> bool:
        """Fasten off and begin anew with a stitch; whether that took a new needleful.

        A remainder goes on if it holds the least worth keeping, and this stitch with its tails.
        """
        rest = self.holds - self.used - self.under
        needed = self.tail + length + self.under + self.held
        fresh = not self.begun or rest < max(self.least, needed)
        self.begun = True
        self.holds = self.full if fresh else rest
        self.used = self.tail + length
        return fresh


@dataclass(frozen=True, slots=True)
class _Start:
    """From one start to the next: places `first` to before `end` among the stitches of a colour."""

    first: int
    end: int
    fresh: bool


def simulate(kit: Kit, order: Order, first_needleful: int = 1) -> Work:
    """Work an order with whole needlefuls, named from `first_needleful` on."""
    front, back, alone, run = _lengths(kit, order)
    colours = order.panel.stitches.colour[order.stitch]
    begins, fresh, used = (np.zeros(len(colours), dtype=kind) for kind in (bool, bool, np.int64))
    for colour in np.unique(colours).tolist():
        mine = np.flatnonzero(colours == colour)
        total = np.append(0, np.cumsum((alone + run)[mine]))
        for start in _starts(kit.house.thread, alone[mine], total, order.previous[mine] < 0):
            here = mine[start.first : start.end]
            begins[here[0]], fresh[here[0]] = True, start.fresh
            before = total[start.first + 1] - hundredths(kit.house.thread.start_tail_mm) - alone[here[0]]
            used[here] = total[start.first + 1 : start.end + 1] - before
    start, name = _named(colours, begins, fresh)
    back, run = np.where(begins, 0, back), np.where(begins, 0, run)
    return Work(order, start, name + first_needleful - 1, front, back, alone + run - front - back, used)


def _starts(rules: ThreadRules, alone: Ints, total: Ints, anew: Bools) -> Iterator[_Start]:
    """The starts of one colour; `total[i]` is what its first i stitches take with all runs."""
    needle, count, first = _Needle.of(rules), len(alone), 0
    breaks = np.append(np.flatnonzero(anew), count)
    while first < count:
        fresh = needle.begin(int(alone[first]))
        holds = int(np.searchsorted(total, total[first + 1] + needle.room, side="right")) - 1
        end = min(max(holds, first + 1), int(breaks[np.searchsorted(breaks, first, side="right")]))
        needle.used += int(total[end] - total[first + 1])
        yield _Start(first, end, fresh)
        first = end


def _named(colours: Ints, begins: Bools, fresh: Bools) -> tuple[Ints, Ints]:
    """The start and the needleful of each stitch, both from 1 in order of work."""
    start, needleful = np.zeros(len(colours), dtype=np.int64), np.zeros(len(colours), dtype=np.int64)
    starts, names = np.cumsum(begins), np.cumsum(fresh)
    for colour in np.unique(colours).tolist():
        mine = colours == colour
        for found, numbers, marks in ((start, starts, begins), (needleful, names, fresh)):
            found[mine] = np.maximum.accumulate(np.where(marks[mine], numbers[mine], 0))
    return start, needleful


@dataclass(frozen=True, slots=True)
class NeedlefulEnd:
    """One needleful of one copy: how many stretches it is used for, and the stitch at which it ends.

    Stitches are named by their place in the order of work, from 1, the last also by the hole that it goes
    down in. `mm` lies in stitches.
    """

    needleful: int
    colour: int
    starts: int
    stitches: int
    first_seq: int
    last_seq: int
    last_x: int
    last_y: int
    mm: float


def needleful_ends(work: Work) -> Iterator[NeedlefulEnd]:
    """Every needleful in the order in which it is first used."""
    order = work.order
    colours, length = order.panel.stitches.colour[order.stitch], work.front + work.back + work.through
    _, _, down_x, down_y = order.holes()
    by_name = np.argsort(work.needleful, kind="stable")
    for mine in np.split(by_name, np.flatnonzero(np.diff(work.needleful[by_name])) + 1):
        last = int(mine[-1])
        yield NeedlefulEnd(
            needleful=int(work.needleful[last]),
            colour=int(colours[last]),
            starts=len(np.unique(work.start[mine])),
            stitches=len(mine),
            first_seq=int(mine[0]) + 1,
            last_seq=last + 1,
            last_x=int(down_x[last]),
            last_y=int(down_y[last]),
            mm=int(length[mine].sum()) / 100,
        )


def finishing_needlefuls(runs: Iterable[Iterable[int]], rules: ThreadRules) -> int:
    """Needlefuls that seams and edges of one colour take; each run of stitch lengths is begun anew.

    Lengths are hundredths of a millimetre; remainders are used as in stitching.
    """
    needle, count = _Needle.of(rules), 0
    for run in runs:
        begun = False
        for length in run:
            if begun and length <= needle.room:
                needle.used += length
            else:
                count += needle.begin(length)
                begun = True
    return count


def needlefuls_in_put_up(thread: Thread, needleful_mm: float) -> int:
    """Whole needlefuls in a put-up: its whole cut lengths, each giving so many for its plies and strands."""
    cut = int((thread.put_up_mm + 1e-6) // needleful_mm)
    return cut * thread.plies // thread.strands
