"""What a replacement touches, as open data."""

from __future__ import annotations

from collections.abc import Iterator

from kitbuild.base.document import Column, Listing
from kitbuild.base.units import money_text
from kitbuild.production.replacing import Replaced, Touched, apart
from kitbuild.spec.materials import Canvas, Thread

Six = tuple[str, str, str, str, str, str]
_COLUMNS = ("part", "kit", "edition", "what", "before", "after")


def replacement_listing(found: Replaced) -> Listing:
    """One row a thing: the part it belongs to, its kit and edition, what it is, with the old and the new.

    Lengths are mm, amounts in the workshop's currency; of stock and boxes there is one side alone.
    """
    rows = tuple(_rows(found))
    return Listing(
        "replacement.csv", tuple(Column(name, [row[at] for row in rows]) for at, name in enumerate(_COLUMNS))
    )


def _rows(found: Replaced) -> Iterator[Six]:
    old, new = found.old, found.new
    yield "material", "", "", "key", old.key, new.key
    yield "material", "", "", "from", "", found.replacement.begins
    if isinstance(old, Thread) and isinstance(new, Thread):
        for sight, value in apart(old, new).items():
            yield "colour", "", "", f"difference {sight or 'full'}", "", f"{value:.2f}"
    if isinstance(old, Canvas) and isinstance(new, Canvas):
        yield "material", "", "", "pitch_mm", f"{old.pitch_mm:.6f}", f"{new.pitch_mm:.6f}"
    for each in found.touched:
        yield from _kit(each)
    for code, number in found.released:
        yield "released", code, str(number), "edition", old.key, ""
    for packed in found.packed or ():
        lots = " ".join(packed.lots)
        yield "packed", packed.kit, str(packed.edition), f"boxes {packed.run}", str(packed.boxes), ""
        if lots:
            yield "packed", packed.kit, str(packed.edition), f"lots {packed.run}", lots, ""
    for lot in found.lots:
        sides = (str(lot.quantity), "") if _is_of(old, lot.item) else ("", str(lot.quantity))
        yield ("stock", "", "", f"{lot.item} {lot.lot}".strip(), *sides)


def _is_of(material: Thread | Canvas, item: str) -> bool:
    stocks = {stock.key for stock in material.stock} if isinstance(material, Canvas) else set()
    return item in stocks | {material.key}


def _kit(each: Touched) -> Iterator[Six]:
    kit, edition, currency = each.kit.code, str(each.kit.edition), each.kit.house.currency
    yield "boxes left", kit, edition, "boxes", str(each.boxes), ""
    for problem in each.faults:
        yield "fault", kit, edition, problem.code, "", problem.message
    yield from _sizes(each)
    if each.after is None:
        return
    for need in each.needs:
        for name in ("needlefuls", "spare", "put_ups"):
            values = (str(getattr(use, name)) for use in (need.before, need.after))
            yield ("need", kit, edition, f"{need.before.colour.key} {name}", *values)
    for name in ("total_minor", "margin_minor"):
        sides = (money_text(getattr(side.cost, name), currency) for side in (each.before, each.after))
        yield ("cost", kit, edition, name.removesuffix("_minor"), *(side.split()[0] for side in sides))
    for problem in each.told_anew:
        yield "warning", kit, edition, problem.code, "", problem.message
    for paper in each.papers:
        yield "paper", kit, edition, paper, "", "again"


def _sizes(each: Touched) -> Iterator[Six]:
    """Blank and finished size of each piece that comes out otherwise; the inside of what goes round."""
    kit, edition = each.kit.code, str(each.kit.edition)
    for one, other in each.resized:
        piece = one.panel.piece.key
        for name in ("blank", "finished"):
            sizes = (getattr(side.sizes, name) for side in (one, other))
            told = (f"{size.width_mm:.2f} x {size.height_mm:.2f}" for size in sizes)
            yield ("size", kit, edition, f"{piece} {name}", *told)
        if one.fit and other.fit:
            insides = (f"{side.inside_mm:.2f}" for side in (one.fit, other.fit))
            yield ("size", kit, edition, f"{piece} inside", *insides)
