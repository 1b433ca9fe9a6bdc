"""What goes into one box, as the packer handles it, in order of bins."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Final, Literal, get_args

from kitbuild.production.cutting import blank_cost, blank_of
from kitbuild.quantity.amounts import Amounts, PieceAmounts
from kitbuild.quantity.thread import Use
from kitbuild.spec.records import Colour, Kit, PackedExtra, PackedNeedle

Kind = Literal["canvas", "thread", "needle", "extra", "booklet", "sheet", "bundle"]
_KINDS: Final[tuple[Kind, ...]] = get_args(Kind)


@dataclass(frozen=True, slots=True)
class Pick:
    """One line of the pick list: `quantity` of `item` for one box, from `bin`.

    `item` is the materials key; printed matter is `CODE-booklet` and `CODE-sheet`, thread made ahead
    `CODE-bundle`. `unit` is the word of the
    materials for extras and put-ups; for the other kinds the kind itself says it. `cost` is for the whole
    quantity in minor units. `source` is the record that the line comes from.
    """

    kind: Kind
    bin: str
    item: str
    title: str
    quantity: int
    unit: str
    cost: Fraction
    source: Use | PackedNeedle | PackedExtra | PieceAmounts | None

    @property
    def colour(self) -> Colour | None:
        """The palette colour of a thread."""
        return self.source.colour if isinstance(self.source, Use) else None


def picks(amounts: Amounts) -> tuple[Pick, ...]:
    """All lines of one box, by bin, then item."""
    lines = [*_threads(amounts), *_canvas(amounts), *_needles(amounts), *_extras(amounts), *_printed(amounts)]
    return tuple(sorted(lines, key=lambda pick: (pick.bin, pick.item, pick.title)))


def by_kind(kit: Kit, lines: tuple[Pick, ...]) -> tuple[Pick, ...]:
    """The lines in the order in which hands need what is in the box: wherever it lies in the store."""
    return tuple(sorted(lines, key=lambda pick: (_KINDS.index(pick.kind), _place(kit, pick), pick.item)))


def _place(kit: Kit, pick: Pick) -> int:
    """A thread's place in the palette, a blank's among the pieces."""
    if pick.colour:
        return kit.colour_index(pick.colour.key)
    if isinstance(pick.source, PieceAmounts):
        return [piece.key for piece in kit.pieces].index(pick.source.panel.piece.key)
    return 0


def _threads(amounts: Amounts) -> Iterator[Pick]:
    """Whole put-ups, or needlefuls cut from them."""
    for use in amounts.uses:
        thread = use.colour.thread
        cut = thread.packed == "needlefuls"
        quantity, unit = (use.packed, "needleful") if cut else (use.put_ups, thread.put_up)
        yield Pick("thread", thread.bin, thread.key, thread.title, quantity, unit, thread_cost(use), use)


def thread_cost(use: Use) -> Fraction:
    """What a colour costs in minor units: whole put-ups, or the share of one that the needlefuls take."""
    if use.colour.thread.packed == "needlefuls":
        return Fraction(use.packed * use.colour.thread.cost_minor, use.in_put_up)
    return Fraction(use.put_ups * use.colour.thread.cost_minor)


def _canvas(amounts: Amounts) -> Iterator[Pick]:
    for each in amounts.pieces:
        piece = each.panel.piece
        cost = piece.copies * blank_cost(blank_of(amounts.kit, each))
        canvas = piece.canvas
        yield Pick("canvas", canvas.bin, canvas.key, canvas.title, piece.copies, "canvas", cost, each)


def _needles(amounts: Amounts) -> Iterator[Pick]:
    for packed in amounts.kit.needles:
        needle = packed.needle
        cost = Fraction(packed.quantity * needle.cost_minor)
        yield Pick("needle", needle.bin, needle.key, needle.title, packed.quantity, "needle", cost, packed)


def _extras(amounts: Amounts) -> Iterator[Pick]:
    for packed in amounts.kit.extras:
        extra = packed.extra
        cost = Fraction(packed.quantity * extra.cost_minor)
        yield Pick("extra", extra.bin, extra.key, extra.title, packed.quantity, extra.unit, cost, packed)


def _printed(amounts: Amounts) -> Iterator[Pick]:
    kit, house = amounts.kit, amounts.kit.house
    for kind, cost in (("booklet", house.booklet_cost_minor), ("sheet", house.sheet_cost_minor)):
        item = f"{kit.code}-{kind}"
        yield Pick(kind, house.printed_bin, item, kit.title, 1, kind, Fraction(cost), None)  # type: ignore[arg-type]
