"""Every box of a run has a number, and what the boxes hold is what leaves the stock, lot by lot."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from kitbuild.production.cost import whole
from kitbuild.production.orders import Order
from kitbuild.production.packing import (
    PackedColour,
    PackedOrder,
    box_number,
    boxes_of,
    packing,
    served,
    spans,
)
from kitbuild.production.run_records import in_stock_units
from kitbuild.production.spares import spare_from
from kitbuild.production.stock import Lot
from tests.production.stores import lot, order
from tests.production.test_run import orders_of, planned, stores


@given(orders_of(), stores())
@settings(deadline=None, max_examples=60)
def test_the_boxes_hold_what_leaves_the_stock(orders: list[Order], lots: list[Lot]) -> None:
    run = planned(orders, lots)
    packed = packing(run)
    boxes = boxes_of(packed)
    per_box = {
        (code, pick.colour.key): (pick.item, Fraction(in_stock_units(pick)))
        for code in run.kits
        for pick in run.boxed[code].picks
        if pick.colour
    }
    held: Counter[tuple[str, str]] = Counter()
    numbers: Counter[str] = Counter()
    by_order: Counter[tuple[str, str]] = Counter()
    for each in boxes:
        assert each.first == numbers[each.kit] + 1 <= each.last
        numbers[each.kit] = each.last
        by_order[each.order, each.kit] += each.last - each.first + 1
        for colour, name in each.lots:
            item, amount = per_box[each.kit, colour]
            held[item, name] += amount * (each.last - each.first + 1)
    threads = {item for item, _ in per_box.values()}
    assert {key: whole(many) for key, many in held.items()} == {
        key: many for key, many in run.taken.items() if key[0] in threads
    }
    assert by_order == Counter({(o.order.order, o.order.kit): o.boxes for o in run.served if o.boxes})


def test_boxes_by_hand() -> None:
    """Lot A holds bark for 2 boxes of 2 skeins, so box 3 is of lot B; orders 1 and 2 have boxes 1, 2 to 3."""
    many = [lot(item, "A", 99) for item in ("wool-0488", "wool-0702", "wool-0009", "needle-16")]
    bark = [lot("wool-0123", "A", 5, "2026-01-01"), lot("wool-0123", "B", 99, "2026-02-01")]
    run = planned([order("1", "WHIN", 1), order("2", "WHIN", 2)], [*many, *bark, lot("sheet-7", "", 99)])
    found = boxes_of(packing(run))
    assert [(each.order, each.first, each.last, dict(each.lots)["bark"]) for each in found] == [
        ("1", 1, 1, "A"),
        ("2", 2, 2, "A"),
        ("2", 3, 3, "B"),
    ]
    lines = {line.number: line for line in packing(run).lines}
    filled = {
        lines[at].lot: span for at, span in spans(packing(run)).items() if lines[at].item == "wool-0123"
    }
    assert filled == {"A": (1, 2), "B": (3, 3)}
    assert box_number("w41", "WHIN", 3) == "w41-WHIN-003"


def test_fewer_boxes_serve_the_orders_that_are_due_first() -> None:
    orders = [PackedOrder(name, "WHIN", "", 5, 4, 2) for name in "abc"]
    assert [each.boxes for each in served(orders, {"WHIN": 6})] == [4, 2, 0]


BARK = PackedColour("bark", "Bark", "x", "553311", "wool-0123", "Wool", 26, 76000, 13)


@given(
    st.lists(st.tuples(st.integers(0, 3), st.integers(0, 30)), max_size=4),
    st.integers(1, 40),
    st.sampled_from("0123x"),
)
def test_a_spare_is_of_one_lot_that_holds_it(
    held: list[tuple[int, int]], needlefuls: int, box_lot: str
) -> None:
    """Of the box's lot where that holds it; what was there is what was sent and what is left."""
    lots = [(lot("wool-0123", str(at), many), rest) for at, (many, rest) in enumerate(held)]
    holds = {each.lot: each.quantity * 13 + rest for each, rest in lots}
    spare = spare_from(BARK, box_lot, lots, needlefuls, "2026-12-01")
    if spare is None:
        assert all(many < needlefuls for many in holds.values())
        return
    assert holds[spare.lot] >= needlefuls
    assert spare.same == (spare.lot == box_lot) == (holds.get(box_lot, 0) >= needlefuls)
    rest = {each.lot: left for each, left in lots}[spare.lot]
    assert rest + spare.put_ups * 13 == needlefuls + spare.rest
    assert spare.put_ups == 0 or spare.rest < 13
