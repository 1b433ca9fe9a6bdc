"""Open instances of cutting in at most three stages, with the best values published for them."""

from __future__ import annotations

import json
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from kitbuild.production.cut_records import CutJob, Supply, Wanted

FILE = Path(__file__).parents[1] / "figures" / "guillotine_instances.json"

SLOW = ("ATP", "A3", "CHL6", "CW", "CU1", "Hchl8s", "A5", "gcut4d")
"""Their plans take seconds."""


@dataclass(frozen=True, slots=True)
class Instance:
    """A job without kerf or turning, the cost of the best plan published, and its source."""

    name: str
    published: float
    source: str
    job: CutJob

    @property
    def area_bound(self) -> Fraction:
        """The blanks' area at the price of the cheapest area."""
        area = sum(each.columns * each.rows * each.quantity for each in self.job.wanted)
        return area * min(Fraction(each.cost) / (each.columns * each.rows) for each in self.job.supplies)

    @property
    def most(self) -> Fraction:
        """One sheet more than the published value; where sheets differ in cost, 1 % more."""
        if len(self.job.supplies) == 1:
            return Fraction(self.published) + 1
        return Fraction(self.published) * Fraction(101, 100)

    @property
    def quick(self) -> bool:
        """Whether its plan takes well under a second."""
        return not self.name.startswith(SLOW) and len(self.job.supplies) == 1


def instances() -> tuple[Instance, ...]:
    """All of them, as published."""
    rows = json.loads(FILE.read_text(encoding="utf-8"))["rows"]
    return tuple(Instance(row["name"], row["published_best"], row["source"], _job(row)) for row in rows)


def _job(row: dict) -> CutJob:  # type: ignore[type-arg]
    wanted = tuple(
        Wanted(str(at), wide, high, False, number) for at, (wide, high, number) in enumerate(row["items"])
    )
    supplies = tuple(
        Supply(str(at), "sheet", wide, high, 1 if cost < 0 else int(cost), None if number < 0 else number)
        for at, (wide, high, cost, number) in enumerate(row["sheets"])
    )
    return CutJob(wanted, supplies, 0)
