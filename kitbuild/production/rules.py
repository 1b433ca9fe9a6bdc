"""What is judged from cost: a flat list of small rules."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

from kitbuild.base.problem import Problem
from kitbuild.base.units import money_text
from kitbuild.production.cost import Cost
from kitbuild.spec.records import Kit

Rule = Callable[[Kit, Cost], Iterator[Problem]]


def price_covers_the_cost(kit: Kit, cost: Cost) -> Iterator[Problem]:
    """A kit sold below what its box costs loses money with each sale."""
    if cost.margin_minor < 0:
        currency = kit.house.currency
        yield Problem(
            kit.at("price"),
            "KB602",
            f"the price {money_text(kit.price_minor, currency)} is below the cost of the box, "
            f"{money_text(cost.total_minor, currency)}",
            "raise the price, or pack less",
            warning=True,
        )


RULES: Final[tuple[Rule, ...]] = (price_covers_the_cost,)


def judged(kit: Kit, cost: Cost) -> tuple[Problem, ...]:
    """What all rules find."""
    return tuple(problem for rule in RULES for problem in rule(kit, cost))
