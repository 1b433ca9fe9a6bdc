"""What the stock ledger knows of packed boxes: run, edition and lots of each, and spares sent for it."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import astuple, dataclass, fields

from kitbuild.base.problem import Problem
from kitbuild.production.bundles import Bundle
from kitbuild.production.packing import Boxes, PackedColour, PackedKit, box_number
from kitbuild.production.spares import Box, Spare
from kitbuild.production.stock import Lot

_COLOURS = ", ".join(field.name for field in fields(PackedColour))
_NAME = re.compile(r"([A-Za-z0-9:-]+)-([A-Za-z0-9]+)-([0-9]{1,9})")


Key = tuple[str, str]
"""An item and a lot of it."""


@dataclass(frozen=True, slots=True)
class Posting:
    """What posting a run books beside what it had reserved: `taken` instead of that, where it is not None.

    `against` is asked within the step, with the boxes of each kit that were packed before, what is
    wrong with it then.
    """

    offcuts: tuple[Lot, ...] = ()
    kits: tuple[PackedKit, ...] = ()
    boxes: tuple[Boxes, ...] = ()
    taken: Mapping[Key, int] | None = None
    against: Callable[[Mapping[str, int]], Iterable[Problem]] = lambda _packed: ()


def write_boxes(
    base: sqlite3.Connection, run: str, kits: Iterable[PackedKit], boxes: Iterable[Boxes]
) -> None:
    """Record the boxes of a run; within a transaction of the caller's."""
    numbers = {kit.kit: _write_kit(base, run, kit) for kit in kits}
    for each in boxes:
        row = (numbers[each.kit], each.order, each.first, each.last)
        made = base.execute('INSERT INTO boxes (packed, "order", first, last) VALUES (?, ?, ?, ?)', row)
        rows = [(made.lastrowid, colour, lot) for colour, lot in each.lots]
        base.executemany("INSERT INTO box_lots VALUES (?, ?, ?)", rows)


def _write_kit(base: sqlite3.Connection, run: str, kit: PackedKit) -> int:
    row = (run, kit.kit, kit.edition, kit.title)
    made = base.execute("INSERT INTO packed_kits (run, kit, edition, title) VALUES (?, ?, ?, ?)", row)
    number = made.lastrowid or 0
    rows = [(number, place, *astuple(colour)) for place, colour in enumerate(kit.colours)]
    names = f"packed, place, {_COLOURS}"
    base.executemany(f"INSERT INTO packed_colours ({names}) VALUES ({', '.join('?' * 11)})", rows)
    return number


def write_bundle(base: sqlite3.Connection, bundle: Bundle) -> None:
    """Record what a lot of bundles is made of; within a transaction of the caller's."""
    row = (bundle.item, bundle.lot, bundle.kit, bundle.edition, bundle.made_of)
    asked = "INSERT INTO bundles (item, lot, kit, edition, made_of) VALUES (?, ?, ?, ?, ?)"
    number = base.execute(asked, row).lastrowid
    rows = [(number, colour, lot) for colour, lot in bundle.lots.items()]
    base.executemany("INSERT INTO bundle_lots VALUES (?, ?, ?)", rows)


def read_bundles(base: sqlite3.Connection) -> tuple[Bundle, ...]:
    """All lots of bundles that were ever made."""
    lots: dict[int, dict[str, str]] = {}
    for number, colour, lot in base.execute("SELECT bundle, colour, lot FROM bundle_lots"):
        lots.setdefault(number, {})[colour] = lot
    rows = base.execute("SELECT number, item, lot, kit, edition, made_of FROM bundles ORDER BY number")
    return tuple(Bundle(*row, lots.get(number, {})) for number, *row in rows)


def packed(base: sqlite3.Connection) -> dict[str, int]:
    """How many boxes of each kit were ever packed."""
    asked = (
        "SELECT kit, sum(last - first + 1) FROM boxes JOIN packed_kits ON packed_kits.number = packed "
        "GROUP BY kit ORDER BY kit"
    )
    return dict(base.execute(asked).fetchall())


