"""Planning of production runs: 200 kits and 500 orders, then ten times the orders, and ten times both.

The kits are those of the demo range, measured before, under 200 codes with blanks of eight heights. The store
holds nine tenths of what the orders need, in lots of 100. Lots, cut plans, what to buy and costs are planned.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from kitbuild.base.problem import Place
from kitbuild.build import amounts_of
from kitbuild.production.buying import buys
from kitbuild.production.cost import cost
from kitbuild.production.cut_plan import cut
from kitbuild.production.cutting import blanks
from kitbuild.production.orders import Order
from kitbuild.production.picks import picks
from kitbuild.production.run import plan_run
from kitbuild.production.run_cost import run_costs
from kitbuild.production.run_records import Boxed
from kitbuild.production.stock import Lot, items, oldest_first
from kitbuild.spec.folder import read_range
from kitbuild.spec.records import Kit
from tests.bench.timing import best_ms

KITS, ORDERS, LOT = 200, 500, 100
MOST_MS, MOST_TIMES = 10_000, 12


def range_of(many: int) -> tuple[dict[str, Boxed], dict[str, Kit]]:
    """So many kits, made from the demo range."""
    found, _ = read_range(Path("kits"))
    assert found is not None
    first = []
    for kit in found.kits:
        amounts, _ = amounts_of(kit)
        picked = picks(amounts)
        first.append(Boxed(kit, picked, blanks(amounts), cost(kit, picked), amounts.hours))
    made = {}
    for at in range(many):
        one, code = first[at % len(first)], f"K{at:04}"
        cut_from = tuple(replace(blank, kit=code, rows=blank.rows - at // 9 % 8) for blank in one.blanks)
        made[code] = replace(one, kit=replace(one.kit, code=code), blanks=cut_from)
    return made, {kit.code: kit for kit in found.kits}


def orders_for(codes: Sequence[str], many: int) -> list[Order]:
    """So many orders of 1 to 12 boxes."""
    chance = random.Random(7)
    rows = [
        Order(
            str(at),
            chance.choice(codes),
            chance.randint(1, 12),
            f"2026-12-{chance.randint(1, 28):02}",
            Place("kits/orders.csv", at + 2, 1),
        )
        for at in range(many)
    ]
    return sorted(rows, key=lambda order: order.due)


def store_for(boxed: dict[str, Boxed], orders: Sequence[Order]) -> tuple[Lot, ...]:
    """Nine tenths of the need of everything, and canvas in plenty."""
    need: Counter[str] = Counter()
    for order in orders:
        for pick in boxed[order.kit].stocked:
            need[pick.item] += order.quantity * pick.quantity
    lots = []
    for item, many in sorted(need.items()):
        for at in range(0, many * 9 // 10, LOT):
            day = f"2026-{1 + at // LOT % 9:02}-01"
            lots.append(Lot(item, f"L{at // LOT}", "S-01", LOT, day))
    boxes = sum(order.quantity for order in orders)
    lots += [Lot("sheet-7", "", "C-02", 10 * boxes, "2026-01-01")]
    lots += [Lot("roll-10", "R", "C-04", 300 * boxes, "2026-01-01")]
    return oldest_first(lots)


def time_of(kits: int, many: int) -> tuple[float, int, int]:
    """Milliseconds to plan, boxes planned, boxes wanted."""
    boxed, range_kits = range_of(kits)
    orders = orders_for(sorted(boxed), many)
    lots = store_for(boxed, orders)
    found, _ = read_range(Path("kits"))
    assert found is not None
    known, house = items(found.materials), next(iter(range_kits.values())).house
    planned = []

    def plan() -> None:
        run = plan_run("bench", orders, boxed, lots, cut)
        planned.append((run, buys(run.balances, known, {}), run_costs(run, house)))

    took = best_ms(plan, 1)
    run = planned[-1][0]
    return took, sum(each.boxes for each in run.served), sum(order.quantity for order in orders)


def main() -> None:
    """One line a size, with its ratio to the first."""
    first = 0.0
    for kits, many in ((KITS, ORDERS), (KITS, 10 * ORDERS), (10 * KITS, 10 * ORDERS)):
        took, boxes, wanted = time_of(kits, many)
        first = first or took
        print(
            f"run of {kits:5} kits, {many:5} orders: {took:8.0f} ms, {took / first:5.1f} times the first "
            f"({boxes} of {wanted} boxes)"
        )
    print(f"wanted: the first below {MOST_MS} ms, ten times the orders below {MOST_TIMES} times its time")


if __name__ == "__main__":
    main()
