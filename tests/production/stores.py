"""Stores and orders for tests of production runs: the demo kits as boxes, made once."""

from __future__ import annotations

from functools import cache

from kitbuild.base.problem import Place
from kitbuild.build import amounts_of
from kitbuild.production.cost import cost
from kitbuild.production.cutting import blanks
from kitbuild.production.orders import Order
from kitbuild.production.picks import picks
from kitbuild.production.run_records import Boxed
from kitbuild.production.stock import Item, Lot, items
from kitbuild.spec.folder import read_range
from tests.spec.ranges import KITS

CODES = ("EMBER", "FERN", "WHIN")
"""Kits of one plastic canvas."""
ALL = (*CODES, "HEATH")


@cache
def known() -> dict[str, Item]:
    found, _ = read_range(KITS)
    assert found is not None
    return items(found.materials)


@cache
def boxed() -> dict[str, Boxed]:
    found, _ = read_range(KITS)
    assert found is not None
    made = {}
    for kit in found.kits:
        if kit.code in ALL:
            amounts, _ = amounts_of(kit)
            picked = picks(amounts)
            made[kit.code] = Boxed(kit, picked, blanks(amounts), cost(kit, picked), amounts.hours)
    return made


def order(name: str, kit: str, quantity: int, due: str = "2026-12-01") -> Order:
    return Order(name, kit, quantity, due, Place("kits/orders.csv", 2, 1))


def lot(item: str, name: str, quantity: int, received: str = "2026-08-01") -> Lot:
    return Lot(item, name, "S-01", quantity, received)


def plenty(sheets: int = 500) -> tuple[Lot, ...]:
    """More than enough of everything but sheets, of which there are so many."""
    lots = [lot(key, "A", 9999) for key, item in known().items() if item.kind not in ("offcut", "sheet")]
    return tuple(sorted([*lots, lot("sheet-7", "", sheets)], key=lambda each: each.item))
