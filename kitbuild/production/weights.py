"""What a packed box weighs, and whether a scale tells that something is missing. Nothing is guessed.

A right box lies within the tolerance on either side of its computed weight. Without one thing it is as much
lighter, give or take the same tolerance: it always shows if that thing weighs more than the tolerance twice.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from kitbuild.base.units import up
from kitbuild.production.picks import Pick
from kitbuild.quantity.amounts import PieceAmounts
from kitbuild.quantity.thread import Use
from kitbuild.spec.materials import Canvas
from kitbuild.spec.records import Kit, PackedExtra, PackedNeedle


@dataclass(frozen=True, slots=True)
class Weighed:
    """One packed box in milligrams.

    `unknown` are the lines of which nobody has said what they weigh; `total_mg` is None where there are
    any, or where the weight of the empty box is not known. `tolerance_mg` is None too where the workshop does
    not say how near boxes come. `unseen` are the lines of which one thing may be missing while the box still
    weighs right, each with what that thing weighs, the lightest first.
    """

    total_mg: int | None
    unknown: tuple[Pick, ...]
    tolerance_mg: int | None
    unseen: tuple[tuple[Pick, Fraction], ...]

    @property
    def limits_mg(self) -> tuple[int, int] | None:
        """The least and the most that a right box weighs."""
        if self.total_mg is None or self.tolerance_mg is None:
            return None
        return self.total_mg - self.tolerance_mg, self.total_mg + self.tolerance_mg


def weighed(kit: Kit, picks: tuple[Pick, ...]) -> Weighed | None:
    """What a box of a kit weighs; None where neither its box nor any weight of what it holds is stated."""
    singles = [(single_mg(kit, pick), pick) for pick in picks]
    known = [(mg, pick) for mg, pick in singles if mg is not None]
    if not known and kit.box is None:
        return None
    unknown = tuple(pick for mg, pick in singles if mg is None)
    total = _total(kit, known) if not unknown else None
    tolerance = _tolerance(kit, total)
    unseen = tuple(
        (pick, mg) for mg, pick in sorted(known, key=lambda each: each[0]) if mg <= 2 * (tolerance or 0)
    )
    return Weighed(total, unknown, tolerance, unseen)


def single_mg(kit: Kit, pick: Pick) -> Fraction | None:
    """What one thing of a pick line weighs: a put-up or a needleful, a blank, a needle, a booklet."""
    source, house = pick.source, kit.house
    if isinstance(source, Use):
        weight, cut = source.colour.thread.weight_mg, source.colour.thread.packed == "needlefuls"
        return None if weight is None else Fraction(weight, source.in_put_up if cut else 1)
    if isinstance(source, PieceAmounts):
        hole = _hole_mg(source.panel.piece.canvas)
        blank = source.sizes.blank
        return None if hole is None else hole * blank.columns * blank.rows
    if isinstance(source, PackedNeedle | PackedExtra):
        weight = source.needle.weight_mg if isinstance(source, PackedNeedle) else source.extra.weight_mg
    else:
        weight = house.booklet_weight_mg if pick.kind == "booklet" else house.sheet_weight_mg
    return None if weight is None else Fraction(weight)


def _hole_mg(canvas: Canvas) -> Fraction | None:
    """What a canvas weighs for each hole, by the first of its stocks that was weighed."""
    for stock in canvas.stock:
        if stock.weight_mg is not None:
            return Fraction(stock.weight_mg, stock.columns * stock.rows)
    return None


def _total(kit: Kit, known: list[tuple[Fraction, Pick]]) -> int | None:
    if kit.box is None or kit.box.weight_mg is None:
        return None
    return round(sum((mg * pick.quantity for mg, pick in known), Fraction(kit.box.weight_mg)))


def _tolerance(kit: Kit, total: int | None) -> int | None:
    weighing = kit.house.weighing
    if weighing is None or total is None:
        return None
    return weighing.scale_mg + up(weighing.spread_share * total)
