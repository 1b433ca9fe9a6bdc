"""Bundles of thread made ahead: all thread of one box on a card, of each colour from one lot."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from kitbuild.production.cost import whole
from kitbuild.production.lots import Shelf
from kitbuild.production.packing import (
    Boxes,
    PackedKit,
    PackedLine,
    PackedOrder,
    Packing,
    boxes_of,
    packed_kit,
)
from kitbuild.production.run_records import Boxed, Bundles, Run, in_stock_units
from kitbuild.production.stock import BUNDLE, Lot


@dataclass(frozen=True, slots=True)
class Bundle:
    """A lot of bundles in stock: of which edition, `made_of` what, and the thread lot of each colour."""

    item: str
    lot: str
    kit: str
    edition: int
    made_of: str
    lots: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Making:
    """Bundles to make: `lots` of them with how many of each; `lacks` is what the others wait for.

    `lines` is the thread to take, `taken` in whole put-ups by (item, lot).
    """

    name: str
    kit: PackedKit
    wanted: int
    made: int
    lines: tuple[PackedLine, ...]
    taken: Mapping[tuple[str, str], int]
    lots: tuple[tuple[Bundle, int], ...]
    lacks: tuple[str, ...]


def made_of(kit: PackedKit) -> str:
    """What makes bundles of two editions the same: names, symbols, threads, needlefuls and their length."""
    return json.dumps(
        [
            [each.colour, each.name, each.symbol, each.item, each.needlefuls, each.needleful]
            for each in kit.colours
        ],
        ensure_ascii=False,
    )


def usable(bundles: Sequence[Bundle], boxed: Mapping[str, Boxed]) -> Bundles:
    """The bundles that today's kits take as they are, of whatever edition they were made."""
    wanted = {code: made_of(packed_kit(each)) for code, each in boxed.items()}
    return {(each.item, each.lot): each.lots for each in bundles if wanted.get(each.kit) == each.made_of}


def about_bundles(bundles: Iterable[Bundle], run: Run, lots: Iterable[Lot]) -> Iterator[str]:
    """What to say of bundles of the run's kits: of another edition that serve, and those that do not."""
    there = {(lot.item, lot.lot): lot.quantity for lot in lots}
    for each in bundles:
        key, boxed = (each.item, each.lot), run.boxed.get(each.kit)
        if boxed and there.get(key) and key not in run.bundles:
            yield f"{each.item} {each.lot}: passed over, {each.kit} takes other thread now"
        elif boxed and run.taken.get(key) and each.edition != boxed.kit.edition:
            made, now = each.edition, boxed.kit.edition
            yield f"{each.item} {each.lot}: made for edition {made}, edition {now} takes the same thread"


def plan_making(name: str, boxed: Boxed, wanted: int, lots: Sequence[Lot]) -> Making:
    """As many of the bundles that are wanted as the thread is there for, the oldest lots first.

    `name` is the making's; bundles with the same lots are one lot, named by edition, making and a letter.
    """
    kit, shelf = packed_kit(boxed), Shelf(lots)
    room = {pick.item: shelf.boxes(pick.item, in_stock_units(pick), one_lot=True) for pick in boxed.threads}
    made = min([wanted, *room.values()])
    lines: list[PackedLine] = []
    for pick in boxed.threads:
        per_box = in_stock_units(pick)
        for take in shelf.take(pick.item, per_box, made, one_lot=True) if made else ():
            lines.append(
                PackedLine(
                    len(lines) + 1,
                    pick.kind,
                    kit.kit,
                    pick.item,
                    pick.colour.key if pick.colour else "",
                    take.lot.bin,
                    take.lot.lot,
                    len(lines),
                    pick.quantity,
                    take.boxes * pick.quantity,
                    take.boxes,
                    Fraction(per_box) / pick.quantity,
                )
            )
    packed = Packing(name, (kit,), tuple(lines), (PackedOrder(name, kit.kit, "", wanted, made, 0),))
    lacks = tuple(item for item, most in room.items() if most < wanted)
    made_lots = _lots(name, kit, boxes_of(packed))
    return Making(name, kit, wanted, made, tuple(lines), _taken(lines), made_lots, lacks)


def _taken(lines: Sequence[PackedLine]) -> dict[tuple[str, str], int]:
    exact: dict[tuple[str, str], Fraction] = {}
    for line in lines:
        key = (line.item, line.lot or "")
        exact[key] = exact.get(key, Fraction(0)) + line.quantity * line.share
    return {key: whole(many) for key, many in sorted(exact.items())}


def _lots(name: str, kit: PackedKit, ranges: Sequence[Boxes]) -> tuple[tuple[Bundle, int], ...]:
    item, composed = f"{kit.kit}-{BUNDLE}", made_of(kit)
    return tuple(
        (
            Bundle(item, f"ed{kit.edition}-{name}-{at}", kit.kit, kit.edition, composed, dict(each.lots)),
            each.last - each.first + 1,
        )
        for at, each in enumerate(ranges, 1)
    )
