"""What is left of a price: tax, the channel's fee, the designer's royalty, the cost of the box; break-even.

Shares are exact fractions. Each amount is rounded once for one box, half up to the minor unit, so that the
sum of a run is the amount of a box times its boxes, to the last unit.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from kitbuild.spec.records import Kit
from kitbuild.spec.trade import Channel, Trade

DIRECT: Final = Channel("direct", "")
"""How a kit is sold where the workshop names no channel: for its price, with nothing taken off."""


@dataclass(frozen=True, slots=True)
class Sale:
    """One box sold through one channel, in minor units; `paid_minor` is all that the customer pays.

    `rate` is that of the tax.
    """

    channel: Channel
    rate: Fraction
    paid_minor: int
    tax_minor: int
    fee_minor: int
    royalty_minor: int
    cost_minor: int

    @property
    def net_minor(self) -> int:
        """The price without tax."""
        return self.paid_minor - self.tax_minor

    @property
    def before_cost_minor(self) -> int:
        """What is left for the box: tax, fee and royalty are paid."""
        return self.net_minor - self.fee_minor - self.royalty_minor

    @property
    def margin_minor(self) -> int:
        """What is left of the price when all is paid but the setting up."""
        return self.before_cost_minor - self.cost_minor

    @property
    def margin_share(self) -> Fraction | None:
        """The margin as a share of the price without tax; None where that is nothing."""
        return Fraction(self.margin_minor, self.net_minor) if self.net_minor else None

    def break_even(self, setup_minor: int) -> int | None:
        """The fewest boxes that bring in what setting up costs; None where no number does."""
        if setup_minor <= 0:
            return 0
        if self.margin_minor <= 0:
            return None
        return -(-setup_minor // self.margin_minor)


def sales(kit: Kit, cost_minor: int) -> tuple[Sale, ...]:
    """One box of a kit through each channel of the workshop, in order; `cost_minor` is what the box costs."""
    trade = kit.house.trade
    return tuple(_sale(kit, trade, channel, cost_minor) for channel in trade.channels or (DIRECT,))


def _sale(kit: Kit, trade: Trade, channel: Channel, cost_minor: int) -> Sale:
    rate = trade.rate(channel.tax, kit.date)
    told = kit.prices_minor.get(channel.key)
    if told is None:
        told = half_up(_list_price(kit, trade, channel) * (1 - channel.discount))
    if channel.price_with_tax:
        paid, tax = told, told - half_up(Fraction(told) / (1 + rate))
    else:
        tax = half_up(told * rate)
        paid = told + tax
    net = paid - tax
    return Sale(
        channel=channel,
        rate=rate,
        paid_minor=paid,
        tax_minor=tax,
        fee_minor=half_up(paid * channel.fee) + channel.fee_each_minor,
        royalty_minor=royalty_minor(kit, net),
        cost_minor=cost_minor,
    )


def _list_price(kit: Kit, trade: Trade, channel: Channel) -> Fraction:
    """The kit's price as it is told in a channel: without the tax of the first one where it is put on top."""
    if channel.price_with_tax:
        return Fraction(kit.price_minor)
    return kit.price_minor / (1 + trade.rate(trade.channels[0].tax, kit.date))


def royalty_minor(kit: Kit, net_minor: int) -> int:
    """What the designer gets for one kit that is sold for `net_minor` without tax."""
    if kit.licence is None:
        return 0
    return half_up(net_minor * kit.licence.royalty) + kit.licence.royalty_each_minor


def half_up(amount: Fraction) -> int:
    """A fraction of minor units to whole ones, halves up; amounts are not below nothing."""
    return (2 * amount.numerator + amount.denominator) // (2 * amount.denominator)
