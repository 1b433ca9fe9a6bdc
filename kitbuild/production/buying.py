"""What must come in so that nothing waits: whole order multiples, and each supplier's minimum."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from kitbuild.base.units import up
from kitbuild.production.run_records import Balance
from kitbuild.production.stock import Item
from kitbuild.spec.materials import Canvas, Stock, Supplier
from kitbuild.spec.records import Kit


@dataclass(frozen=True, slots=True)
class Buy:
    """So many of one item to order: `lacking` in the stock's units, of a roll cm; `quantity` whole ones."""

    item: Item
    supplier: Supplier | None
    lacking: int
    multiple: int
    quantity: int
    cost_minor: int


@dataclass(frozen=True, slots=True)
class SupplierOrder:
    """All that is ordered from one supplier; `below_minor` is what it lacks to the supplier's minimum."""

    supplier: Supplier | None
    buys: tuple[Buy, ...]
    total_minor: int
    below_minor: int


def buys(
    balances: Iterable[Balance], items: Mapping[str, Item], suppliers: Mapping[str, Supplier]
) -> tuple[SupplierOrder, ...]:
    """The orders to suppliers, by their keys; what has no supplier comes last."""
    wanted = [_buy(items[each.item], each.lacking, suppliers) for each in balances if each.lacking]
    keys = sorted(
        {buy.supplier.key if buy.supplier else "" for buy in wanted}, key=lambda key: (not key, key)
    )
    return tuple(_order(suppliers.get(key), wanted) for key in keys)


def _buy(item: Item, lacking: int, suppliers: Mapping[str, Supplier]) -> Buy:
    source = item.source
    if isinstance(source, Canvas | Kit):
        raise ValueError(f"{item.key} is made here, not bought")
    whole = lacking
    if isinstance(source, Stock) and source.form == "roll" and item.canvas:
        whole = up(lacking * 10 / (source.rows * item.canvas.pitch_mm))
    multiple = source.order_multiple
    quantity = -(-whole // multiple) * multiple
    return Buy(
        item, suppliers.get(source.supplier), lacking, multiple, quantity, quantity * source.cost_minor
    )


def _order(supplier: Supplier | None, wanted: Iterable[Buy]) -> SupplierOrder:
    mine = tuple(buy for buy in wanted if buy.supplier == supplier)
    total = sum(buy.cost_minor for buy in mine)
    least = supplier.minimum_minor if supplier else 0
    return SupplierOrder(supplier, mine, total, max(0, least - total))
