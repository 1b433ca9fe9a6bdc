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
    """What is left of each lot while a run is planned; the lots of an item are given oldest first.

    Lots only become less. So for each amount a box that was asked for, the boxes that all lots hold are kept
    up to date, and the lots that no longer hold one are passed over for good.
    """

    def __init__(self, lots: Iterable[Lot]) -> None:
        self._lots: dict[str, list[Lot]] = {}
        self._left: dict[str, list[Amount]] = {}
        for lot in lots:
            self._lots.setdefault(lot.item, []).append(lot)
            self._left.setdefault(lot.item, []).append(lot.quantity)
        self._total: dict[str, Amount] = {item: sum(left) for item, left in self._left.items()}
        self._boxes: dict[str, dict[Amount, int]] = {item: {} for item in self._left}
        self._first: dict[tuple[str, Amount], int] = {}

    def boxes(self, item: str, per_box: Amount, *, one_lot: bool) -> int:
        """How many boxes can be filled: whole boxes from each lot, or from all lots together."""
        if item not in self._left:
            return 0
        if not one_lot:
            return int(self._total[item] // per_box)
        known = self._boxes[item]
        if per_box not in known:
            known[per_box] = int(sum(left // per_box for left in self._left[item]))
        return known[per_box]

    def take(self, item: str, per_box: Amount, boxes: int, *, one_lot: bool) -> tuple[Take, ...]:
        """Fill so many boxes from the oldest lots on; ValueError where there is not enough."""
        if boxes > self.boxes(item, per_box, one_lot=one_lot):
            raise ValueError(f"not enough of {item}")
        takes: list[Take] = []
        wanted = boxes * per_box
        at = self._first_with(item, per_box if one_lot else 0) if wanted else 0
        while wanted:
            left = self._left[item][at]
            quantity = min(wanted, left // per_box * per_box if one_lot else left)
            if quantity:
                self._lessen(item, at, left - quantity)
                wanted -= quantity
                takes.append(Take(self._lots[item][at], int(-(-quantity // per_box)), quantity))
            at += 1
        return tuple(takes)

    def _first_with(self, item: str, least: Amount) -> int:
        """The first lot that holds so much, or anything at all."""
        left, at = self._left[item], self._first.get((item, least), 0)
        while at < len(left) and (left[at] < least or not left[at]):
            at += 1
        self._first[item, least] = at
        return at

    def _lessen(self, item: str, at: int, left: Amount) -> None:
        before = self._left[item][at]
        self._left[item][at] = left
        self._total[item] += left - before
        known = self._boxes[item]
        for per_box in known:
            known[per_box] -= int(before // per_box - left // per_box)


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
