"""What a run costs: by kit and in all, with the canvas as it is really cut and its waste shown."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from kitbuild.production.cost import whole
from kitbuild.production.prices import Sale
from kitbuild.production.run_records import Boxed, Run
from kitbuild.spec.house import House

KINDS = ("thread", "needle", "extra", "printed")


@dataclass(frozen=True, slots=True)
class KitCost:
    """All boxes of one kit in a run, in minor units; hours are the packer's.

    `sale` is one box in the workshop's first channel: as if all were sold there. What setting up costs is
    told beside it, and is in no sum.
    """

    boxed: Boxed
    boxes: int
    parts: dict[str, int]
    canvas_minor: int
    waste_minor: int
    packing_minor: int
    hours: float
    sale: Sale

    @property
    def total_minor(self) -> int:
        """Everything the boxes cost."""
        return sum(self.parts.values()) + self.canvas_minor + self.waste_minor + self.packing_minor

    @property
    def setup_minor(self) -> int:
        """What setting up costs, whatever the boxes."""
        return self.boxed.kit.house.trade.setup_cost_minor

    @property
    def revenue_minor(self) -> int:
        """What customers pay."""
        return self.boxes * self.sale.paid_minor

    @property
    def tax_minor(self) -> int:
        """The tax in it."""
        return self.boxes * self.sale.tax_minor

    @property
    def fee_minor(self) -> int:
        """What the channel keeps."""
        return self.boxes * self.sale.fee_minor

    @property
    def royalty_minor(self) -> int:
        """What the designer gets: the royalty of a kit times the kits."""
        return self.boxes * self.sale.royalty_minor

    @property
    def margin_minor(self) -> int:
        """What is left of the price."""
        taken = self.tax_minor + self.fee_minor + self.royalty_minor
        return self.revenue_minor - taken - self.total_minor


def run_costs(run: Run, house: House) -> tuple[KitCost, ...]:
    """The cost of each kit of a run: every part rounded up once.

    Canvas is shared by the area of the blanks: what they are of the sheets they come from, and their share of
    the waste. The shares of a canvas make up the whole amounts that its cut plan tells.
    """
    canvas, waste = _canvas_shares(run)
    return tuple(_kit_cost(run, house, code, canvas[code], waste[code]) for code in run.kits)


def _kit_cost(run: Run, house: House, code: str, canvas: int, waste: int) -> KitCost:
    boxed, boxes = run.boxed[code], run.boxes(code)
    sums = dict.fromkeys(KINDS, Fraction(0))
    for pick in boxed.picks:
        if pick.kind != "canvas":
            sums[pick.kind if pick.kind in KINDS else "printed"] += boxes * pick.cost
    hours = boxes * house.packing_minutes / 60
    return KitCost(
        boxed=boxed,
        boxes=boxes,
        parts={kind: whole(amount) for kind, amount in sums.items()},
        canvas_minor=canvas,
        waste_minor=waste,
        packing_minor=boxes * boxed.cost.packing_minor,
        hours=hours,
        sale=boxed.cost.first,
    )


def _canvas_shares(run: Run) -> tuple[Counter[str], Counter[str]]:
    """What each kit's blanks are worth, and their share of the waste of their canvas, in minor units."""
    canvas: Counter[str] = Counter()
    waste: Counter[str] = Counter()
    for cut in run.cuts:
        areas = dict.fromkeys(run.kits, 0)
        for sheet in cut.sheets:
            for placed in sheet.placed:
                areas[placed.blank.kit] += placed.columns * placed.rows
        canvas.update(shared(whole(cut.used), areas))
        waste.update(shared(whole(cut.waste), areas))
    return canvas, waste


def shared(minor: int, areas: Mapping[str, int]) -> dict[str, int]:
    """An amount divided by area into whole minor units, none lost: the largest remainders get the rest."""
    total = sum(areas.values())
    parts = {code: minor * area // total for code, area in areas.items()}
    left = minor - sum(parts.values())
    by_rest = sorted(areas, key=lambda code: (-(minor * areas[code] % total), code))
    return {code: part + (code in by_rest[:left]) for code, part in parts.items()}
