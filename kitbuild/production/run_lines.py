"""The lines of a run's pick list: what is taken from which lot, for how many boxes of which kit."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from fractions import Fraction

from kitbuild.production.cost import whole
from kitbuild.production.lots import Shelf, Take
from kitbuild.production.picks import Pick
from kitbuild.production.run_cuts import CanvasCut
from kitbuild.production.run_records import Boxed, Bundles, PickLine, in_stock_units
from kitbuild.production.stock import BUNDLE, PRINTED, Lot, edition_lot


def room_for(shelf: Shelf, pick: Pick) -> int:
    """How many boxes the shelf holds a line of the box for."""
    return shelf.boxes(pick.item, in_stock_units(pick), one_lot=pick.kind == "thread")


def pick_lines(shelf: Shelf, kit: str, pick: Pick, boxes: int) -> list[PickLine]:
    """The pick lines of one line of the box for so many boxes."""
    if not boxes:
        return []
    if pick.kind in PRINTED:
        return _printed_lines(shelf, kit, pick, boxes)
    if pick.kind == "canvas":
        return [PickLine(pick.bin, kit, pick, None, boxes, boxes * pick.quantity)]
    takes = shelf.take(pick.item, in_stock_units(pick), boxes, one_lot=pick.kind == "thread")
    return [
        PickLine(take.lot.bin, kit, pick, take.lot, take.boxes, _in_pick_units(pick, take)) for take in takes
    ]


def _printed_lines(shelf: Shelf, kit: str, pick: Pick, boxes: int) -> list[PickLine]:
    """What is printed already is packed first; the rest is printed for the run."""
    ready = min(boxes, shelf.boxes(pick.item, pick.quantity, one_lot=False))
    takes = shelf.take(pick.item, pick.quantity, ready, one_lot=False)
    lines = [PickLine(take.lot.bin, kit, pick, take.lot, take.boxes, int(take.quantity)) for take in takes]
    if ready < boxes:
        lines.append(PickLine(pick.bin, kit, pick, None, boxes - ready, (boxes - ready) * pick.quantity))
    return lines


def packed_now(lot: Lot, boxed: Mapping[str, Boxed], bundles: Bundles) -> bool:
    """Whether a run may pack a lot: printed matter of the kit's edition only, of bundles those named."""
    code, _, kind = lot.item.rpartition("-")
    if kind == BUNDLE:
        return (lot.item, lot.lot) in bundles
    return kind not in PRINTED or code not in boxed or lot.lot == edition_lot(boxed[code].kit.edition)


def _in_pick_units(pick: Pick, take: Take) -> int:
    return take.boxes * pick.quantity if pick.kind == "thread" else int(take.quantity)


def joined(lines: Iterable[PickLine]) -> Iterable[PickLine]:
    """Lines of one kit, pick and lot as one, whatever the orders."""
    sums: dict[tuple[str, int, str], PickLine] = {}
    for line in lines:
        key = (line.kit, id(line.pick), line.lot.lot if line.lot else "")
        if key in sums:
            old = sums[key]
            line = PickLine(
                old.bin, old.kit, old.pick, old.lot, old.boxes + line.boxes, old.quantity + line.quantity
            )
        sums[key] = line
    return sums.values()


def age(line: PickLine) -> tuple[str, str]:
    """By what lines of one bin are in order: the oldest lot first."""
    return (line.lot.received, line.lot.lot) if line.lot else ("", "")


def taken(lines: Iterable[PickLine], cuts: Iterable[CanvasCut]) -> dict[tuple[str, str], int]:
    """What leaves each lot: put-ups of which needlefuls are cut are taken whole."""
    exact: dict[tuple[str, str], Fraction] = {}
    for line in lines:
        if line.lot:
            share = Fraction(in_stock_units(line.pick)) / line.pick.quantity
            key = (line.lot.item, line.lot.lot)
            exact[key] = exact.get(key, Fraction(0)) + line.quantity * share
    for cut in cuts:
        for draw in cut.draws:
            key = (draw.lot.item, draw.lot.lot)
            exact[key] = exact.get(key, Fraction(0)) + draw.quantity
    return {key: whole(amount) for key, amount in sorted(exact.items())}
