"""What a production run is planned from: orders, kits, and the stock of the ledger or of a list."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from kitbuild.base.problem import InputProblems, Place, Problem, errors
from kitbuild.ledger import Ledger
from kitbuild.production.bundles import Bundle
from kitbuild.production.licences import licence_faults
from kitbuild.production.orders import Order, read_orders
from kitbuild.production.stock import BUNDLE, Lot, items, read_stock
from kitbuild.run_names import RUN
from kitbuild.spec.folder import KITS, read_range
from kitbuild.spec.records import Range

ORDERS, STOCK, LEDGER = KITS / "orders.csv", KITS / "stock.csv", KITS / "stock.sqlite"
SHORT: Final = 4
"""The exit code where orders wait for stock."""


@dataclass(frozen=True, slots=True, eq=False)
class Asked:
    """What a run is planned from: the range, the orders, the stock, and the bytes they were read from.

    `packed` are the boxes of each kit that the ledger knows to be packed, none where none was begun.
    """

    kits: Range
    orders: tuple[Order, ...]
    lots: tuple[Lot, ...]
    inputs: Mapping[str, bytes]
    packed: Mapping[str, int] = field(default_factory=dict)
    bundles: tuple[Bundle, ...] = ()


def must_be_named(run: str) -> None:
    """InputProblems where a run's name cannot be used."""
    if not RUN.fullmatch(run):
        cure = "use letters, digits and hyphens, such as 2026-w41"
        raise InputProblems([Problem(Place("batch"), "KB624", "the run's name cannot be used", cure)])


def read_asked(run: str = "") -> Asked:
    """Orders, kits and stock; InputProblems with everything that is wrong with them."""
    kits, found = read_range(KITS)
    problems = list(errors(found)) if kits is None else []
    orders: tuple[Order, ...] = ()
    lots: tuple[Lot, ...] = ()
    packed: Mapping[str, int] = {}
    inputs: dict[str, bytes] = {}
    if kits:
        content = content_of(ORDERS, "KB101", "write a row for each order")
        orders, wrong = read_orders(ORDERS.as_posix(), content, [kit.code for kit in kits.kits])
        problems += [*wrong, *(errors(found) if any(each.code == "KB612" for each in wrong) else ())]
        lots, packed, told, counted = stock_of(kits, run)
        problems += [*told, *licence_faults(kits.kits, orders, packed)]
        inputs = {ORDERS.as_posix(): content, **counted}
    if problems or kits is None:
        raise InputProblems(problems)
    return Asked(kits, orders, lots, inputs, packed, _bundles())


_Stock = tuple[tuple[Lot, ...], Mapping[str, int], tuple[Problem, ...], dict[str, bytes]]


def stock_of(kits: Range, run: str) -> _Stock:
    """What is free and what was packed by the ledger, or what is in stock.csv where none was begun.

    With the problems of it, and what was read for it.
    """
    if LEDGER.exists():
        with closing(Ledger(LEDGER)) as ledger:
            if ledger.begun:
                ledger.refuse_unless_open(run)
                return ledger.free(run), ledger.packed(), (), {}
    content = content_of(STOCK, "KB614", "write a row for each lot: item,lot,bin,quantity,received")
    lots, problems = read_stock(STOCK.as_posix(), content, items(kits.materials, kits.kits))
    problems += never_made(lots, (), STOCK)
    return lots, {}, problems, {STOCK.as_posix(): content}


def never_made(lots: Iterable[Lot], made: Iterable[Bundle], file: Path) -> tuple[Problem, ...]:
    """A problem for each lot of bundles of which nobody knows what is in them."""
    known = {(each.item, each.lot) for each in made}
    return tuple(
        Problem(
            Place(file.as_posix()),
            "KB634",
            f"{lot.item} has no lot {lot.lot or '(without a name)'} that was made here",
            "bundles come in when they are made: kitbuild bundle CODE NUMBER",
        )
        for lot in lots
        if lot.item.endswith(f"-{BUNDLE}") and (lot.item, lot.lot) not in known
    )


def _bundles() -> tuple[Bundle, ...]:
    """What the ledger knows of bundles made ahead."""
    if not LEDGER.exists():
        return ()
    with closing(Ledger(LEDGER)) as ledger:
        return ledger.bundles()


def content_of(path: Path, code: str, cure: str) -> bytes:
    """The bytes of a list; InputProblems with this code and cure where it cannot be read."""
    try:
        return path.read_bytes()
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        told = Problem(Place(path.as_posix()), code, f"the list cannot be read: {reason}", cure)
        raise InputProblems([told]) from error


def begun_ledger() -> Ledger:
    """The ledger, which a count must have begun."""
    if LEDGER.exists():
        ledger = Ledger(LEDGER)
        if ledger.begun:
            return ledger
        ledger.close()
    cure = "begin one with a count: kitbuild stock count"
    raise InputProblems([Problem(Place(LEDGER.as_posix()), "KB614", "there is no stock ledger", cure)])
