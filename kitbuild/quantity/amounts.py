"""Everything that is counted and measured for one kit, joined."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kitbuild.pattern.panel import Panel
from kitbuild.quantity.finishing import FinishStitch, finishing, joining
from kitbuild.quantity.needle import Work, simulate
from kitbuild.quantity.order import HANDS, Hand, order
from kitbuild.quantity.sizes import Sizes, SleeveFit, fit, sizes
from kitbuild.quantity.thread import PieceThread, Use, uses
from kitbuild.spec.records import Kit


@dataclass(frozen=True, slots=True)
class PieceAmounts:
    """One piece with its order of work for each hand, its finishing, sizes, fit and hours for one copy."""

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
    """All quantities of one kit; `joins` sew its pieces together; `hours` is for all copies."""

    kit: Kit
    pieces: tuple[PieceAmounts, ...]
    uses: tuple[Use, ...]
    joins: tuple[FinishStitch, ...]
    hours: float


def measure(kit: Kit, panels: tuple[Panel, ...]) -> Amounts:
    """All quantities of a kit from its proven panels."""
    pieces, names = [], dict.fromkeys(HANDS, 0)
    for panel in panels:
        works = {hand: _work(kit, panel, hand, names[hand] + 1) for hand in HANDS}
        for hand in HANDS:
            names[hand] = int(np.max(works[hand].needleful))
        pieces.append(_piece(kit, panel, works))
    joins = joining(kit)
    hours = sum(piece.hours * piece.panel.piece.copies for piece in pieces)
    hours += sum(each.stitches for each in joins) / kit.house.finish_stitches_per_hour
    threads = tuple(piece.thread for piece in pieces)
    return Amounts(kit, tuple(pieces), uses(kit, threads, joins), joins, hours)


def _work(kit: Kit, panel: Panel, hand: Hand, first_needleful: int) -> Work:
    rules, pitch = kit.house.thread, panel.piece.canvas.pitch_mm
    longest, new_start = rules.longest_run_mm / pitch, (rules.start_tail_mm + rules.run_under_mm) / pitch
    found = order(panel, kit.policy, hand, longest, rules.park, new_start)
    return simulate(kit, found, first_needleful)


def _piece(kit: Kit, panel: Panel, works: dict[Hand, Work]) -> PieceAmounts:
    piece, house = panel.piece, kit.house
    finish = finishing(kit, piece)
    hours = len(panel.stitches) / house.stitches_per_hour
    hours += sum(each.stitches for each in finish) / house.finish_stitches_per_hour
    thread = PieceThread(works, finish, piece.copies)
    return PieceAmounts(panel, thread, sizes(kit, piece), fit(kit, piece, panel.repeat.columns), hours)
