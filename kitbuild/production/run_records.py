"""A production run: what is packed for which orders, from which lots, what is short, and what it costs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from kitbuild.production.cost import Cost
from kitbuild.production.cutting import Blank
from kitbuild.production.orders import Order
from kitbuild.production.picks import Pick
from kitbuild.production.run_cuts import CanvasCut
from kitbuild.production.stock import BUNDLE, Lot
from kitbuild.quantity.thread import Use
from kitbuild.spec.records import Kit

Bundles = Mapping[tuple[str, str], Mapping[str, str]]
"""Bundles of thread made ahead, by item and lot: the thread lot of each colour in them."""


@dataclass(frozen=True, slots=True)
class Boxed:
    """One kit as a run sees it: what one box holds, what it costs, and the stitcher's hours."""

    kit: Kit
    picks: tuple[Pick, ...]
    blanks: tuple[Blank, ...]
    cost: Cost
    hours: float

    @property
    def stocked(self) -> tuple[Pick, ...]:
        """The lines that stock is kept of as they are: not what is cut or printed for the run."""
        return tuple(pick for pick in self.picks if pick.kind in ("thread", "needle", "extra"))

    @property
    def threads(self) -> tuple[Pick, ...]:
        """The lines that a bundle made ahead stands for."""
        return tuple(pick for pick in self.picks if pick.kind == "thread")

    @property
    def bundle(self) -> Pick:
        """A bundle of all thread of the box, as one line."""
        code = self.kit.code
        cost = sum((pick.cost for pick in self.threads), Fraction(0))
        return Pick("bundle", "", f"{code}-{BUNDLE}", self.kit.title, 1, BUNDLE, cost, None)


def in_stock_units(pick: Pick) -> Fraction | int:
    """What one box takes of its item in units of the stock: needlefuls are parts of a put-up."""
    use = pick.source
    if isinstance(use, Use) and use.colour.thread.packed == "needlefuls":
        return Fraction(use.packed, use.in_put_up)
    return pick.quantity


@dataclass(frozen=True, slots=True)
class Served:
    """An order with the boxes that are planned now, and the items for which the others wait.

    `bundles` of the boxes get all their thread from a bundle that was made ahead.
    """

    order: Order
    boxes: int
    lacks: tuple[str, ...] = ()
    bundles: int = 0

    @property
    def waits(self) -> int:
        """Boxes that cannot be packed in this run."""
        return self.order.quantity - self.boxes


@dataclass(frozen=True, slots=True)
class PickLine:
    """So much of one lot for so many boxes of one kit; `quantity` in the pick's own unit.

    `lot` is None for what is cut or printed for the run.
    """

    bin: str
    kit: str
    pick: Pick
    lot: Lot | None
    boxes: int
    quantity: int


@dataclass(frozen=True, slots=True)
class Balance:
    """One item over the whole run, in the pick's own unit: picked + short = need.

    `lacking` is what must come in so that nothing is short, in units of the stock (of a roll, cm).
    """

    item: str
    kind: str
    need: int
    picked: int
    lacking: int

    @property
    def short(self) -> int:
        """What boxes that wait would take."""
        return self.need - self.picked


@dataclass(frozen=True, slots=True, eq=False)
class Run:
    """Everything planned for one run. `taken` is what leaves the stock, by (item, lot), in its units.

    `bundles` are those made ahead that the run could take, by (item, lot).
    """

    name: str
    boxed: dict[str, Boxed]
    served: tuple[Served, ...]
    lines: tuple[PickLine, ...]
    cuts: tuple[CanvasCut, ...]
    balances: tuple[Balance, ...]
    taken: dict[tuple[str, str], int]
    bundles: Bundles = field(default_factory=dict)

    def boxes(self, kit: str) -> int:
        """How many boxes of a kit are packed."""
        return sum(each.boxes for each in self.served if each.order.kit == kit)

    @property
    def kits(self) -> tuple[str, ...]:
        """The kits of which boxes are packed, by code."""
        return tuple(sorted({each.order.kit for each in self.served if each.boxes}))

    @property
    def offcuts(self) -> dict[tuple[str, str], int]:
        """Offcuts worth keeping, by canvas and size."""
        found: dict[tuple[str, str], int] = {}
        for cut in self.cuts:
            for layout in cut.cutting.layouts:
                for each in layout.offcuts:
                    key = (cut.canvas.key, f"{each.columns} x {each.rows} holes")
                    found[key] = found.get(key, 0) + layout.count
        return dict(sorted(found.items()))

    @property
    def short(self) -> bool:
        """Whether an order waits for anything."""
        return any(each.waits for each in self.served)
