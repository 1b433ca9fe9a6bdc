"""Thread sent after a box: from the lot that lies in it where that is still in stock, else from another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from kitbuild.production.packing import PackedColour, PackedKit, box_number
from kitbuild.production.stock import Lot

MOST = 999
"""No more needlefuls are sent at a time."""


@dataclass(frozen=True, slots=True)
class Box:
    """A box that was packed: `number` counts within run and kit, `lots` leads from colours to lots."""

    packed: int
    run: str
    number: int
    order: str
    kit: PackedKit
    lots: dict[str, str]

    @property
    def name(self) -> str:
        """What stands on its label."""
        return box_number(self.run, self.kit.kit, self.number)

    def colour(self, key: str) -> PackedColour | None:
        """A colour of it by its key."""
        return next((each for each in self.kit.colours if each.colour == key), None)


@dataclass(frozen=True, slots=True)
class Spare:
    """`needlefuls` of one lot sent for a colour of a box; `put_ups` were opened, `rest` needlefuls are left.

    `box_lot` is the lot that lies in the box.
    """

    day: str
    item: str
    lot: str
    bin: str
    box_lot: str
    needlefuls: int
    put_ups: int
    rest: int

    @property
    def same(self) -> bool:
        """Whether it is the lot that lies in the box."""
        return self.lot == self.box_lot


def spare_from(
    colour: PackedColour, box_lot: str, lots: Sequence[tuple[Lot, int]], needlefuls: int, day: str
) -> Spare | None:
    """So many needlefuls from one lot: that of the box, or the oldest that holds them; None where none does.

    Each of `lots` (the oldest first) comes with the needlefuls left of its put-up that was opened last: those
    are used before another is opened.
    """
    for lot, rest in sorted(lots, key=lambda each: each[0].lot != box_lot):
        put_ups = -(-max(0, needlefuls - rest) // colour.in_put_up)
        if put_ups <= lot.quantity:
            left = rest + put_ups * colour.in_put_up - needlefuls
            return Spare(day, colour.item, lot.lot, lot.bin, box_lot, needlefuls, put_ups, left)
    return None
