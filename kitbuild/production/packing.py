"""Which box holds what: every box of a run has a number, and each colour in it is of one lot.

The boxes of a kit are numbered from 1 through its orders in their order. Lots follow one another as they are
planned, the oldest first, so that boxes with the same lots stand together and a few ranges tell all of them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import accumulate, pairwise

from kitbuild.base.units import round_half_up
from kitbuild.production.run_records import Boxed, Bundles, PickLine, Run, in_stock_units
from kitbuild.production.stock import BUNDLE
from kitbuild.quantity.thread import Use


@dataclass(frozen=True, slots=True)
class PackedColour:
    """One colour of a kit as it is packed: `needlefuls` of `needleful` hundredths of a mm, cut from `item`.

    `rgb` is six hexadecimal digits; a put-up of the thread holds `in_put_up` needlefuls.
    """

    colour: str
    name: str
    symbol: str
    rgb: str
    item: str
    title: str
    needlefuls: int
    needleful: int
    in_put_up: int


@dataclass(frozen=True, slots=True)
class PackedKit:
    """A kit of a run in the edition that is packed."""

    kit: str
    edition: int
    title: str
    colours: tuple[PackedColour, ...]


@dataclass(frozen=True, slots=True)
class PackedLine:
    """A line of the pick list: `quantity` of one lot for `boxes` boxes.

    One of the quantity takes `share` of a unit of the stock; `lot` is None for what is cut or printed for
    the run. The lines of a kit's colour fill its boxes in the order of their `turn`.
    """

    number: int
    kind: str
    kit: str
    item: str
    colour: str
    bin: str
    lot: str | None
    turn: int
    per_kit: int
    quantity: int
    boxes: int
    share: Fraction


@dataclass(frozen=True, slots=True)
class PackedOrder:
    """An order's kit: so many boxes of `quantity` are packed; `line` is its row in the list of orders."""

    order: str
    kit: str
    due: str
    quantity: int
    boxes: int
    line: int


@dataclass(frozen=True, slots=True)
class Packing:
    """All that is packed in a run."""

    run: str
    kits: tuple[PackedKit, ...]
    lines: tuple[PackedLine, ...]
    orders: tuple[PackedOrder, ...]
    bundles: Bundles = field(default_factory=dict)

    def lot(self, line: PackedLine, colour: str) -> str:
        """The lot of a colour that a line of thread or of bundles puts into a box."""
        if line.kind == BUNDLE:
            return self.bundles[line.item, line.lot or ""][colour]
        return line.lot or ""


@dataclass(frozen=True, slots=True)
class Boxes:
    """Boxes `first` to `last` of a kit, all for one order, with the same lot of each colour."""

    kit: str
    edition: int
    order: str
    first: int
    last: int
    lots: tuple[tuple[str, str], ...]


def box_number(run: str, kit: str, number: int) -> str:
    """What stands on a box: `2026-w41-WHIN-007`."""
    return f"{run}-{kit}-{number:03}"


def packing(run: Run) -> Packing:
    """What a planned run packs."""
    kits = tuple(packed_kit(run.boxed[code]) for code in run.kits)
    oldest = sorted(run.lines, key=lambda line: (line.lot.received, line.lot.lot) if line.lot else ("", ""))
    turns = {id(line): turn for turn, line in enumerate(oldest)}
    lines = tuple(_line(number, line, turns[id(line)]) for number, line in enumerate(run.lines, 1))
    orders = tuple(
        PackedOrder(
            each.order.order,
            each.order.kit,
            each.order.due,
            each.order.quantity,
            each.boxes,
            each.order.place.line,
        )
        for each in run.served
    )
    taken = {(line.item, line.lot or "") for line in lines if line.kind == BUNDLE}
    return Packing(run.name, kits, lines, orders, {key: dict(run.bundles[key]) for key in sorted(taken)})


