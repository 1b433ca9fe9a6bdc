"""Printed matter of a kit on the shelf: what of it is of earlier editions, by the ledger or by stock.csv."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from contextlib import closing
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

from kitbuild.base.problem import Place, Problem
from kitbuild.ledger import Ledger
from kitbuild.production.stock import PRINTED, Lot, Stale, items, read_stock, stale
from kitbuild.run_inputs import LEDGER, STOCK
from kitbuild.spec.folder import KITS, read_range

BY_HAND: Final = "take its row out of the list, or begin a ledger with a count: kitbuild stock count"


@dataclass(frozen=True, slots=True)
class Shelf:
    """What of a kit's printed matter is stale, None where no stock is known; and what is to be told of it."""

    stale: tuple[Stale, ...] | None
    told: tuple[Problem, ...]


def shelf_of(code: str, edition: int) -> Shelf:
    """What is there of a kit's printed matter of editions before this one."""
    now = {f"{code}-{kind}": edition for kind in PRINTED}
    if LEDGER.exists():
        with closing(Ledger(LEDGER)) as ledger:
            if ledger.begun:
                lots = ledger.lots()
                return Shelf(stale(lots, now), tuple(told_stale(lots, now)))
    listed, problems = _listed()
    if listed is None:
        return Shelf(None, problems)
    return Shelf(stale(listed, now), tuple(told_stale(listed, now, STOCK)))


def _listed() -> tuple[tuple[Lot, ...] | None, tuple[Problem, ...]]:
    """The lots of stock.csv; None where it is not there, or with what is wrong with it, which only warns."""
    kits, _ = read_range(KITS)
    try:
        content = STOCK.read_bytes()
    except OSError:
        return None, ()
    if kits is None:
        return None, ()
    lots, problems = read_stock(STOCK.as_posix(), content, items(kits.materials, kits.kits))
    if problems:
        return None, tuple(replace(each, warning=True) for each in problems)
    return lots, ()


def told_stale(lots: Iterable[Lot], now: Mapping[str, int], file: Path = LEDGER) -> Iterator[Problem]:
    """A warning for printed matter of each edition in stock that is earlier than those packed `now`."""
    for each in stale(lots, now):
        lot = each.lot
        message = f"{lot.quantity} {lot.item} of {lot.lot} in stock: edition {each.edition} is packed now"
        cure = f"kitbuild stock write-off {lot.item} '{lot.lot}'" if file == LEDGER else BY_HAND
        yield Problem(Place(file.as_posix()), "KB631", message, cure, warning=True)
