"""A run's lists as CSV. Column names are a contract: add at the end, never rename."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import pandas as pd

from kitbuild.base.document import Column, Listing
from kitbuild.base.units import minor_digits
from kitbuild.documents.run_job import RunJob, item_title, lot_text
from kitbuild.production.cutting import size_mm
from kitbuild.production.packing import box_number, boxes_of, packing
from kitbuild.production.run_cost import KINDS, KitCost


def run_listings(job: RunJob) -> tuple[Listing, ...]:
    """All lists of a run."""
    return (picks(job), cuts(job), offcuts(job), needs(job), orders(job), buying(job), costs(job), boxes(job))


def picks(job: RunJob) -> Listing:
    """One row for each bin, item, lot and kit; `boxes` is how many boxes of the kit it fills."""
    run = job.run
    lines = run.lines
    return Listing(
        "pick-list.csv",
        (
            Column("line", list(range(1, len(lines) + 1))),
            Column("bin", [line.bin for line in lines]),
            Column("item", [line.pick.item for line in lines]),
            Column("description", [job.what(line.kit, line.pick) for line in lines]),
            Column("colour", [line.pick.colour.key if line.pick.colour else "" for line in lines]),
            Column("lot", [lot_text(line) for line in lines]),
            Column("per_kit", [line.pick.quantity for line in lines]),
            Column("quantity", [line.quantity for line in lines]),
            Column("unit", [job.unit(line.kit, line.pick) for line in lines]),
            Column("run", [run.name] * len(lines)),
            Column("kit", [line.kit for line in lines]),
            Column("edition", [run.boxed[line.kit].kit.edition for line in lines]),
            Column("boxes", [line.boxes for line in lines]),
        ),
    )


def cuts(job: RunJob) -> Listing:
    """One row a blank, as it lies on its sheet; sheets are numbered through the whole run."""
    sheets = [sheet for cut in job.run.cuts for sheet in cut.sheets]
    rows = [(number, sheet, placed) for number, sheet in enumerate(sheets, 1) for placed in sheet.placed]
    return Listing(
        "cut-list.csv",
        (
            Column("sheet", [number for number, _, _ in rows]),
            Column("canvas", [sheet.canvas.key for _, sheet, _ in rows]),
            Column("stock", [sheet.stock.key for _, sheet, _ in rows]),
            Column("sheet_width", [sheet.columns for _, sheet, _ in rows]),
            Column("sheet_height", [sheet.rows for _, sheet, _ in rows]),
            Column("kit", [placed.blank.kit for _, _, placed in rows]),
            Column("piece", [placed.blank.piece.key for _, _, placed in rows]),
            Column("x", [placed.x for _, _, placed in rows]),
            Column("y", [placed.y for _, _, placed in rows]),
            Column("width", [placed.columns for _, _, placed in rows]),
            Column("height", [placed.rows for _, _, placed in rows]),
            Column("turned", ["yes" if placed.turned else "no" for _, _, placed in rows]),
            Column("width_mm", [size_mm(placed)[0] for _, _, placed in rows], 2),
            Column("height_mm", [size_mm(placed)[1] for _, _, placed in rows], 2),
        ),
    )


def offcuts(job: RunJob) -> Listing:
    """Offcuts worth keeping, as the stock list writes them; they are booked in when the run is posted."""
    found = job.run.offcuts
    return Listing(
        "offcuts.csv",
        (
            Column("item", [item for item, _ in found]),
            Column("lot", [lot for _, lot in found]),
            Column("bin", [job.items[item].bin for item, _ in found]),
            Column("quantity", list(found.values())),
        ),
    )


def needs(job: RunJob) -> Listing:
    """One row an item: what all orders need, what is picked, what is short, and what must come in."""
    rows = [each for each in job.run.balances if each.kind != "stock"]
    return Listing(
        "needs.csv",
        (
            Column("item", [row.item for row in rows]),
            Column("need", [row.need for row in rows]),
            Column("picked", [row.picked for row in rows]),
            Column("short", [row.short for row in rows]),
            Column("lacking", [row.lacking for row in rows]),
        ),
    )


def orders(job: RunJob) -> Listing:
    """One row an order's kit: how many boxes are planned, how many wait, and for what."""
    served = job.run.served
    return Listing(
        "orders.csv",
        (
            Column("order", [each.order.order for each in served]),
            Column("kit", [each.order.kit for each in served]),
            Column("edition", [job.run.boxed[each.order.kit].kit.edition for each in served]),
            Column("due", [each.order.due for each in served]),
            Column("quantity", [each.order.quantity for each in served]),
            Column("planned", [each.boxes for each in served]),
            Column("waits", [each.waits for each in served]),
            Column("lacks", [" ".join(each.lacks) for each in served]),
        ),
    )


