"""Planning a run: orders by due date take what is there, box by box; nothing is promised twice."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from itertools import groupby
from types import MappingProxyType

from kitbuild.base.units import up
from kitbuild.production.cut_records import CutJob, Cutting
from kitbuild.production.cutting import Blank
from kitbuild.production.lots import Shelf, lacking
from kitbuild.production.orders import Order
from kitbuild.production.picks import Pick
from kitbuild.production.run_cuts import (
    CanvasCut,
    Cutter,
    Demand,
    Source,
    cut_canvas,
    job_of,
    plenty,
    shops,
    sources,
)
from kitbuild.production.run_lines import age, joined, packed_now, pick_lines, room_for, taken
from kitbuild.production.run_records import Balance, Boxed, Bundles, PickLine, Run, Served, in_stock_units
from kitbuild.production.stock import Lot


class _Planner:
    """A run being planned: what is left of the stock, and the boxes given to orders so far."""

    def __init__(
        self, boxed: Mapping[str, Boxed], lots: Sequence[Lot], cut: Cutter, bundles: Bundles
    ) -> None:
        self.boxed, self.cut = boxed, cut
        self.lots = [lot for lot in lots if packed_now(lot, boxed, bundles)]
        self.bundle = {code: each.bundle for code, each in boxed.items()}
        self.canvases = {
            blank.piece.canvas.key: blank.piece.canvas for each in boxed.values() for blank in each.blanks
        }
        self.found = {key: sources(canvas, lots) for key, canvas in self.canvases.items()}
        self.blanks = {code: _by_canvas(each) for code, each in boxed.items()}
        self._known: dict[CutJob, Cutting] = {}

    def plan(self, orders: Sequence[Order]) -> tuple[list[Served], list[PickLine], dict[str, Demand]]:
        """Serve the orders in turn; canvas is looked at box by box only where there is not enough for all."""
        served, lines = self._serve(orders, {})
        scarce = {key for key in self.canvases if not self._fits(key, self._demand(served, key))}
        if scarce:
            sure = self._surely(served, scarce)
            served, lines = self._serve(orders, dict.fromkeys(scarce, sure))
        free = {key: self._free_holes(key, self._demand(served, key)) for key in self.canvases}
        served = [self._with_canvas(free, each) if each.waits else each for each in served]
        return served, lines, {key: self._demand(served, key) for key in self.canvases}

    def _with_canvas(self, free: Mapping[str, int], order: Served) -> Served:
        """An order that waits, with each canvas that is sure to lack for it: so many holes are `free`."""
        short = [
            key
            for key in sorted(self.blanks[order.order.kit])
            if key not in order.lacks
            and self._holes(key, self._demand([replace(order, boxes=order.waits)], key)) > free[key]
        ]
        return replace(order, lacks=(*order.lacks, *short))

    def _holes(self, key: str, demand: Demand) -> int:
        """The holes of blanks, kerfs in."""
        kerf = self.canvases[key].kerf
        return sum((blank.columns + kerf) * (blank.rows + kerf) * count for blank, count in demand)

    def _free_holes(self, key: str, demand: Demand) -> int:
        """The holes of a canvas in stock beyond those of the blanks."""
        kerf = self.canvases[key].kerf
        sizes = ((each.supply.limit or 0, each.supply) for each in self.found[key])
        held = sum(many * (size.columns + kerf) * (size.rows + kerf) for many, size in sizes)
        return held - self._holes(key, demand)

    def _serve(
        self, orders: Sequence[Order], scarce: Mapping[str, int]
    ) -> tuple[list[Served], list[PickLine]]:
        """Serve orders in turn; of `scarce` canvases, orders beyond that number are tried one by one."""
        shelf, served, lines = Shelf(self.lots), [], []
        for at, order in enumerate(orders):
            box, bundle = self.boxed[order.kit], self.bundle[order.kit]
            ready = min(order.quantity, room_for(shelf, bundle))
            room = {
                pick.item: room_for(shelf, pick) + (ready if pick.kind == "thread" else 0)
                for pick in box.stocked
            }
            boxes = min([order.quantity, *room.values()])
            lacks = [item for item, most in room.items() if most < order.quantity]
            for key in sorted({blank.piece.canvas.key for blank in box.blanks} & scarce.keys()):
                if boxes and at >= scarce[key]:
                    most = self._most(key, served, order, boxes)
                    lacks += [key] if most < boxes else []
                    boxes = most
            ready = min(ready, boxes)
            served.append(Served(order, boxes, tuple(lacks) if boxes < order.quantity else (), ready))
            lines += pick_lines(shelf, order.kit, bundle, ready)
            for pick in box.picks:
                many = boxes - ready if pick.kind == "thread" else boxes
                lines += pick_lines(shelf, order.kit, pick, many)
        return served, lines

    def _surely(self, served: Sequence[Served], scarce: Iterable[str]) -> int:
        """How many of the first orders can be cut in full from every scarce canvas."""
        low, high = 0, len(served) - 1
        while low < high:
            middle = (low + high + 1) // 2
            if all(self._fits(key, self._demand(served[:middle], key)) for key in scarce):
                low = middle
            else:
                high = middle - 1
        return low

    def _most(self, key: str, served: Sequence[Served], order: Order, most: int) -> int:
        """How many boxes of an order can be cut beside those served before."""
        low, high = 0, most
        while low < high:
            middle = (low + high + 1) // 2
            if self._fits(key, self._demand([*served, Served(order, middle)], key)):
                low = middle
            else:
                high = middle - 1
        return low

    def _demand(self, served: Iterable[Served], key: str) -> Demand:
        """Blanks of one canvas, by kit."""
        boxes: Counter[str] = Counter()
        for each in served:
            boxes[each.order.kit] += each.boxes
        found: list[tuple[Blank, int]] = []
        for code in sorted(boxes):
            if boxes[code]:
                mine = self.blanks[code].get(key, ())
                found += [(blank, count * boxes[code]) for blank, count in mine]
        return tuple(found)

    def _fits(self, key: str, demand: Demand) -> bool:
        wanted = sum(blank.columns * blank.rows * count for blank, count in demand)
        room = sum(
            (each.supply.limit or 0) * each.supply.columns * each.supply.rows for each in self.found[key]
        )
        if wanted > room or not demand:
            return not demand
        return not self._cut(job_of(self.canvases[key], demand, self.found[key])).short

    def _cut(self, job: CutJob) -> Cutting:
        """The plan of a job, made once."""
        if job not in self._known:
            self._known[job] = self.cut(job)
        return self._known[job]

    def cuts(self, demands: Mapping[str, Demand]) -> list[CanvasCut]:
        """The cut plan of each canvas."""
        made = []
        for key, demand in sorted(demands.items()):
            if demand:
                cutting = self._cut(job_of(self.canvases[key], demand, self.found[key]))
                made.append(cut_canvas(self.canvases[key], demand, self.found[key], cutting))
        return made

    def canvas_lacking(self, orders: Sequence[Order]) -> Counter[str]:
        """Sheets, and cm of rolls, to buy so that all orders can be cut, what is in stock used first."""
        short: Counter[str] = Counter()
        everything = [Served(order, order.quantity) for order in orders]
        for key, canvas in sorted(self.canvases.items()):
            demand = self._demand(everything, key)
            if plenty(canvas, demand, self.found[key]) or self._fits(key, demand):
                continue
            new = {each.supply.key: each for each in shops(canvas)}
            cutting = self._cut(job_of(canvas, demand, [*_free(self.found[key]), *new.values()]))
            for layout in cutting.layouts:
                if layout.supply in new:
                    stock = new[layout.supply].stock
                    rows = up((layout.rows + canvas.kerf) * canvas.pitch_mm / 10)
                    short[stock.key] += layout.count * (rows if stock.form == "roll" else 1)
        return short


def plan_run(
    name: str,
    orders: Sequence[Order],
    boxed: Mapping[str, Boxed],
    lots: Sequence[Lot],
    cut: Cutter,
    bundles: Bundles = MappingProxyType({}),
) -> Run:
    """The plan of a run; `orders` come by due date, `lots` of each item the oldest first.

    Every kit of the orders is in `boxed`, and each of its blanks fits on a stock of its canvas. Of `bundles`
    made ahead those that are named here are packed, before thread is.
    """
    planner = _Planner(boxed, lots, cut, bundles)
    served, lines, demands = planner.plan(orders)
    cuts = planner.cuts(demands)
    picked = tuple(sorted(joined(lines), key=lambda line: (line.bin, line.pick.item, age(line), line.kit)))
    balances = _balances(planner, served, picked)
    gone = taken(picked, cuts)
    return Run(name, dict(boxed), tuple(served), picked, tuple(cuts), balances, gone, bundles)


def _by_canvas(each: Boxed) -> dict[str, list[tuple[Blank, int]]]:
    """The blanks of one box by canvas, copies of one piece together."""
    found: dict[str, list[tuple[Blank, int]]] = {}
    for _, same in groupby(each.blanks, key=lambda blank: blank.piece.key):
        copies = list(same)
        found.setdefault(copies[0].piece.canvas.key, []).append((copies[0], len(copies)))
    return found


def _free(found: Iterable[Source]) -> list[Source]:
    """What is in stock already, at no cost."""
    return [replace(each, supply=replace(each.supply, cost=0)) for each in found]


def _balances(planner: _Planner, served: Sequence[Served], lines: Sequence[PickLine]) -> tuple[Balance, ...]:
    """Need, picked and lacking of every item; thread in bundles made ahead is picked too."""
    needs: dict[str, list[tuple[int, int, Pick]]] = {}
    picked: Counter[str] = Counter()
    for each in served:
        for pick in planner.boxed[each.order.kit].picks:
            ready = each.bundles if pick.kind == "thread" else 0
            needs.setdefault(pick.item, []).append((each.order.quantity, ready, pick))
            picked[pick.item] += ready * pick.quantity
    for line in lines:
        picked[line.pick.item] += line.quantity
    lots: dict[str, list[Lot]] = {}
    for lot in planner.lots:
        lots.setdefault(lot.item, []).append(lot)
    found = []
    for item, asked in sorted(needs.items()):
        kind = asked[0][2].kind
        need = sum(boxes * pick.quantity for boxes, _, pick in asked)
        found.append(Balance(item, kind, need, picked[item], _lacks(asked, lots.get(item, []))))
    found += [
        Balance(key, "stock", 0, 0, amount)
        for key, amount in sorted(planner.canvas_lacking([each.order for each in served]).items())
    ]
    return tuple(found)


def _lacks(asked: Sequence[tuple[int, int, Pick]], lots: Sequence[Lot]) -> int:
    kind = asked[0][2].kind
    if kind not in ("thread", "needle", "extra"):
        return 0
    boxes = [(many - ready, in_stock_units(pick)) for many, ready, pick in asked]
    short = lacking(boxes, lots, one_lot=kind == "thread")
    return -(-short // 1)  # type: ignore[return-value]
