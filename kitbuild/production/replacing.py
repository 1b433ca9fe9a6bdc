"""What it means that another thread or canvas takes the place of one: kits, boxes, stock, colours."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from kitbuild.base.likeness import SIGHTS, Sight, difference
from kitbuild.base.problem import Problem
from kitbuild.production.cost import Cost
from kitbuild.production.picks import Pick
from kitbuild.production.run_records import in_stock_units
from kitbuild.production.stock import Lot
from kitbuild.quantity.amounts import Amounts, PieceAmounts
from kitbuild.quantity.thread import Use
from kitbuild.spec.materials import Canvas, Thread
from kitbuild.spec.records import Colour, Kit
from kitbuild.spec.trade import Replacement


@dataclass(frozen=True, slots=True, eq=False)
class Side:
    """A kit as it is made with the old material, or with the new one in its place."""

    amounts: Amounts
    cost: Cost
    warnings: tuple[Problem, ...]


@dataclass(frozen=True, slots=True)
class Need:
    """A colour's thread in one box before and after; `costs_minor` is of what is packed of it."""

    before: Use
    after: Use
    costs_minor: tuple[int, int]


@dataclass(frozen=True, slots=True, eq=False)
class Touched:
    """A kit that has the old material, `key`.

    `after` is None where it cannot be made with the new one, for the reason of `faults`; `measured` is how it
    would come out all the same, None where that cannot be told. `papers` are the documents that show the
    difference. `boxes` can still be made of the lots of the old one.
    """

    key: str
    kit: Kit
    before: Side
    after: Side | None
    faults: tuple[Problem, ...]
    papers: tuple[str, ...]
    boxes: int
    measured: Amounts | None = None

    @property
    def colour(self) -> Colour | None:
        """The colour of the palette whose thread is replaced."""
        return next((each for each in self.kit.palette if each.thread.key == self.key), None)

    @property
    def new_colour(self) -> Colour | None:
        """The same colour with the new thread."""
        if self.colour is None or self.after is None:
            return None
        kit = self.after.amounts.kit
        return kit.palette[kit.colour_index(self.colour.key)]

    @property
    def needs(self) -> tuple[Need, ...]:
        """The colours of which a box needs another number of needlefuls or put-ups, or at another cost."""
        if self.after is None:
            return ()
        after = {use.colour.key: use for use in self.after.amounts.uses}
        costs = [_costs(side.cost) for side in (self.before, self.after)]
        needs = (
            Need(use, after[use.colour.key], (costs[0][use.colour.key], costs[1][use.colour.key]))
            for use in self.before.amounts.uses
            if use.colour.key in after
        )
        return tuple(need for need in needs if _packs(need.before) != _packs(need.after))

    @property
    def resized(self) -> tuple[tuple[PieceAmounts, PieceAmounts], ...]:
        """The pieces whose blank or finished size is another, also where the kit cannot be made so."""
        after = self.after.amounts if self.after else self.measured
        if after is None:
            return ()
        pairs = zip(self.before.amounts.pieces, after.pieces, strict=True)
        return tuple((one, other) for one, other in pairs if _sizes(one) != _sizes(other))

    @property
    def told_anew(self) -> tuple[Problem, ...]:
        """The warnings that the new material brings."""
        if self.after is None:
            return ()
        before = {(problem.code, problem.message) for problem in self.before.warnings}
        return tuple(each for each in self.after.warnings if (each.code, each.message) not in before)


def _packs(use: Use) -> tuple[object, ...]:
    return (use.colour.thread.key, use.needlefuls, use.spare, use.put_ups)


def _costs(cost: Cost) -> dict[str, int]:
    return {pick.colour.key: minor for pick, minor in cost.lines if pick.colour}


def _sizes(each: PieceAmounts) -> tuple[object, ...]:
    return each.sizes.blank, each.sizes.finished


@dataclass(frozen=True, slots=True)
class PackedBoxes:
    """Boxes of one run and kit that hold the old material; `lots` are those of the thread in them."""

    run: str
    kit: str
    edition: int
    boxes: int
    lots: tuple[str, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Replaced:
    """A replacement with all that it touches.

    `released` are kept editions, code and number, that have the old material. `packed` is None where no stock
    ledger tells of boxes; `lots` are what is left of both, by key.
    """

    old: Thread | Canvas
    new: Thread | Canvas
    replacement: Replacement
    touched: tuple[Touched, ...]
    released: tuple[tuple[str, int], ...]
    packed: tuple[PackedBoxes, ...] | None
    lots: tuple[Lot, ...]


def boxes_left(lots: Iterable[Lot], pick: Pick) -> int:
    """How many boxes lots still fill with a pick, if nothing else is made of them: a box is of one lot."""
    one = in_stock_units(pick)
    return sum(lot.quantity // one for lot in lots if lot.item == pick.item)


def apart(old: Thread, new: Thread) -> dict[Sight | None, float]:
    """CIEDE2000 from the old colour to the new one: to full colour vision (None), and to each deficiency."""
    return {sight: difference(old.rgb, new.rgb, sight) for sight in (None, *SIGHTS)}


def nearest(colour: Colour, kit: Kit) -> tuple[Colour, float] | None:
    """The other colour of a kit that is most like one of it, with their difference; None for the only one."""
    others = [(difference(colour.rgb, each.rgb), each) for each in kit.palette if each.key != colour.key]
    if not others:
        return None
    least, other = min(others, key=lambda each: each[0])
    return other, least
