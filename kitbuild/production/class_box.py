"""The one box of a class: so many kits and what is spare, all thread of one colour from one lot."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from kitbuild.base.units import up
from kitbuild.production.cost import whole
from kitbuild.production.lots import Amount, Shelf, Take, lacking
from kitbuild.production.picks import Pick, thread_cost
from kitbuild.production.run_records import Boxed, in_stock_units
from kitbuild.production.stock import Lot
from kitbuild.quantity.thread import Use
from kitbuild.spec.lessons import Lesson


@dataclass(frozen=True, slots=True)
class ClassLine:
    """One thing in the box: `per_kit` as one kit holds it, `pick` for all of them with what is spare.

    `spare` is part of the quantity of `pick`, in its unit. `takes` says which lots it comes from, () for what
    is cut or printed; `short` is what must come in, in units of the stock.
    """

    per_kit: Pick
    pick: Pick
    spare: int
    takes: tuple[Take, ...]
    short: Amount

    @property
    def lots(self) -> tuple[str, ...]:
        """The lots' names."""
        return tuple(take.lot.lot for take in self.takes if take.lot.lot)


def for_class(pick: Pick, lesson: Lesson) -> tuple[Pick, int]:
    """A line of one kit for all kits of a class, and how much of its quantity is spare."""
    if isinstance(pick.source, Use):
        return _thread(pick, pick.source, lesson)
    many = lesson.kits * pick.quantity
    spare = up(many * lesson.spare_needles) if pick.kind == "needle" else 0
    cost = pick.cost * Fraction(many + spare, pick.quantity)
    return replace(pick, quantity=many + spare, cost=cost), spare


def _thread(pick: Pick, use: Use, lesson: Lesson) -> tuple[Pick, int]:
    """Spare needlefuls are a share of those that the kits are worked with; as put-ups, whole ones."""
    kits = lesson.kits
    needlefuls = up(kits * use.needlefuls * lesson.spare_thread)
    put_ups = up(needlefuls / use.in_put_up)
    whole = replace(
        use,
        stitches=kits * use.stitches,
        stitch_mm=kits * use.stitch_mm,
        finish_mm=kits * use.finish_mm,
        tails_mm=kits * use.tails_mm,
        needlefuls=kits * use.needlefuls,
        finish_needlefuls=kits * use.finish_needlefuls,
        spare=kits * use.spare + needlefuls,
        put_ups=kits * use.put_ups + put_ups,
    )
    cut = use.colour.thread.packed == "needlefuls"
    quantity, spare = (whole.packed, needlefuls) if cut else (whole.put_ups, put_ups)
    return replace(pick, quantity=quantity, cost=thread_cost(whole), source=whole), spare


def class_lines(boxed: Boxed, lesson: Lesson, lots: Sequence[Lot]) -> tuple[ClassLine, ...]:
    """Everything in the box; each thing is looked for by itself in `lots`, of each item the oldest first."""
    return tuple(_line(pick, lesson, lots) for pick in boxed.picks)


def _line(per_kit: Pick, lesson: Lesson, lots: Iterable[Lot]) -> ClassLine:
    pick, spare = for_class(per_kit, lesson)
    if pick.kind not in ("thread", "needle", "extra"):
        return ClassLine(per_kit, pick, spare, (), 0)
    mine = [lot for lot in lots if lot.item == pick.item]
    needed, one_lot = in_stock_units(pick), pick.kind == "thread"
    shelf = Shelf(mine)
    if shelf.boxes(pick.item, needed, one_lot=one_lot):
        return ClassLine(per_kit, pick, spare, shelf.take(pick.item, needed, 1, one_lot=one_lot), 0)
    return ClassLine(per_kit, pick, spare, (), lacking([(1, needed)], mine, one_lot=one_lot))


def stock_for(lines: Iterable[ClassLine], lots: Iterable[Lot]) -> tuple[Lot, ...]:
    """The lots that a class's kits are packed from: those of its lines, and all that is cut."""
    kept = {(take.lot.item, take.lot.lot) for line in lines for take in line.takes}
    picked = {line.pick.item for line in lines if line.takes or line.short}
    return tuple(lot for lot in lots if lot.item not in picked or (lot.item, lot.lot) in kept)


def taken(lines: Iterable[ClassLine], run: Mapping[tuple[str, str], int]) -> dict[tuple[str, str], int]:
    """What leaves each lot: as the run of the kits says, and what is spare; put-ups are taken whole."""
    found = dict(run)
    for line in lines:
        for take in line.takes:
            found[take.lot.item, take.lot.lot] = whole(Fraction(take.quantity))
    return dict(sorted(found.items()))
