"""What is in stock: stock.csv, one row a lot. An item is a key of the materials.

Threads are counted in put-ups, sheets of canvas, needles and extras singly. A roll is measured in metres of
its length. An offcut has its canvas's key for its item, and its size for its lot: `40 x 27 holes`. Booklets
and sheets have `CODE-booklet` and `CODE-sheet` for their items and the edition for their lot: `edition 2`, or
with more words for what a run does not pack, such as `edition 2 de`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Final, Literal

from kitbuild.base.problem import Place, Problem
from kitbuild.production.cells import Row, Wrong, date, hundredths, name, read_cells, whole, wrong
from kitbuild.spec.formats import read_sheet
from kitbuild.spec.materials import Canvas, Extra, Materials, Needle, Stock, Thread
from kitbuild.spec.records import Kit
from kitbuild.spec.words import shown, suggestion

COLUMNS: Final = ("item", "lot", "bin", "quantity", "received")
Kind = Literal["thread", "needle", "extra", "sheet", "roll", "offcut", "printed", "bundle"]
BUNDLE: Final = "bundle"
PRINTED: Final = ("booklet", "sheet")
_EDITION: Final = re.compile(r"edition ([1-9][0-9]{0,5})( .+)?", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Lot:
    """What came together: `quantity` is whole pieces, of a roll whole cm of its length."""

    item: str
    lot: str
    bin: str
    quantity: int
    received: str


@dataclass(frozen=True, slots=True)
class Item:
    """A thing that stock is kept of; `source` is its record, `canvas` what it is cut for."""

    key: str
    kind: Kind
    bin: str
    source: Thread | Needle | Extra | Stock | Canvas | Kit
    canvas: Canvas | None = None


def items(materials: Materials, kits: Iterable[Kit] = ()) -> dict[str, Item]:
    """Everything that can be in stock, by its key: materials, and what is printed for kits."""
    return {item.key: item for item in (*_items(materials), *_printed(kits))}


def _printed(kits: Iterable[Kit]) -> Iterator[Item]:
    for kit in kits:
        for kind in PRINTED:
            yield Item(f"{kit.code}-{kind}", "printed", kit.house.printed_bin, kit)
        yield Item(f"{kit.code}-{BUNDLE}", "bundle", "", kit)


def edition_lot(edition: int) -> str:
    """The lot of what is printed of an edition, as runs pack it."""
    return f"edition {edition}"


def edition_of(lot: str) -> int:
    """The edition that a lot of printed matter is of, 0 where it names none."""
    match = _EDITION.fullmatch(lot)
    return int(match[1]) if match else 0


@dataclass(frozen=True, slots=True)
class Stale:
    """Printed matter of an edition that is packed no more; `edition` is today's."""

    lot: Lot
    edition: int


def editions(known: Mapping[str, Item]) -> dict[str, int]:
    """Of all printed matter the edition that is packed now."""
    return {
        key: item.source.edition
        for key, item in known.items()
        if item.kind == "printed" and isinstance(item.source, Kit)
    }


def stale(lots: Iterable[Lot], now: Mapping[str, int]) -> tuple[Stale, ...]:
    """What is in stock of earlier editions than those that are packed `now`."""
    mine = (lot for lot in lots if lot.quantity and lot.item in now)
    return tuple(Stale(lot, now[lot.item]) for lot in mine if edition_of(lot.lot) < now[lot.item])


def _items(materials: Materials) -> Iterator[Item]:
    for thread in materials.threads.values():
        yield Item(thread.key, "thread", thread.bin, thread)
    for needle in materials.needles.values():
        yield Item(needle.key, "needle", needle.bin, needle)
    for extra in materials.extras.values():
        yield Item(extra.key, "extra", extra.bin, extra)
    for canvas in materials.canvases.values():
        yield Item(canvas.key, "offcut", canvas.bin, canvas, canvas)
        for stock in canvas.stock:
            yield Item(stock.key, stock.form, stock.bin, stock, canvas)


def read_stock(
    file: str, content: bytes, known: Mapping[str, Item]
) -> tuple[tuple[Lot, ...], tuple[Problem, ...]]:
    """All lots, of each item the oldest first; and every problem with its place."""
    cells = read_cells(file, content, COLUMNS)
    lots: list[Lot] = []
    problems = list(cells.problems)
    seen: dict[tuple[str, str], Place] = {}
    for row in cells.rows:
        found = _lot(row, known)
        if isinstance(found, Lot):
            key = (found.item, found.lot)
            if key in seen:
                message = f"{found.item} has the lot {shown(found.lot)} already, at {seen[key]}"
                cure = "add the two rows together, or give each lot a name of its own"
                problems.append(Problem(row.place("lot"), "KB617", message, cure))
            seen.setdefault(key, row.place())
            lots.append(found)
        else:
            problems += found
    return oldest_first(lots), tuple(problems)


def oldest_first(lots: list[Lot]) -> tuple[Lot, ...]:
    """Lots by item, then by the day on which they came in."""
    return tuple(sorted(lots, key=lambda lot: (lot.item, lot.received, lot.lot)))


def _lot(row: Row, known: Mapping[str, Item]) -> Lot | list[Problem]:
    texts = row.texts
    item = known.get(texts["item"])
    if item is None:
        message = f"the materials have no {shown(texts['item'])}" if texts["item"] else "no item is named"
        cure = suggestion(texts["item"], known, "write a key of the materials")
        return [Problem(row.place("item"), "KB616", message, cure)]
    read: dict[str, str | int] = {}
    problems: list[Problem] = []
    readers = {"lot": lambda text: _lot_name(text, item), "bin": name, "received": date}
    readers["quantity"] = hundredths if item.kind == "roll" else lambda text: whole(text, 0)
    for column, reader in readers.items():
        try:
            read[column] = reader(texts[column])
        except Wrong as error:
            problems.append(wrong(row, column, "KB615", error))
    if problems:
        return problems
    place = str(read["bin"]) or item.bin
    return Lot(item.key, str(read["lot"]), place, int(read["quantity"]), str(read["received"]))


def _lot_name(text: str, item: Item) -> str:
    """A lot's name; a thread has one always, since thread of one colour in one box is of one lot."""
    if item.kind == "thread" and not text:
        raise Wrong("it is empty", "write the dye lot from the band")
    if item.kind == "offcut":
        try:
            columns, rows = read_sheet(text)
        except ValueError:
            cure = f"write the offcut's size, such as `40 x 27 holes`, or a sheet's key for {item.key}"
            raise Wrong("an offcut is named by its size", cure) from None
        return f"{columns} x {rows} holes"
    if item.kind == "printed":
        match = _EDITION.fullmatch(text)
        if not match:
            raise Wrong("printed matter is named by its edition", "write it so: `edition 2`")
        return name(f"edition {match[1]}{match[2] or ''}")
    return name(text)
