"""The owner's sheets of a run: what to buy, and what it costs."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence

from kitbuild.base.blocks import Block, Heading, Paragraph, Table
from kitbuild.base.document import Document
from kitbuild.documents.price_tables import channel_text, even_text, plain_money
from kitbuild.documents.run_job import RunJob, item_title
from kitbuild.production.buying import SupplierOrder
from kitbuild.production.run_cost import KitCost


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
        "kit",
        "boxes",
        "thread",
        "canvas",
        "waste",
        "needle",
        "extra",
        "printed",
        "packing",
        "hours",
        "cost",
    )
    yield _table(job, names, _spent, (0.13, 0.07, *([0.088] * 7), 0.084, 0.1))
    if not job.costs:
        return
    channel = channel_text(say, job.costs[0].sale)
    yield Paragraph(say("run.cost.left", channel=channel))
    names = ("kit", "boxes", "revenue", "tax", "fee", "royalty", "cost", "margin")
    yield _table(job, names, _left, (0.19, 0.09, *([0.12] * 6)))
    yield from _break_even(job)
    yield from _royalties(job)


def _table(
    job: RunJob,
    names: tuple[str, ...],
    cells: Callable[[RunJob, Sequence[KitCost]], tuple[str, ...]],
    widths: tuple[float, ...],
) -> Table:
    """One row a kit, and one of the whole run; `cells` are those beside the kit and its boxes."""
    header = tuple(job.say(f"run.cost.column.{name}") for name in names)
    rows = [(_kit(job, cost), str(cost.boxes), *cells(job, [cost])) for cost in job.costs]
    boxes = sum(cost.boxes for cost in job.costs)
    rows.append((job.say("run.cost.total"), str(boxes), *cells(job, job.costs)))
    return Table(header, tuple(rows), widths, "l" + "r" * (len(names) - 1))


def _kit(job: RunJob, cost: KitCost) -> str:
    return job.say("run.kit", code=cost.boxed.kit.code, edition=cost.boxed.kit.edition)


def _spent(job: RunJob, costs: Sequence[KitCost]) -> tuple[str, ...]:
    """What some kits cost, added up, without the currency."""
    minors = [sum(cost.parts["thread"] for cost in costs)]
    minors += [sum(cost.canvas_minor for cost in costs), sum(cost.waste_minor for cost in costs)]
    minors += [sum(cost.parts[kind] for cost in costs) for kind in ("needle", "extra", "printed")]
    minors.append(sum(cost.packing_minor for cost in costs))
    hours = job.say.speech.digits(sum(cost.hours for cost in costs), 1)
    return (*_told(job, minors), hours, *_told(job, [sum(cost.total_minor for cost in costs)]))


def _left(job: RunJob, costs: Sequence[KitCost]) -> tuple[str, ...]:
    """What customers pay for some kits, what is taken off it, and what is left, without the currency."""
    names = ("revenue_minor", "tax_minor", "fee_minor", "royalty_minor", "total_minor", "margin_minor")
    return _told(job, [sum(getattr(cost, name) for cost in costs) for name in names])


def _told(job: RunJob, minors: Iterable[int]) -> tuple[str, ...]:
    return tuple(plain_money(job.say, minor, job.house.currency) for minor in minors)


def _break_even(job: RunJob) -> Iterator[Block]:
    """The boxes that bring in what setting up costs, by kit and channel; nothing where it is free."""
    say = job.say
    costs = [cost for cost in job.costs if cost.setup_minor]
    if not costs:
        return
    yield Heading(2, say("run.even.heading"))
    sales = costs[0].boxed.cost.sales
    header = [say(f"run.cost.column.{name}") for name in ("kit", "boxes", "setup")]
    rows = tuple(
        (
            _kit(job, cost),
            str(cost.boxes),
            *_told(job, [cost.setup_minor]),
            *(even_text(say, sale, cost.setup_minor) for sale in cost.boxed.cost.sales),
        )
        for cost in costs
    )
    share = 0.62 / len(sales)
    widths = (0.18, 0.08, 0.12, *([share] * len(sales)))
    header += [channel_text(say, sale) for sale in sales]
    yield Table(tuple(header), rows, widths, "l" + "r" * (2 + len(sales)), say("run.even.text"))


def _royalties(job: RunJob) -> Iterator[Block]:
    """What designers get for the kits of the run; nothing where none is licensed."""
    say = job.say
    costs = [cost for cost in job.costs if cost.boxed.kit.licence]
    if not costs:
        return
    yield Heading(2, say("run.royalty.heading"))
    names = ("designer", "kit", "number", "boxes", "each", "royalty")
    header = tuple(say(f"run.royalty.column.{name}") for name in names)
    rows = tuple(
        (
            cost.boxed.kit.licence.designer,
            _kit(job, cost),
            str(cost.boxed.kit.licence.number),
            str(cost.boxes),
            *_told(job, (cost.sale.royalty_minor, cost.royalty_minor)),
        )
        for cost in costs
        if cost.boxed.kit.licence
    )
    yield Table(header, rows, (0.3, 0.18, 0.16, 0.12, 0.12, 0.12), "llrrrr")
