"""How kits are sold, and what takes the place of a material: frozen records of what the maker wrote.

Shares are exact, of one; money is whole minor units; days are `2026-10-01`.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction

from kitbuild.spec.source import At


@dataclass(frozen=True, slots=True)
class TaxRate:
    """A rate of tax from `begins` to `ends`, both days included; `ends` is "" while no end is known."""

    name: str
    rate: Fraction
    begins: str
    ends: str

    def counts(self, day: str) -> bool:
        """Whether it counts on a day."""
        return self.begins <= day and (not self.ends or day <= self.ends)


@dataclass(frozen=True, slots=True)
class Channel:
    """A way of selling.

    `tax` names the rate that its sales bear, "" for none. `price_with_tax` says whether its price is told
    with the tax in it. `discount` is off the kit's price, `fee` is of all that the customer pays,
    `fee_each_minor` of each box beside.
    """

    key: str
    title: str
    tax: str = ""
    price_with_tax: bool = True
    discount: Fraction = Fraction(0)
    fee: Fraction = Fraction(0)
    fee_each_minor: int = 0


@dataclass(frozen=True, slots=True)
class Trade:
    """How a workshop sells; without channels, a kit is sold for its price, and nothing is taken off it.

    `setup_cost_minor` is what a run of a kit costs before its first box.
    """

    setup_cost_minor: int = 0
    taxes: tuple[TaxRate, ...] = ()
    channels: tuple[Channel, ...] = ()

    def rate(self, name: str, day: str) -> Fraction:
        """The rate of this name on a day; nothing for no name."""
        return next((tax.rate for tax in self.taxes if tax.name == name and tax.counts(day)), Fraction(0))


@dataclass(frozen=True, slots=True)
class Licence:
    """The right to pack `number` kits of somebody's design: for a share of the net price, or a sum each."""

    designer: str
    credit: str
    royalty: Fraction
    royalty_each_minor: int
    number: int
    at: At = field(repr=False, compare=False)


@dataclass(frozen=True, slots=True)
class Replacement:
    """What takes the place of a thread or canvas: its key, and from which day; of a canvas also its pitch."""

    key: str
    begins: str
    why: str
    at: At = field(repr=False, compare=False)
    pitch_mm: float | None = None
