"""A run promises what is there and nothing else: picks and what is short are the need, to the last skein."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kitbuild.production.buying import buys
from kitbuild.production.cost import whole
from kitbuild.production.cut_plan import cut
from kitbuild.production.orders import Order
from kitbuild.production.run import plan_run
from kitbuild.production.run_cost import run_costs, shared
from kitbuild.production.run_records import Run
from kitbuild.production.stock import Lot, oldest_first
from kitbuild.spec.materials import Supplier, Thread
from tests.production.stores import CODES, boxed, known, lot, order, plenty

ITEMS = sorted({pick.item for code in CODES for pick in boxed()[code].stocked})
DAYS = [f"2026-12-{day:02}" for day in range(1, 6)]


def planned(orders: Sequence[Order], lots: Sequence[Lot]) -> Run:
    by_day = sorted(orders, key=lambda each: each.due)
    return plan_run("R1", by_day, boxed(), oldest_first(list(lots)), cut)


@st.composite
def orders_of(draw: st.DrawFn) -> list[Order]:
    many = draw(st.integers(1, 6))
    return [
        order(f"o{at}", draw(st.sampled_from(CODES)), draw(st.integers(1, 9)), draw(st.sampled_from(DAYS)))
        for at in range(many)
    ]


@st.composite
def stores(draw: st.DrawFn) -> list[Lot]:
    lots = [
        lot(item, name, draw(st.integers(0, 40)), f"2026-0{at}-01")
        for item in ITEMS
        for at, name in enumerate("AB"[: draw(st.integers(0, 2))], 1)
    ]
    sheets = draw(st.integers(0, 8))
    offcut = [lot("plastic-7", "40 x 60 holes", draw(st.integers(1, 3)))] if draw(st.booleans()) else []
    return [*lots, *offcut, lot("sheet-7", "", sheets)]


@given(st.integers(0, 10**6), st.dictionaries(st.sampled_from("ABCDEF"), st.integers(0, 10**6), min_size=1))
def test_a_shared_amount_is_shared_whole(minor: int, areas: dict[str, int]) -> None:
    areas["A"] = areas.get("A", 0) + 1
    parts, total = shared(minor, areas), sum(areas.values())
    assert sum(parts.values()) == minor
    assert all(abs(part - Fraction(minor * areas[code], total)) < 1 for code, part in parts.items())


@given(orders_of(), stores())
@settings(deadline=None, max_examples=60)
def test_picks_and_short_are_the_need(orders: list[Order], lots: list[Lot]) -> None:
    run = planned(orders, lots)
    need: Counter[str] = Counter()
    for each in orders:
        for pick in boxed()[each.kit].picks:
            need[pick.item] += each.quantity * pick.quantity
    balances = {each.item: each for each in run.balances if each.kind != "stock"}
    assert {item: each.need for item, each in balances.items()} == need
    picked: Counter[str] = Counter()
    for line in run.lines:
        picked[line.pick.item] += line.quantity
    assert all(balances[item].picked == picked[item] for item in need)
    waits: Counter[str] = Counter()
    for each in run.served:
        assert 0 <= each.boxes <= each.order.quantity
        assert bool(each.waits) == bool(each.lacks)
        for pick in boxed()[each.order.kit].picks:
            waits[pick.item] += each.waits * pick.quantity
    assert all(each.short == waits[item] >= 0 for item, each in balances.items())


@given(orders_of(), stores())
@settings(deadline=None, max_examples=60)
def test_nothing_is_promised_twice(orders: list[Order], lots: list[Lot]) -> None:
    run = planned(orders, lots)
    held = {(each.item, each.lot): each.quantity for each in lots}
    assert all(type(each) is int and 0 < each <= held[key] for key, each in run.taken.items())
    for line in run.lines:
        if line.pick.kind == "thread":
            assert line.lot is not None
            assert line.quantity == line.boxes * line.pick.quantity
    for code in run.kits:
        for pick in boxed()[code].picks:
            mine = [line for line in run.lines if line.kit == code and line.pick is pick]
            assert sum(line.quantity for line in mine) == run.boxes(code) * pick.quantity


@given(orders_of(), stores())
@settings(deadline=None, max_examples=60)
def test_every_planned_box_is_cut_and_no_more_than_there_is(orders: list[Order], lots: list[Lot]) -> None:
    run = planned(orders, lots)
    wanted = Counter(blank for code in run.kits for blank in boxed()[code].blanks * run.boxes(code))
    laid = Counter(placed.blank for each in run.cuts for sheet in each.sheets for placed in sheet.placed)
    assert laid == wanted
    for each in run.cuts:
        assert sum(draw.quantity for draw in each.draws) == len(each.sheets)


@given(orders_of(), stores())
@settings(deadline=None, max_examples=40)
def test_what_is_lacking_serves_everyone(orders: list[Order], lots: list[Lot]) -> None:
    """What the buy list asks for comes in as one lot each: then no order waits, and nothing is lacking."""
    run = planned(orders, lots)
    more = [lot(each.item, "new", each.lacking, "2026-11-01") for each in run.balances if each.lacking]
    again = planned(orders, [*lots, *more])
    assert not again.short
    assert all(each.lacking == 0 for each in again.balances)


def test_orders_are_served_by_their_day() -> None:
    lots = [each for each in plenty() if each.item != "wool-0123"] + [lot("wool-0123", "A", 7)]
    orders = [order("late", "WHIN", 2, "2026-12-09"), order("soon", "WHIN", 2, "2026-12-01")]
    run = planned(orders, lots)
    assert [(each.order.order, each.boxes, each.lacks) for each in run.served] == [
        ("soon", 2, ()),
        ("late", 1, ("wool-0123",)),
    ]


def test_an_order_that_waits_holds_nothing_back() -> None:
    """EMBER waits for its tins; WHIN is packed though it is wanted later."""
    lots = [each for each in plenty() if each.item != "tin-90"]
    run = planned([order("1", "EMBER", 3, "2026-12-01"), order("2", "WHIN", 3, "2026-12-02")], lots)
    assert [(each.boxes, each.lacks) for each in run.served] == [(0, ("tin-90",)), (3, ())]


def test_canvas_that_is_short_is_found_box_by_box() -> None:
    """A sheet of 70 x 90 holes holds six blanks of 26 x 27; a box of WHIN takes four."""
    run = planned([order("1", "WHIN", 9), order("2", "FERN", 1, "2026-12-02")], plenty(sheets=3))
    assert (run.served[0].boxes, run.served[0].lacks) == (4, ("plastic-7",))
    lacking = {each.item: each.lacking for each in run.balances if each.lacking}
    assert lacking.keys() == {"sheet-7"}
    assert not planned(
        [order("1", "WHIN", 9), order("2", "FERN", 1, "2026-12-02")], plenty(sheets=3 + lacking["sheet-7"])
    ).short


def test_an_order_that_waits_for_thread_is_told_of_canvas_too() -> None:
    """36 boxes of WHIN are 144 blanks; two sheets hold twelve of them, whatever thread comes in."""
    lots = [each for each in plenty(sheets=2) if each.item != "wool-0123"] + [lot("wool-0123", "A", 2)]
    run = planned([order("1", "WHIN", 1), order("2", "WHIN", 36), order("3", "FERN", 1)], lots)
    assert [(each.boxes, each.lacks) for each in run.served] == [
        (1, ()),
        (0, ("wool-0123", "plastic-7")),
        (1, ()),
    ]


def test_an_order_that_waits_is_reckoned_by_hand() -> None:
    """A box of WHIN takes 2 skeins of bark from one lot: 7 and 4 skeins are 3 and 2 boxes, and 1 of 6 waits.

    Five boxes, in cents: 8 skeins at 135, 2 needles at 22, booklet and sheet at 110, packing at 240. Of 20
    blanks of 26 x 27 holes six lie on a sheet of 70 x 90 at 145, two on the fourth; it leaves 70 x 62 holes:
    20 * 702 of 6300 holes are 323.2, the 6820 that are lost 157.0, each rounded up. Of 34.00 a box, 21 parts
    of 121 are tax: 5.90.
    """
    lots = [each for each in plenty() if each.item != "wool-0123"]
    lots += [lot("wool-0123", "4471", 7, "2026-08-01"), lot("wool-0123", "4502", 4, "2026-09-01")]
    run = planned([order("1", "WHIN", 6)], lots)
    (served,) = run.served
    assert (served.boxes, served.waits, served.lacks) == (5, 1, ("wool-0123",))
    bark = next(each for each in run.balances if each.item == "wool-0123")
    assert (bark.need, bark.picked, bark.short, bark.lacking) == (12, 10, 2, 2)
    (cost,) = run_costs(run, boxed()["WHIN"].kit.house)
    assert cost.parts == {"thread": 5 * 8 * 135, "needle": 5 * 2 * 22, "extra": 0, "printed": 5 * 110}
    assert (cost.canvas_minor, cost.waste_minor, cost.packing_minor) == (324, 157, 5 * 240)
    assert cost.margin_minor == 5 * (3400 - 590) - (5400 + 220 + 550 + 324 + 157 + 1200)
    assert not planned([order("1", "WHIN", 6)], [*lots, lot("wool-0123", "new", 2, "2026-11-01")]).short


def test_offcuts_are_used_first() -> None:
    lots = [*plenty(), lot("plastic-7", "30 x 57 holes", 9)]
    run = planned([order("1", "WHIN", 1)], lots)
    assert {draw.lot.item: draw.quantity for each in run.cuts for draw in each.draws} == {"plastic-7": 2}


def test_what_is_bought_comes_in_multiples_and_meets_the_minimum() -> None:
    item = known()["wool-0123"]
    assert isinstance(item.source, Thread)
    mill = Supplier("mill", "North Mill", 2000, item.source.at)
    items = known() | {
        "wool-0123": replace(item, source=replace(item.source, supplier="mill", order_multiple=10))
    }
    lots = [each for each in plenty() if each.item != "wool-0123"]
    run = planned([order("1", "WHIN", 3)], lots)
    (found,) = buys(run.balances, items, {"mill": mill})
    assert [(buy.lacking, buy.quantity, buy.cost_minor) for buy in found.buys] == [(6, 10, 1350)]
    assert (found.total_minor, found.below_minor) == (1350, 650)


@given(orders_of(), stores())
@settings(deadline=None, max_examples=40)
def test_the_cost_of_the_canvas_is_all_of_it(orders: list[Order], lots: list[Lot]) -> None:
    run = planned(orders, lots)
    costs = run_costs(run, boxed()["WHIN"].kit.house)
    for each in run.cuts:
        kept = sum(
            (
                layout.count * Fraction(145, 70 * 90) * offcut.columns * offcut.rows
                for layout in each.cutting.layouts
                if layout.supply == "sheet-7"
                for offcut in layout.offcuts
            ),
            Fraction(0),
        )
        assert each.used + each.waste + kept == each.cutting.cost
    assert sum(each.canvas_minor for each in costs) == sum(whole(each.used) for each in run.cuts)
    assert sum(each.waste_minor for each in costs) == sum(whole(each.waste) for each in run.cuts)
    assert [each.boxes for each in costs] == [run.boxes(code) for code in run.kits]


@pytest.mark.parametrize("code", CODES)
def test_a_run_of_one_box_packs_what_the_kit_says(code: str) -> None:
    run = planned([order("1", code, 1)], plenty())
    assert sorted((line.pick.item, line.quantity) for line in run.lines) == sorted(
        (pick.item, pick.quantity) for pick in boxed()[code].picks
    )


@pytest.mark.parametrize("stages", [2, 3])
def test_a_run_is_cut_in_no_more_stages_than_its_canvas_says(stages: int) -> None:
    """The canvas of a run is asked for all its kits together, with the stages of the canvas."""
    boxes = {}
    for code in CODES:
        each = boxed()[code]
        cut_so = [
            replace(one, piece=replace(one.piece, canvas=replace(one.piece.canvas, stages=stages)))
            for one in each.blanks
        ]
        boxes[code] = replace(each, blanks=tuple(cut_so))
    orders = [order(str(at), code, 7 + at) for at, code in enumerate(CODES)]
    run = plan_run("R1", orders, boxes, oldest_first(list(plenty())), cut)
    taken = {each.stage for one in run.cuts for layout in one.cutting.layouts for each in layout.cuts}
    assert max(taken) <= stages
    assert not run.short
