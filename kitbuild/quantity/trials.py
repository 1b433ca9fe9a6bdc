"""Test stitches: what a tester's thread says of the model, colour by colour."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from kitbuild.pattern.panel import Panel
from kitbuild.quantity.needle import simulate
from kitbuild.quantity.order import Order
from kitbuild.spec.records import Answer, Hand, Kit, Trial

LIKELY: Final = (0.8, 1.25)
POSSIBLE: Final = (0.5, 2.0)
"""Thread taken against the model: beyond the first a warning, beyond the second surely a slip of the pen."""

Orders = Mapping[Hand, Order]


@dataclass(frozen=True, slots=True)
class Finding:
    """One colour of a test: thread in its stitches as measured, tails taken off, and by the model, in mm."""

    trial: Trial
    answer: Answer
    measured_mm: float
    model_mm: float

    @property
    def pull(self) -> float:
        """What was taken against the model."""
        return self.measured_mm / self.model_mm


def counts(kit: Kit, trial: Trial, panel: Panel) -> bool:
    """Whether a test is of this edition, and every colour still has the stitches that were tested."""
    found = np.bincount(panel.stitches.colour, minlength=len(kit.palette))
    same = all(found[kit.colour_index(answer.colour)] == answer.stitches for answer in trial.answers)
    return trial.edition == kit.edition and same


def findings(kit: Kit, panels: tuple[Panel, ...], orders: tuple[Orders, ...]) -> Iterator[Finding]:
    """What the tests that count found, colour by colour."""
    for trial in kit.trials:
        for panel, hands in zip(panels, orders, strict=True):
            if trial.piece == panel.piece.key and counts(kit, trial, panel):
                yield from _findings(kit, trial, hands[trial.hand])


def _findings(kit: Kit, trial: Trial, order: Order) -> Iterator[Finding]:
    """One test; starts that were not counted are the model's."""
    rules, work = kit.house.thread, simulate(kit, order)
    colours = order.panel.stitches.colour[order.stitch]
    length = (work.front + work.back + work.through) / 100
    for answer in trial.answers:
        mine = colours == kit.colour_index(answer.colour)
        starts = answer.starts or len(np.unique(work.start[mine]))
        measured = answer.used_mm - starts * (rules.start_tail_mm + rules.run_under_mm)
        yield Finding(trial, answer, measured, float(length[mine].sum()))


def as_tested(kit: Kit, found: tuple[Finding, ...]) -> Kit:
    """The kit whose threads take what the tests found; colours not tested take what the others did in all."""
    if not found:
        return kit
    whole = _pull(found)
    pulls = {
        each.answer.colour: _pull([one for one in found if one.answer.colour == each.answer.colour])
        for each in found
    }
    palette = tuple(
        replace(colour, thread=replace(colour.thread, pull=pulls.get(colour.key, whole)))
        for colour in kit.palette
    )
    return replace(kit, palette=palette)


def _pull(found: list[Finding] | tuple[Finding, ...]) -> float:
    """Measured against model, kept within what is possible: beyond it a rule stops the build."""
    least, most = POSSIBLE
    return min(max(sum(one.measured_mm for one in found) / sum(one.model_mm for one in found), least), most)
