"""Which lot for which box: all thread of one colour in one box from one lot, the oldest that holds it.

Amounts are put-ups or pieces; a fraction stands for needlefuls that are cut from a put-up.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from kitbuild.production.stock import Lot

Amount = Fraction | int


@dataclass(frozen=True, slots=True)
class Take:
    """`quantity` of one lot in all, for `boxes` boxes (of which the last may take from the next lot too)."""

    lot: Lot
    boxes: int
    quantity: Amount


class Shelf:
    """What is left of each lot while a run is planned; the lots of an item are given oldest first."""

    def __init__(self, lots: Iterable[Lot]) -> None:
        self._left: dict[str, list[tuple[Lot, Amount]]] = {}
        for lot in lots:
            self._left.setdefault(lot.item, []).append((lot, lot.quantity))

    def boxes(self, item: str, per_box: Amount, *, one_lot: bool) -> int:
        """How many boxes can be filled: whole boxes from each lot, or from all lots together."""
        left = [amount for _, amount in self._left.get(item, ())]
        return int(sum(each // per_box for each in left) if one_lot else sum(left) // per_box)

    def take(self, item: str, per_box: Amount, boxes: int, *, one_lot: bool) -> tuple[Take, ...]:
        """Fill so many boxes from the oldest lots on; ValueError where there is not enough."""
        if boxes > self.boxes(item, per_box, one_lot=one_lot):
            raise ValueError(f"not enough of {item}")
        takes: list[Take] = []
        wanted = boxes * per_box
        for at, (lot, left) in enumerate(self._left.get(item, ())):
            quantity = min(wanted, left // per_box * per_box if one_lot else left)
            if quantity:
                self._left[item][at] = (lot, left - quantity)
                wanted -= quantity
                takes.append(Take(lot, int(-(-quantity // per_box)), quantity))
        return tuple(takes)


def lacking(asked: Sequence[tuple[int, Amount]], lots: Iterable[Lot], *, one_lot: bool) -> Amount:
    """How much of one item must come in to fill these (boxes, per box), of which the first is served first.

    What comes in is one lot, so a box that no lot holds takes its whole need from it.
    """
    lots = list(lots)
    need = sum(many * per_box for many, per_box in asked)
    if not one_lot:
        return max(0, need - sum(lot.quantity for lot in lots))
    shelf, item = Shelf(lots), lots[0].item if lots else ""
    for many, per_box in asked:
        filled = min(many, shelf.boxes(item, per_box, one_lot=True))
        shelf.take(item, per_box, filled, one_lot=True)
        need -= filled * per_box
    return need