def boxes(job: RunJob) -> Listing:
    """One row a colour of every box, by kit and number: which lot lies in it, and how many needlefuls."""
    packed = packing(job.run)
    kits = {kit.kit: kit for kit in packed.kits}
    rows = [
        (box_number(packed.run, each.kit, number), each, colour, lot)
        for each in boxes_of(packed)
        for number in range(each.first, each.last + 1)
        for colour, (_, lot) in zip(kits[each.kit].colours, each.lots, strict=True)
    ]
    return Listing(
        "boxes.csv",
        (
            Column("box", [box for box, _, _, _ in rows]),
            Column("kit", [each.kit for _, each, _, _ in rows]),
            Column("edition", [each.edition for _, each, _, _ in rows]),
            Column("order", [each.order for _, each, _, _ in rows]),
            Column("colour", [colour.colour for _, _, colour, _ in rows]),
            Column("thread", [colour.item for _, _, colour, _ in rows]),
            Column("lot", [lot for _, _, _, lot in rows]),
            Column("needlefuls", [colour.needlefuls for _, _, colour, _ in rows]),
        ),
    )


def buying(job: RunJob) -> Listing:
    """One row an item to order; `lacking` is in the stock's units, of a roll in metres."""
    buys = [buy for order in job.orders for buy in order.buys]
    digits = minor_digits(job.house.currency)
    lacking = [buy.lacking / 100 if buy.item.kind == "roll" else buy.lacking for buy in buys]
    return Listing(
        "buy-list.csv",
        (
            Column("supplier", [buy.supplier.key if buy.supplier else "" for buy in buys]),
            Column("item", [buy.item.key for buy in buys]),
            Column("description", [job.own(item_title(buy.item)) for buy in buys]),
            Column("lacking", lacking),
            Column("multiple", [buy.multiple for buy in buys]),
            Column("quantity", [buy.quantity for buy in buys]),
            Column("cost", [buy.cost_minor / 10**digits for buy in buys], digits),
            Column("currency", [job.house.currency] * len(buys)),
        ),
    )


_LATER: Final = ("tax", "fee", "royalty", "setup")
"""Columns that came after the others, and stand at the end."""


_COSTS: Final[dict[str, Callable[[KitCost], int | float | str]]] = {
    "kit": lambda each: each.boxed.kit.code,
    "edition": lambda each: each.boxed.kit.edition,
    "boxes": lambda each: each.boxes,
    **{kind: lambda each, kind=kind: each.parts[kind] for kind in KINDS},  # type: ignore[misc]
    "canvas": lambda each: each.canvas_minor,
    "waste": lambda each: each.waste_minor,
    "packing": lambda each: each.packing_minor,
    "cost": lambda each: each.total_minor,
    "revenue": lambda each: each.revenue_minor,
    "margin": lambda each: each.margin_minor,
    "hours": lambda each: each.hours,
    "tax": lambda each: each.tax_minor,
    "fee": lambda each: each.fee_minor,
    "royalty": lambda each: each.royalty_minor,
    "setup": lambda each: each.setup_minor,
}
"""Column and its value for a kit; money in minor units."""


def costs(job: RunJob) -> Listing:
    """One row a kit, then one of the whole run, with `kit` empty.

    revenue - tax - fee - royalty - cost = margin, as if all were sold in the first channel.
    """
    frame = pd.DataFrame({name: [of(each) for each in job.costs] for name, of in _COSTS.items()})
    digits = minor_digits(job.house.currency)
    columns = []
    for name in frame.columns:
        values = frame[name].tolist()
        total = "" if name in ("kit", "edition") else sum(values)
        money = name not in ("kit", "edition", "boxes", "hours")
        scaled = [value / 10**digits for value in (*values, total)] if money else [*values, total]
        columns.append(Column(name, scaled, digits if money else 2 if name == "hours" else None))
    currency = Column("currency", [job.house.currency] * (len(frame) + 1))
    later = [column for column in columns if column.name in _LATER]
    return Listing(
        "cost.csv", (*(column for column in columns if column.name not in _LATER), currency, *later)
    )
