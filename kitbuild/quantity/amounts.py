"""Everything that is counted and measured for one kit, joined."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

import numpy as np

from kitbuild.pattern.panel import Panel
from kitbuild.quantity.certainty import Certainty, certainties, with_bend
from kitbuild.quantity.finishing import FinishStitch, finishing, joining
from kitbuild.quantity.needle import simulate
from kitbuild.quantity.order import HANDS, Order, order
from kitbuild.quantity.sizes import Sizes, SleeveFit, fit, sizes
from kitbuild.quantity.thread import PieceThread, Use, uses
from kitbuild.quantity.trials import Finding, Orders, as_tested, counts, findings
from kitbuild.spec.records import Hand, Kit


@dataclass(frozen=True, slots=True)
class PieceAmounts:
    """One piece with its order of work for each hand, its finishing, sizes, fit and hours for one copy.

    The hours are those of its test stitch, where the time was taken.
    """

    panel: Panel
    thread: PieceThread
    sizes: Sizes
    fit: SleeveFit | None
    hours: float

    @property
    def stitches(self) -> int:
        """Stitches of the pattern in one copy."""
        return len(self.panel.stitches)

    @property
    def finish_stitches(self) -> int:
        """Edge and seam stitches of one copy."""
        return sum(each.stitches for each in self.thread.finish)


@dataclass(frozen=True, slots=True)
class Amounts:
    """All quantities of one kit; `joins` sew its pieces together; `hours` is for all copies.

    The threads of `kit` take what test stitches found, `found`; `sure` says how sure each colour is.
    """

    kit: Kit
    pieces: tuple[PieceAmounts, ...]
    uses: tuple[Use, ...]
    joins: tuple[FinishStitch, ...]
    hours: float
    found: tuple[Finding, ...]
    sure: tuple[Certainty, ...]


@dataclass(frozen=True, slots=True)
class _Counted:
    """Thread of a kit: that of each piece, of the joins, and of each colour."""

    pieces: tuple[PieceThread, ...]
    joins: tuple[FinishStitch, ...]
    uses: tuple[Use, ...]


def measure(kit: Kit, panels: tuple[Panel, ...]) -> Amounts:
    """All quantities of a kit from its proven panels."""
    orders = tuple({hand: _order(kit, panel, hand) for hand in HANDS} for panel in panels)
    found = tuple(findings(kit, panels, orders))
    kit = as_tested(kit, found)
    counted = _counted(kit, orders)
    low, high = (_counted(with_bend(kit, side), orders).uses for side in (-1, 1))
    pieces = tuple(map(partial(_piece, kit), panels, counted.pieces))
    hours = sum(piece.hours * piece.panel.piece.copies for piece in pieces)
    hours += sum(each.stitches for each in counted.joins) / kit.house.finish_stitches_per_hour
    sure = certainties(counted.uses, low, high, found)
    return Amounts(kit, pieces, counted.uses, counted.joins, hours, found, sure)


def _order(kit: Kit, panel: Panel, hand: Hand) -> Order:
    rules, pitch = kit.house.thread, panel.piece.canvas.pitch_mm
    longest, new_start = rules.longest_run_mm / pitch, (rules.start_tail_mm + rules.run_under_mm) / pitch
    return order(panel, kit.policy, hand, longest, rules.park, new_start)


def _counted(kit: Kit, orders: tuple[Orders, ...]) -> _Counted:
    """Every order worked with whole needlefuls, whose names run through the kit's pieces for each hand."""
    pieces, names = [], dict.fromkeys(HANDS, 0)
    for hands in orders:
        works = {hand: simulate(kit, hands[hand], names[hand] + 1) for hand in HANDS}
        names = {hand: int(np.max(works[hand].needleful)) for hand in HANDS}
        piece = hands["right"].panel.piece
        pieces.append(PieceThread(works, finishing(kit, piece), piece.copies))
    threads, joins = tuple(pieces), joining(kit)
    return _Counted(threads, joins, uses(kit, threads, joins))


def _piece(kit: Kit, panel: Panel, thread: PieceThread) -> PieceAmounts:
    piece, house = panel.piece, kit.house
    minutes = [each.minutes for each in kit.trials if each.piece == piece.key and counts(kit, each, panel)]
    hours = minutes[0] / 60 if any(minutes) else len(panel.stitches) / house.stitches_per_hour
    hours += sum(each.stitches for each in thread.finish) / house.finish_stitches_per_hour
    return PieceAmounts(panel, thread, sizes(kit, piece), fit(kit, piece, panel.repeat.columns), hours)
