"""The owner's sheets of a run: what to buy, and what it costs."""

from __future__ import annotations

from collections.abc import Iterator

from kitbuild.base.blocks import Block, Heading, Paragraph, Table
from kitbuild.base.document import Document
from kitbuild.documents.run_job import RunJob, item_title
from kitbuild.production.buying import SupplierOrder


def run_buy_sheet(job: RunJob) -> Document:
    """The buy list, by supplier."""
    return job.document("buy-list", "buy", _buying(job))


def run_cost_sheet(job: RunJob) -> Document:
    """The cost of the run and of each of its kits."""
    return job.document("cost", "cost", _costs(job), wide=True)


def _buying(job: RunJob) -> Iterator[Block]:
    yield Heading(1, job.say("run.buy.heading", run=job.run.name))
    if not job.orders:
        yield Paragraph(job.say("run.buy.nothing"), "lead")
    for order in job.orders:
        yield from _supplier(job, order)


def _supplier(job: RunJob, order: SupplierOrder) -> Iterator[Block]:
    say, currency = job.say, job.house.currency
    money = say.speech.money
    title = job.own(order.supplier.title) if order.supplier else say("run.buy.anyone")
    yield Heading(2, title)
    names = ("item", "what", "lacking", "multiple", "quantity", "cost")
    header = tuple(say(f"run.buy.column.{name}") for name in names)
    rows = tuple(
        (
            buy.item.key,
            job.own(item_title(buy.item)),
            job.measured(buy.item, buy.lacking),
            str(buy.multiple),
            str(buy.quantity),
            money(buy.cost_minor, currency),
        )
        for buy in order.buys
    )
    yield Table(header, rows, (0.16, 0.36, 0.12, 0.1, 0.1, 0.16), "llrrrr")
    yield Paragraph(say("run.buy.total", total=money(order.total_minor, currency)))
    if order.below_minor and order.supplier:
        least, below = order.supplier.minimum_minor, order.below_minor
        yield Paragraph(say("run.buy.below", least=money(least, currency), below=money(below, currency)))


def _costs(job: RunJob) -> Iterator[Block]:
    say, currency = job.say, job.house.currency
    yield Heading(1, say("run.cost.heading", run=job.run.name))
    yield Paragraph(say("run.cost.lead", currency=currency))
    names = (
        "kit", "boxes", "thread", "canvas", "waste", "needle", "extra", "printed", "packing", "hours",
        "cost", "revenue", "margin",
    )  # fmt: skip
    header = tuple(say(f"run.cost.column.{name}") for name in names)
    rows = [_kit_row(job, at) for at in range(len(job.costs))]
    rows.append(_total_row(job))
    widths = (0.1, 0.05, *([0.075] * 7), 0.06, 0.085, 0.085, 0.085)
    yield Table(header, tuple(rows), widths, "l" + "r" * 12)


def _kit_row(job: RunJob, at: int) -> tuple[str, ...]:
    cost = job.costs[at]
    kit = job.say("run.kit", code=cost.boxed.kit.code, edition=cost.boxed.kit.edition)
    return (kit, str(cost.boxes), *_amounts(job, [at]))


def _total_row(job: RunJob) -> tuple[str, ...]:
    boxes = sum(cost.boxes for cost in job.costs)
    return (job.say("run.cost.total"), str(boxes), *_amounts(job, list(range(len(job.costs)))))


def _amounts(job: RunJob, which: list[int]) -> tuple[str, ...]:
    """The amounts of some kits added up, without the currency."""
    from kitbuild.base.units import minor_digits

    digits = minor_digits(job.house.currency)
    costs = [job.costs[at] for at in which]

    def told(minor: int) -> str:
        return job.say.speech.digits(minor / 10**digits, digits)

    return (
        told(sum(cost.parts["thread"] for cost in costs)),
        told(sum(cost.canvas_minor for cost in costs)),
        told(sum(cost.waste_minor for cost in costs)),
        *(told(sum(cost.parts[kind] for cost in costs)) for kind in ("needle", "extra", "printed")),
        told(sum(cost.packing_minor for cost in costs)),
        job.say.speech.digits(sum(cost.hours for cost in costs), 1),
        told(sum(cost.total_minor for cost in costs)),
        told(sum(cost.revenue_minor for cost in costs)),
        told(sum(cost.margin_minor for cost in costs)),
    )
