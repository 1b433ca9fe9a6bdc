"""What one box costs: what is picked into it, and the packer's time. Each line is rounded up once."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from kitbuild.base.units import up
from kitbuild.production.picks import Pick
from kitbuild.production.prices import Sale, sales
from kitbuild.spec.records import Kit


@dataclass(frozen=True, slots=True)
class Cost:
    """Cost of one box in minor units, and what it brings in each channel.

    `sales` has one entry at least.
    """

    lines: tuple[tuple[Pick, int], ...]
    packing_minor: int
    total_minor: int
    sales: tuple[Sale, ...]

    @property
    def first(self) -> Sale:
        """A box sold for the kit's own price."""
        return self.sales[0]

    @property
    def margin_minor(self) -> int:
        """What is left of it."""
        return self.first.margin_minor


def cost(kit: Kit, picks: tuple[Pick, ...]) -> Cost:
    """Unit cost of a kit: every line rounded up to a whole minor unit, the total their sum."""
    lines = tuple((pick, whole(pick.cost)) for pick in picks)
    house = kit.house
    packing = up(house.packing_minutes * house.packing_wage_minor / 60)
    total = sum(minor for _, minor in lines) + packing
    return Cost(lines, packing, total, sales(kit, total))


def whole(amount: Fraction) -> int:
    """A fraction of minor units, rounded up."""
    return -(-amount.numerator // amount.denominator)
