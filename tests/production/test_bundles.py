"""Bundles made ahead and skeins together are the need; what is in a bundle is what was taken for it."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from kitbuild.production.bundles import about_bundles, made_of, plan_making, usable
from kitbuild.production.cost import whole
from kitbuild.production.cut_plan import cut
from kitbuild.production.orders import Order
from kitbuild.production.packing import boxes_of, packed_kit, packing
from kitbuild.production.picked import outturn, read_picked
from kitbuild.production.run import plan_run
from kitbuild.production.run_records import Run, in_stock_units
from kitbuild.production.stock import Lot, oldest_first
from tests.production.stores import CODES, boxed, lot, order, plenty
from tests.production.test_run import orders_of, stores

BARK = [lot("wool-0123", "A", 5, "2026-01-01"), lot("wool-0123", "B", 7, "2026-02-01")]
OTHERS = [each for each in plenty() if each.item != "wool-0123"]


def with_bundles(orders: list[Order], lots: list[Lot], wanted: dict[str, int]) -> tuple[Run, list[Lot]]:
    """A run after bundles were made: what is left of the thread, and the bundles."""
    left, bundles = list(lots), []
    for code, many in wanted.items():
        making = plan_making("m1", boxed()[code], many, oldest_first(left))
        left = [
            replace(each, quantity=each.quantity - making.taken.get((each.item, each.lot), 0))
            for each in left
        ]
        left += [Lot(each.item, each.lot, "B-09", count, "2026-10-01") for each, count in making.lots]
        bundles += [each for each, _ in making.lots]
    by_day = sorted(orders, key=lambda each: each.due)
    return plan_run("R1", by_day, boxed(), oldest_first(left), cut, usable(bundles, boxed())), left


def test_bundles_by_hand() -> None:
    """2 skeins of bark a box: A holds 2 boxes, so the third is of B, and 6 skeins are taken."""
    making = plan_making("m1", boxed()["WHIN"], 3, oldest_first([*BARK, *OTHERS]))
    assert [(bundle.lot, many, bundle.lots["bark"]) for bundle, many in making.lots] == [
        ("ed1-m1-1", 2, "A"),
        ("ed1-m1-2", 1, "B"),
    ]
    assert (making.taken["wool-0123", "A"], making.taken["wool-0123", "B"]) == (4, 2)
    assert (making.made, making.lacks) == (3, ())


def test_what_is_short_is_made_as_far_as_it_goes() -> None:
    """5 and 7 skeins are 2 and 3 boxes: 5 of 9 bundles."""
    making = plan_making("m1", boxed()["WHIN"], 9, oldest_first([*BARK, *OTHERS]))
    assert (making.made, making.lacks) == (5, ("wool-0123",))
    none = plan_making("m1", boxed()["WHIN"], 9, OTHERS)
    assert (none.made, none.lots, dict(none.taken)) == (0, (), {})


def test_a_run_takes_bundles_first() -> None:
    """3 bundles (A, A, B), then skeins of B for boxes 4 and 5: 4 more skeins."""
    run, _ = with_bundles([order("1", "WHIN", 2), order("2", "WHIN", 3)], [*BARK, *OTHERS], {"WHIN": 3})
    found = [(each.first, each.last, dict(each.lots)["bark"]) for each in boxes_of(packing(run))]
    assert found == [(1, 2, "A"), (3, 3, "B"), (4, 5, "B")]
    assert [each.bundles for each in run.served] == [2, 1]
    assert run.taken["wool-0123", "B"] == 4
    assert ("wool-0123", "A") not in run.taken
    assert (run.taken["WHIN-bundle", "ed1-m1-1"], run.taken["WHIN-bundle", "ed1-m1-2"]) == (2, 1)


def test_bundles_that_were_not_there() -> None:
    """One bundle of two is found: of 5 boxes 4 are packed, the first from it."""
    run, lots = with_bundles([order("1", "WHIN", 5)], [*BARK, *OTHERS], {"WHIN": 3})
    packed = packing(run)
    line = next(each for each in packed.lines if each.lot == "ed1-m1-1")
    row = f"line,item,lot,run,kit,picked\n{line.number},WHIN-bundle,ed1-m1-1,R1,WHIN,1"
    rows, problems = read_picked("p.csv", row.encode(), packed, lots)
    assert problems == ()
    made = outturn(packed, run.taken, rows)
    assert [each.boxes for each in made.packing.orders] == [4]
    assert [(each.last, dict(each.lots)["bark"]) for each in boxes_of(made.packing)] == [
        (1, "A"),
        (2, "B"),
        (4, "B"),
    ]
    assert made.taken["WHIN-bundle", "ed1-m1-1"] == 1
    assert made.taken["wool-0123", "B"] == 4


def test_bundles_serve_another_edition_of_the_same_thread() -> None:
    box = boxed()["WHIN"]
    making = plan_making("m1", box, 1, [*BARK, *OTHERS])
    ((bundle, _),) = making.lots
    later = replace(box, kit=replace(box.kit, edition=2))
    assert usable([bundle], {"WHIN": later}) == {("WHIN-bundle", "ed1-m1-1"): bundle.lots}
    kit = packed_kit(box)
    for name, value in (("symbol", "z"), ("needlefuls", 1), ("needleful", 1), ("item", "x"), ("name", "x")):
        other = replace(kit, colours=(replace(kit.colours[0], **{name: value}), *kit.colours[1:]))
        assert made_of(other) != made_of(kit)
    assert usable([replace(bundle, made_of="[]")], {"WHIN": box}) == {}
    run, lots = with_bundles([order("1", "WHIN", 1)], [*BARK, *OTHERS], {"WHIN": 1})
    run.boxed["WHIN"] = later
    (told,) = about_bundles([bundle], run, lots)
    assert told == "WHIN-bundle ed1-m1-1: made for edition 1, edition 2 takes the same thread"
    (told,) = about_bundles([bundle], replace(run, bundles={}), lots)
    assert "passed over" in told


@given(orders_of(), stores(), st.dictionaries(st.sampled_from(CODES), st.integers(1, 6), max_size=2))
@settings(deadline=None, max_examples=60)
def test_bundles_and_skeins_are_the_need(
    orders: list[Order], lots: list[Lot], wanted: dict[str, int]
) -> None:
    run, left = with_bundles(orders, lots, wanted)
    assert all(each.quantity >= 0 for each in left)
    there = {(each.item, each.lot): each.quantity for each in left}
    assert all(many <= there[key] for key, many in run.taken.items())
    for each in run.balances:
        assert each.kind == "stock" or each.short >= 0
    for code in run.kits:
        box, boxes = run.boxed[code], run.boxes(code)
        ready = sum(each.bundles for each in run.served if each.order.kit == code)
        assert ready == sum(line.quantity for line in run.lines if line.pick.item == f"{code}-bundle")
        for pick in box.threads:
            skeins = sum(line.quantity for line in run.lines if line.kit == code and line.pick is pick)
            assert skeins + ready * pick.quantity == boxes * pick.quantity
    picked: Counter[str] = Counter()
    for each in run.served:
        for pick in run.boxed[each.order.kit].picks:
            picked[pick.item] += each.boxes * pick.quantity
    assert all(each.picked == picked[each.item] for each in run.balances if each.kind != "stock")
    held: Counter[tuple[str, str]] = Counter()
    for each in boxes_of(packing(run)):
        assert {colour for colour, _ in each.lots} == {
            c.colour for c in packed_kit(run.boxed[each.kit]).colours
        }
        if not wanted:
            for colour, name in each.lots:
                pick = next(p for p in run.boxed[each.kit].threads if p.colour and p.colour.key == colour)
                held[pick.item, name] += Fraction(in_stock_units(pick)) * (each.last - each.first + 1)
    assert all(run.taken[key] == whole(many) for key, many in held.items())
