"""What is left of a kit's price in each channel, and its licence: tables of the proof and the listing."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from kitbuild.base.blocks import Block, Heading, Paragraph, Table
from kitbuild.base.document import Column, Listing
from kitbuild.base.units import minor_digits, round_half_up
from kitbuild.documents.job import Job
from kitbuild.documents.wording import Wording
from kitbuild.production.prices import Sale

COLUMNS = ("channel", "price", "rate", "tax", "net", "fee", "royalty", "cost", "margin", "share", "even")
WIDTHS = (0.17, 0.085, 0.075, 0.08, 0.085, 0.08, 0.085, 0.085, 0.085, 0.085, 0.085)


def price_blocks(job: Job) -> Iterator[Block]:
    """The prices of a kit: one row a channel; and what its licence asks."""
    say, kit = job.say, job.kit
    currency, setup = kit.house.currency, kit.house.trade.setup_cost_minor
    yield Heading(2, say("proof.prices.heading"))
    yield Paragraph(say("proof.prices.text", currency=currency, setup=setup))
    header = tuple(say(f"proof.prices.column.{name}") for name in COLUMNS)
    rows = tuple(_row(job, sale) for sale in job.cost.sales)
    yield Table(header, rows, WIDTHS, "l" + "r" * (len(COLUMNS) - 1))
    if kit.licence:
        yield Paragraph(
            say(
                "proof.licence",
                licence=kit.licence,
                percent=float(kit.licence.royalty * 100),
                currency=currency,
            )
        )


def _row(job: Job, sale: Sale) -> tuple[str, ...]:
    say, currency = job.say, job.kit.house.currency
    setup = job.kit.house.trade.setup_cost_minor
    minors = (sale.tax_minor, sale.net_minor, sale.fee_minor, sale.royalty_minor, sale.cost_minor)
    return (
        channel_text(say, sale),
        plain_money(say, sale.paid_minor, currency),
        say("proof.prices.percent", percent=float(sale.rate * 100)),
        *(plain_money(say, minor, currency) for minor in (*minors, sale.margin_minor)),
        share_text(say, sale.margin_share),
        even_text(say, sale, setup),
    )


def channel_text(say: Wording, sale: Sale) -> str:
    """What a channel is called."""
    return say.own(sale.channel.title) if sale.channel.title else say("proof.prices.direct")


def share_text(say: Wording, share: Fraction | None) -> str:
    """A margin's share in whole per cent, a dash for none."""
    if share is None:
        return say("proof.prices.no_share")
    return say("proof.prices.percent", percent=int(round_half_up(float(share * 100))))


def even_text(say: Wording, sale: Sale, setup_minor: int) -> str:
    """The boxes of break-even, or that no number brings it."""
    even = sale.break_even(setup_minor)
    return say("proof.prices.never") if even is None else say.speech.digits(even)


def plain_money(say: Wording, minor: int, currency: str) -> str:
    """An amount without its currency, with the language's signs."""
    digits = minor_digits(currency)
    return say.speech.digits(minor / 10**digits, digits)


def prices(job: Job) -> Listing:
    """One row a channel: net + tax = price, and net - fee - royalty - cost = margin.

    `tax_rate` is in per cent, `margin_share` of one; `break_even` is empty where no number of boxes does.
    """
    house, sales = job.kit.house, job.cost.sales
    digits, setup = minor_digits(house.currency), house.trade.setup_cost_minor
    amounts = (
        ("price", [sale.paid_minor for sale in sales]),
        ("tax", [sale.tax_minor for sale in sales]),
        ("net", [sale.net_minor for sale in sales]),
        ("fee", [sale.fee_minor for sale in sales]),
        ("royalty", [sale.royalty_minor for sale in sales]),
        ("cost", [sale.cost_minor for sale in sales]),
        ("margin", [sale.margin_minor for sale in sales]),
        ("setup", [setup] * len(sales)),
    )
    shares = [sale.margin_share for sale in sales]
    even = [sale.break_even(setup) for sale in sales]
    return Listing(
        "prices.csv",
        (
            Column("channel", [sale.channel.key for sale in sales]),
            Column("tax_rate", [float(sale.rate * 100) for sale in sales], 3),
            *(Column(name, [minor / 10**digits for minor in minors], digits) for name, minors in amounts),
            Column("margin_share", ["" if share is None else f"{float(share):.4f}" for share in shares]),
            Column("break_even", ["" if boxes is None else boxes for boxes in even]),
            Column("currency", [house.currency] * len(sales)),
        ),
    )