def packed_kits(base: sqlite3.Connection) -> Iterator[tuple[str, str, int, int]]:
    """Run, kit, edition and number of boxes of everything that was packed."""
    asked = (
        "SELECT run, kit, edition, sum(last - first + 1) FROM boxes "
        "JOIN packed_kits ON packed_kits.number = packed GROUP BY run, kit ORDER BY run, kit"
    )
    yield from base.execute(asked)


def lots_in_boxes(base: sqlite3.Connection, item: str) -> Iterator[tuple[str, str, str]]:
    """Run, kit and lot of a thread in every box that has it."""
    asked = (
        "SELECT DISTINCT run, kit, lot FROM box_lots JOIN boxes ON boxes.number = box_lots.boxes "
        "JOIN packed_kits ON packed_kits.number = boxes.packed "
        "JOIN packed_colours ON packed_colours.packed = boxes.packed "
        "AND packed_colours.colour = box_lots.colour WHERE item = ? ORDER BY run, kit, lot"
    )
    yield from base.execute(asked, (item,))


def ranges(base: sqlite3.Connection) -> Iterator[tuple[str, str, int, int]]:
    """The run and kit of all boxes, with their first and last number."""
    asked = (
        "SELECT run, kit, min(first), max(last) FROM boxes JOIN packed_kits ON packed_kits.number = packed "
        "GROUP BY run, kit ORDER BY run, kit"
    )
    yield from base.execute(asked)


def find_box(base: sqlite3.Connection, name: str) -> Box | None:
    """A packed box by what stands on its label, in capital letters or small."""
    match = _NAME.fullmatch(name)
    if not match:
        return None
    run, kit, number = match[1], match[2], int(match[3])
    asked = (
        'SELECT packed_kits.number, run, kit, edition, title, "order", boxes.number FROM packed_kits '
        "JOIN boxes ON boxes.packed = packed_kits.number "
        "WHERE run = ? COLLATE NOCASE AND kit = ? COLLATE NOCASE AND ? BETWEEN first AND last "
        "ORDER BY run <> ? LIMIT 1"
    )
    row = base.execute(asked, (run, kit, number, run)).fetchone()
    if row is None:
        return None
    at, run, kit, edition, title, order, boxes = row
    lots = dict(base.execute("SELECT colour, lot FROM box_lots WHERE boxes = ?", (boxes,)).fetchall())
    return Box(at, run, number, order, PackedKit(kit, edition, title, _colours(base, at)), lots)


def _colours(base: sqlite3.Connection, number: int) -> tuple[PackedColour, ...]:
    asked = f"SELECT {_COLOURS} FROM packed_colours WHERE packed = ? ORDER BY place"
    return tuple(PackedColour(*row) for row in base.execute(asked, (number,)))


def rest_of(base: sqlite3.Connection, colour: PackedColour, lot: str) -> int:
    """Needlefuls left of the put-up that was opened last for spares of this lot.

    What was cut to another length before is not counted upon.
    """
    asked = (
        "SELECT rest, needleful, in_put_up FROM spares JOIN packed_colours USING (packed, colour) "
        "WHERE spares.item = ? AND lot = ? ORDER BY spares.number DESC LIMIT 1"
    )
    row = base.execute(asked, (colour.item, lot)).fetchone()
    return row[0] if row and row[1:] == (colour.needleful, colour.in_put_up) else 0


def write_spare(base: sqlite3.Connection, box: Box, colour: str, spare: Spare) -> int:
    """Record what was sent for a box; the number of its slip."""
    names = ", ".join(field.name for field in fields(Spare))
    row = (box.packed, colour, box.number, *astuple(spare))
    asked = f"INSERT INTO spares (packed, colour, box, {names}) VALUES ({', '.join('?' * 11)})"
    return base.execute(asked, row).lastrowid or 0


def read_spare(base: sqlite3.Connection, number: int) -> tuple[str, str, Spare] | None:
    """What was sent with a slip: the box, the colour and the thread."""
    names = ", ".join(f"spares.{field.name}" for field in fields(Spare))
    asked = (
        f"SELECT run, kit, box, colour, {names} FROM spares "
        "JOIN packed_kits ON packed_kits.number = spares.packed WHERE spares.number = ?"
    )
    row = base.execute(asked, (number,)).fetchone()
    return (box_number(*row[:3]), row[3], Spare(*row[4:])) if row else None