def packed_kit(boxed: Boxed) -> PackedKit:
    """A kit as it is packed, its colours in the palette's order."""
    kit = boxed.kit
    colours = [_colour(pick.source) for pick in boxed.picks if isinstance(pick.source, Use)]
    colours.sort(key=lambda each: kit.colour_index(each.colour))
    return PackedKit(kit.code, kit.edition, kit.title, tuple(colours))


def _colour(use: Use) -> PackedColour:
    colour = use.colour
    return PackedColour(
        colour.key,
        colour.name,
        colour.symbol,
        "".join(f"{part:02x}" for part in colour.rgb),
        colour.thread.key,
        colour.thread.title,
        use.packed,
        int(round_half_up(use.needleful_mm * 100)),
        use.in_put_up,
    )


def _line(number: int, line: PickLine, turn: int) -> PackedLine:
    pick, lot = line.pick, line.lot
    return PackedLine(
        number,
        pick.kind,
        line.kit,
        pick.item,
        pick.colour.key if pick.colour else "",
        line.bin,
        lot.lot if lot else None,
        turn,
        pick.quantity,
        line.quantity,
        line.boxes,
        Fraction(in_stock_units(pick)) / pick.quantity,
    )


def boxes_of(packed: Packing) -> tuple[Boxes, ...]:
    """All boxes, by kit and number, in as few ranges as tell them apart."""
    return tuple(each for kit in packed.kits for each in _of_kit(packed, kit))


def _of_kit(packed: Packing, kit: PackedKit) -> Iterator[Boxes]:
    orders = [(each.order, each.boxes) for each in packed.orders if each.kit == kit.kit and each.boxes]
    lots = {each.colour: _lots(packed, kit.kit, each.colour) for each in kit.colours}
    ends = {0, *(end for sequence in (orders, *lots.values()) for end in _ends(sequence))}
    last = sum(many for _, many in orders)
    for before, end in pairwise(sorted(end for end in ends if end <= last)):
        chosen = tuple((colour, _at(sequence, before)) for colour, sequence in lots.items())
        yield Boxes(kit.kit, kit.edition, _at(orders, before), before + 1, end, chosen)


def _lots(packed: Packing, kit: str, colour: str) -> list[tuple[str, int]]:
    """The lots of one colour with the boxes of each, as they are packed."""
    return [(packed.lot(line, colour), line.boxes) for line in _aged(packed.lines, kit, colour)]


def _aged(lines: Iterable[PackedLine], kit: str, colour: str) -> list[PackedLine]:
    """The lines of a kit's colour as they fill its boxes: bundles made ahead first."""
    mine = [line for line in lines if line.kit == kit and line.boxes]
    mine = [line for line in mine if line.colour == colour or line.kind == BUNDLE]
    return sorted(mine, key=lambda line: (line.kind != BUNDLE, line.turn))


def _ends(sequence: Sequence[tuple[str, int]]) -> Iterator[int]:
    """After how many boxes each part of a sequence ends."""
    return accumulate(many for _, many in sequence)


def _at(sequence: Sequence[tuple[str, int]], box: int) -> str:
    """What a sequence says of a box, counted from 0."""
    return next(name for (name, _), end in zip(sequence, _ends(sequence), strict=True) if box < end)


def spans(packed: Packing) -> dict[int, tuple[int, int]]:
    """The first and the last box that each line of thread or bundles fills, by the line's number."""
    found = {}
    for kit in packed.kits:
        for colour in kit.colours:
            mine = _aged(packed.lines, kit.kit, colour.colour)
            for line, last in zip(mine, accumulate(line.boxes for line in mine), strict=True):
                found[line.number] = (last - line.boxes + 1, last)
    return found


def served(orders: Iterable[PackedOrder], boxes: Mapping[str, int]) -> tuple[PackedOrder, ...]:
    """The orders when only so many boxes of each kit are packed: those due first are served first."""
    left, found = dict(boxes), []
    for each in orders:
        many = min(each.boxes, left.get(each.kit, 0))
        left[each.kit] = left.get(each.kit, 0) - many
        found.append(replace(each, boxes=many))
    return tuple(found)
