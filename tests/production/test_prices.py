"""What is left of a price, against sums done by hand; break-even and royalties to the last minor unit."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitbuild.production.cost import cost
from kitbuild.production.prices import Sale, half_up, sales
from kitbuild.production.rules import judged
from kitbuild.production.run_cost import run_costs
from kitbuild.spec.records import Kit
from kitbuild.spec.trade import Channel, Licence, TaxRate, Trade
from tests.documents.runs import run_job
from tests.pattern.builders import AT, house, kit, piece

SHOP = Channel("shop", "Own shop", "standard")
MARKET = Channel("market", "Marketplace", "standard", fee=Fraction(95, 1000), fee_each_minor=30)
WHOLESALE = Channel("wholesale", "Wholesale", "standard", price_with_tax=False, discount=Fraction(45, 100))
ABROAD = Channel("abroad", "Abroad")
RATES = (
    TaxRate("standard", Fraction(20, 100), "2024-07-01", "2026-09-30"),
    TaxRate("standard", Fraction(21, 100), "2026-10-01", ""),
)


def sold(*channels: Channel, price_minor: int = 2400, setup_minor: int = 8500, **changes: object) -> Kit:
    trade = Trade(setup_minor, RATES, channels)
    return kit(piece(), price_minor=price_minor, house=replace(house(), trade=trade), **changes)


def licence(share: str = "0", each_minor: int = 0) -> Licence:
    return Licence("Ottoline Brackwater", "Design: O. B.", Fraction(share), each_minor, 500, AT)


def told(sale: Sale) -> tuple[int, ...]:
    return (sale.paid_minor, sale.tax_minor, sale.net_minor, sale.fee_minor, sale.royalty_minor)


def test_the_own_shop() -> None:
    """24.00 / 1.21 = 19.834…: 19.83 and 4.17 tax; 19.83 - 8.00 = 11.83; 85.00 / 11.83 = 7.2."""
    (sale,) = sales(sold(SHOP), 800)
    assert told(sale) == (2400, 417, 1983, 0, 0)
    assert sale.margin_minor == 1183
    assert sale.margin_share == Fraction(1183, 1983)
    assert sale.break_even(8500) == 8


def test_the_marketplace() -> None:
    """9.5 % of 24.00 = 2.28, and 0.30; 6 % of 19.83 = 1.1898; 19.83 - 2.58 - 1.19 - 8.00 = 8.06."""
    (sale,) = sales(sold(MARKET, licence=licence("6/100")), 800)
    assert told(sale) == (2400, 417, 1983, 258, 119)
    assert sale.margin_minor == 806
    assert sale.break_even(8500) == 11


def test_wholesale_is_without_tax_and_the_tax_is_put_on_top() -> None:
    """24.00 / 1.21 × 0.55 = 10.909…: 10.91; 21 % of it = 2.2911: 2.29; 13.20 is paid."""
    _, sale = sales(sold(SHOP, WHOLESALE), 800)
    assert told(sale) == (1320, 229, 1091, 0, 0)
    assert sale.margin_minor == 291
    assert sale.break_even(8500) == 30


def test_a_kits_own_price_stands_as_it_is_told_there() -> None:
    one = sold(SHOP, WHOLESALE, MARKET, prices_minor={"wholesale": 1250, "market": 2650})
    _, wholesale, market = sales(one, 800)
    assert told(wholesale)[:3] == (1513, 263, 1250)
    assert told(market)[:3] == (2650, 460, 2190)


def test_without_tax_or_channels_nothing_is_taken_off() -> None:
    assert [told(sale) for sale in sales(sold(ABROAD), 800)] == [(2400, 0, 2400, 0, 0)]
    (direct,) = sales(kit(piece()), 800)
    assert (told(direct), direct.margin_minor) == ((3000, 0, 3000, 0, 0), 2200)


@pytest.mark.parametrize(("day", "tax"), [("2026-09-30", 400), ("2026-10-01", 417), ("2031-01-01", 417)])
def test_the_rate_is_that_of_the_editions_day(day: str, tax: int) -> None:
    """24.00 / 1.20 = 20.00 to the last day of the earlier rate."""
    (sale,) = sales(sold(SHOP, date=day), 800)
    assert sale.tax_minor == tax


@pytest.mark.parametrize(
    ("setup", "cost_minor", "boxes"),
    [
        (0, 800, 0),
        (0, 9999, 0),
        (1, 800, 1),
        (1183, 800, 1),
        (1184, 800, 2),
        (100, 1982, 100),
        (100, 1983, None),
    ],
)
def test_break_even_is_the_fewest_boxes_or_never(setup: int, cost_minor: int, boxes: int | None) -> None:
    (sale,) = sales(sold(SHOP), cost_minor)
    assert sale.break_even(setup) == boxes


MONEY = st.integers(0, 5_000_000)
SHARE = st.integers(0, 10_000).map(lambda tenth: Fraction(tenth, 10_000))


@given(price=MONEY, cost_minor=MONEY, rate=SHARE, fee=SHARE, cut=SHARE, royalty=SHARE, with_tax=st.booleans())
def test_every_minor_unit_is_in_one_place(
    price: int,
    cost_minor: int,
    rate: Fraction,
    fee: Fraction,
    cut: Fraction,
    royalty: Fraction,
    with_tax: bool,
) -> None:
    channel = Channel("any", "Any", "standard", with_tax, cut, fee, 30)
    trade = Trade(0, (TaxRate("standard", rate, "2000-01-01", ""),), (channel,))
    shop = replace(house(), trade=trade)
    one = kit(piece(), price_minor=price, house=shop, licence=licence(str(royalty)))
    (sale,) = sales(one, cost_minor)
    parts = (sale.tax_minor, sale.fee_minor, sale.royalty_minor, sale.cost_minor, sale.margin_minor)
    assert sum(parts) == sale.paid_minor
    assert abs(sale.tax_minor - sale.net_minor * rate) <= 1
    assert abs(sale.royalty_minor - sale.net_minor * royalty) <= Fraction(1, 2)
    even = sale.break_even(10_000)
    if even is None:
        assert sale.margin_minor <= 0
    else:
        assert (even - 1) * sale.margin_minor < 10_000 <= even * sale.margin_minor


@given(st.fractions(0, 10**9))
def test_rounding_is_half_up(amount: Fraction) -> None:
    assert Fraction(-1, 2) < half_up(amount) - amount <= Fraction(1, 2)


def test_each_channel_that_loses_money_is_told_at_its_price() -> None:
    """A box of nothing costs its packing: 9 minutes at 16.00 an hour, 2.40. In the shop 2.48 is left."""
    one = sold(SHOP, MARKET, WHOLESALE, price_minor=300)
    found = judged(one, cost(one, ()))
    assert [problem.message for problem in found] == [
        "of the price 3.00 EUR in `market`, tax and fee leave 1.89 EUR, the box costs 2.40 EUR",
        "of the price 1.65 EUR in `wholesale`, tax and fee leave 1.36 EUR, the box costs 2.40 EUR",
    ]
    assert {problem.code for problem in found} == {"KB602"}


def test_a_runs_royalty_is_that_of_a_kit_times_its_kits() -> None:
    job = run_job()
    rare = licence("1/3", 7)
    boxed = {code: replace(each, kit=replace(each.kit, licence=rare)) for code, each in job.run.boxed.items()}
    boxed = {code: replace(each, cost=cost(each.kit, each.picks)) for code, each in boxed.items()}
    run = replace(job.run, boxed=boxed)
    for each in run_costs(run, job.house):
        one = half_up(Fraction(each.sale.net_minor, 3)) + 7
        assert each.royalty_minor == one * each.boxes
        taken = each.tax_minor + each.fee_minor + each.royalty_minor + each.total_minor
        assert each.revenue_minor - taken == each.margin_minor
