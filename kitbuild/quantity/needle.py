"""Needlefuls by simulation: how far each cut length goes, in whole hundredths of a mm so that sums agree."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from kitbuild.pattern.panel import Ints
from kitbuild.quantity.order import Order
from kitbuild.spec.records import Kit, Thread, ThreadRules


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
    twice its thickness and what bending takes of the thread (derived).
    """
    piece, work = order.panel.piece, order.panel.stitches.take(order.stitch)
    pitch = piece.canvas.pitch_mm
    through = [2 * piece.canvas.thickness_mm + colour.thread.bend_mm for colour in kit.palette]
    front = np.rint(work.length() * pitch * 100).astype(np.int64)
    back = np.rint(order.runs() * pitch * 100).astype(np.int64)
    return front, back, np.rint(np.array(through)[work.colour] * 100).astype(np.int64)


@dataclass(slots=True)
class _Needle:
    """One colour's needle: what its needleful held at this start, and what it has given since."""

    rules: ThreadRules
    full: int
    tail: int
    under: int
    held: int
    least: int
    name: int = 0
    holds: int = 0
    used: int = 0

    @classmethod
    def of(cls, rules: ThreadRules) -> _Needle:
        lengths = (rules.needleful_mm, rules.start_tail_mm, rules.run_under_mm, rules.held_mm)
        return cls(rules, *map(hundredths, (*lengths, rules.least_remainder_mm)))

    def fits(self, length: int) -> bool:
        """Whether the next stitch and its fastening fit."""
        return self.used + length + self.under + self.held <= self.holds

    def begin(self, length: int, next_name: int) -> bool:
        """Fasten off and begin anew with a stitch; whether that took a new needleful, then `next_name`.

        A remainder goes on if it holds the least worth keeping, and this stitch with its tails.
        """
        rest = self.holds - self.used - self.under
        needed = self.tail + length + self.under + self.held
        fresh = self.name == 0 or rest < max(self.least, needed)
        self.name = next_name if fresh else self.name
        self.holds = self.full if fresh else rest
        self.used = self.tail + length
        return fresh


def simulate(kit: Kit, order: Order, first_needleful: int = 1) -> Work:
    """Work an order with whole needlefuls, named from `first_needleful` on."""
    front, back, through = stitch_lengths(kit, order)
    colours = order.panel.stitches.colour[order.stitch].tolist()
    needles: dict[int, _Needle] = {}
    starts: dict[int, int] = {}
    start, needleful, used, last_start, last_name = [], [], [], 0, first_needleful - 1
    lengths, runs = (front + through).tolist(), back.tolist()
    for at, (colour, previous) in enumerate(zip(colours, order.previous.tolist(), strict=True)):
        needle = needles.setdefault(colour, _Needle.of(kit.house.thread))
        if previous >= 0 and needle.fits(lengths[at] + runs[at]):
            needle.used += lengths[at] + runs[at]
        else:
            last_name += needle.begin(lengths[at], last_name + 1)
            last_start += 1
            starts[colour], back[at] = last_start, 0
        start.append(starts[colour])
        needleful.append(needle.name)
        used.append(needle.used)
    return Work(order, np.array(start), np.array(needleful), front, back, through, np.array(used))


def finishing_needlefuls(runs: Iterable[Iterable[int]], rules: ThreadRules) -> int:
    """Needlefuls that seams and edges of one colour take; each run of stitch lengths is begun anew.

    Lengths are hundredths of a millimetre; remainders are used as in stitching.
    """
    needle, count = _Needle.of(rules), 0
    for run in runs:
        begun = False
        for length in run:
            if begun and needle.fits(length):
                needle.used += length
            else:
                count += needle.begin(length, count + 1)
                begun = True
    return count


def needlefuls_in_put_up(thread: Thread, needleful_mm: float) -> int:
    """Whole needlefuls in a put-up: its whole cut lengths, each giving so many for its plies and strands."""
    cut = int((thread.put_up_mm + 1e-6) // needleful_mm)
    return cut * thread.plies // thread.strands
