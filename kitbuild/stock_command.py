"""Stock counted into the ledger, and told as a list that spreadsheets read."""

from __future__ import annotations

import os
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

from kitbuild.base.document import Column, Listing
from kitbuild.base.problem import Expected, InputProblems, Place, Problem, WriteProblem, errors
from kitbuild.ledger import Ledger
from kitbuild.outcome import Outcome
from kitbuild.production.stock import COLUMNS, Item, Lot, editions, items, read_stock
from kitbuild.run_inputs import LEDGER, STOCK, begun_ledger, content_of, never_made
from kitbuild.shelf import told_stale
from kitbuild.spec.folder import KITS, read_range
from kitbuild.spec.words import counted, shown, suggestion


def count_in(file: Path | None, whole: bool, tell: Callable[[str], None]) -> Outcome:
    """Set the ledger to what was counted; it is begun where there is none."""
    path = file or STOCK
    try:
        known = _items()
        content = content_of(path, "KB614", "write a row for each lot: item,lot,bin,quantity,received")
        lots, problems = read_stock(path.as_posix(), content, known)
        if problems:
            raise InputProblems(problems)
        if not lots:
            place, cure = Place(path.as_posix(), 1, 1), "write a row for each lot that there is"
            raise InputProblems([Problem(place, "KB614", "the list holds no lot: nothing was counted", cure)])
        with closing(Ledger(LEDGER)) as ledger:
            if problems := never_made(lots, ledger.bundles(), path):
                raise InputProblems(problems)
            changed = ledger.count(lots, all_lots=whole)
    except Expected as expected:
        return Outcome(expected.problems, expected.exit_code)
    tell(f"{counted(len(lots), 'lot')} counted, {changed} differed")
    return Outcome(tuple(told_stale(lots, editions(known))), 0)


def export(file: Path, tell: Callable[[str], None]) -> Outcome:
    """Write what the ledger holds as a stock list; `-` for standard output."""
    from kitbuild.output.csv_text import render_csv

    try:
        known = _items()
        with closing(begun_ledger()) as ledger:
            lots = [lot for lot in ledger.lots() if lot.quantity]
        content = render_csv(listing(lots, known))
        if file == Path("-"):
            tell(content.decode().replace("\r\n", "\n").rstrip("\n"))
        else:
            _replace(file, content)
            tell(f"{counted(len(lots), 'lot')}, {file}")
    except Expected as expected:
        return Outcome(expected.problems, expected.exit_code)
    return Outcome(tuple(told_stale(lots, editions(known))), 0)


def write_off(item: str, lot: str, quantity: int | None, tell: Callable[[str], None]) -> Outcome:
    """Book out what is used no more, all of a lot that no run has reserved or so much of it."""
    try:
        with closing(begun_ledger()) as ledger:
            lots = [each for each in ledger.lots() if each.quantity]
            many = ledger.write_off((item, lot), quantity, lambda found: _not_there(item, lot, found, lots))
    except Expected as expected:
        return Outcome(expected.problems, expected.exit_code)
    tell(f"{_named(item, lot)}: {many} written off")
    return Outcome((), 0)


def _not_there(item: str, lot: str, found: Lot | None, lots: list[Lot]) -> Problem:
    """Why so much of a lot cannot be written off."""
    place = Place(LEDGER.as_posix())
    mine = [each.lot for each in lots if each.item == item]
    if found and (item, found.lot) in {(each.item, each.lot) for each in lots}:
        message = f"{_named(item, lot)}: {found.quantity} are free to be written off"
        return Problem(place, "KB633", message, "write off fewer, or cancel the run that has reserved it")
    if not mine:
        message = f"there is no {shown(item)} in stock"
        return Problem(place, "KB633", message, suggestion(item, {each.item for each in lots}, "count it in"))
    message = f"there is no lot {shown(lot)} of {item} in stock"
    return Problem(place, "KB633", message, suggestion(lot, mine, "count it in"))


def _named(item: str, lot: str) -> str:
    return f"{item} {lot}" if lot else item


def listing(lots: list[Lot], known: dict[str, Item]) -> Listing:
    """Lots as stock.csv tells them: rolls in metres."""
    rolls = {key for key, item in known.items() if item.kind == "roll"}
    texts = [f"{lot.quantity / 100:.2f}" if lot.item in rolls else str(lot.quantity) for lot in lots]
    columns = {name: [getattr(lot, name) for lot in lots] for name in COLUMNS} | {"quantity": texts}
    return Listing("stock.csv", tuple(Column(name, columns[name]) for name in COLUMNS))


def _items() -> dict[str, Item]:
    kits, found = read_range(KITS)
    if kits is None:
        raise InputProblems(errors(found))
    return items(kits.materials, kits.kits)


def _replace(file: Path, content: bytes) -> None:
    """Write beside, then replace."""
    beside = file.with_name(f".{file.name}.tmp-{os.getpid()}")
    try:
        with beside.open("wb") as target:
            target.write(content)
            target.flush()
            os.fsync(target.fileno())
        beside.chmod(0o644)
        beside.replace(file)
    except OSError as error:
        beside.unlink(missing_ok=True)
        message = f"could not be written: {(error.strerror or str(error)).lower()}"
        cure = "see to the folder and its permissions"
        raise WriteProblem([Problem(Place(file.as_posix()), "KB806", message, cure)]) from error
