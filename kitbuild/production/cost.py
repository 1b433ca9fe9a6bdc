"""What one box costs: what is picked into it, and the packer's time. Each line is rounded up once."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from kitbuild.base.units import up
from kitbuild.production.picks import Pick
from kitbuild.spec.records import Kit


@dataclass(frozen=True, slots=True)
class Cost:
    """Cost of one box in minor units; `margin_minor` is the price less it."""

    lines: tuple[tuple[Pick, int], ...]
    packing_minor: int
    total_minor: int
    margin_minor: int


def cost(kit: Kit, picks: tuple[Pick, ...]) -> Cost:
    """Unit cost of a kit: every line rounded up to a whole minor unit, the total their sum."""
    lines = tuple((pick, whole(pick.cost)) for pick in picks)
    house = kit.house
    packing = up(house.packing_minutes * house.packing_wage_minor / 60)
    total = sum(minor for _, minor in lines) + packing
    return Cost(lines, packing, total, kit.price_minor - total)


def whole(amount: Fraction) -> int:
    """A fraction of minor units, rounded up."""
    return -(-amount.numerator // amount.denominator)
