"""What a kit is made of and how the workshop reckons, value by value; and what of that differs later.

Values are text as in open data: mm to two decimals (a pitch to six), whole minor units, milligrams; yes or
no; "" where nothing is said.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass
from io import StringIO
from typing import Final, NamedTuple

from kitbuild.production.opened import Unreadable
from kitbuild.spec.house import House
from kitbuild.spec.materials import Materials
from kitbuild.spec.packing import BoxType
from kitbuild.spec.records import Kit

FILE: Final = "materials.csv"
"""The listing of a released edition that holds them."""
GONE: Final = "gone"
NEW: Final = "new"
MATERIALS: Final = ("canvas", "stock", "thread", "needle", "extra", "box")
"""The kinds of things that are bought; the others are the workshop's own settings."""
_SKIPPED: Final = frozenset({"at", "key", "stock", "pull"})
_HOUSE: Final = (
    "languages",
    "papers",
    "editions",
    "currency",
    "thread",
    "stitches_per_hour",
    "finish_stitches_per_hour",
    "packing_minutes",
    "packing_wage_minor",
    "booklet_cost_minor",
    "sheet_cost_minor",
    "printed_bin",
)


class Value(NamedTuple):
    """One value of one thing: `kind` and `key` name the thing, `what` the value."""

    kind: str
    key: str
    what: str
    value: str


@dataclass(frozen=True, slots=True)
class UsedChanged:
    """A value that differs; `what` is GONE or NEW for a thing as a whole, `title` what it is called."""

    kind: str
    key: str
    title: str
    what: str
    before: str
    after: str


def materials_of(kit: Kit) -> Materials:
    """The materials that a kit is made of."""
    return Materials(
        {piece.canvas.key: piece.canvas for piece in kit.pieces},
        {colour.thread.key: colour.thread for colour in kit.palette},
        {packed.needle.key: packed.needle for packed in kit.needles},
        {packed.extra.key: packed.extra for packed in kit.extras},
    )


def used(materials: Materials, box: BoxType | None, house: House) -> Iterator[Value]:
    """Every value of some materials with the stock they come in, of a box, and of the workshop's settings."""
    for canvas in materials.canvases.values():
        yield from _values("canvas", canvas.key, canvas)
        for stock in canvas.stock:
            yield from _values("stock", stock.key, stock)
    for kind, things in (
        ("thread", materials.threads),
        ("needle", materials.needles),
        ("extra", materials.extras),
    ):
        for key, thing in things.items():
            yield from _values(kind, key, thing)
    if box:
        yield from _values("box", box.key, box)
    for name in _HOUSE:
        yield from _value("workshop", "", name, getattr(house, name))
    yield from _trade(house)


def _trade(house: House) -> Iterator[Value]:
    trade = house.trade
    yield from _value("workshop", "", "setup_cost_minor", trade.setup_cost_minor)
    for tax in trade.taxes:
        yield from _values("tax", f"{tax.name} {tax.begins}", tax)
    for channel in trade.channels:
        yield from _values("channel", channel.key, channel)


def _values(kind: str, key: str, thing: object) -> Iterator[Value]:
    for field in fields(thing):  # type: ignore[arg-type]
        if field.name not in _SKIPPED:
            yield from _value(kind, key, field.name, getattr(thing, field.name))


def _value(kind: str, key: str, what: str, value: object) -> Iterator[Value]:
    """A value, or those of a record that stands there; nothing where nothing is said."""
    if is_dataclass(value):
        for field in fields(value):
            if field.name != "at":
                yield from _value(kind, key, f"{what}.{field.name}", getattr(value, field.name))
    elif (told := _text(what, value)) != "":
        yield Value(kind, key, what, told)


def _text(what: str, value: object) -> str:
    """A value as open data has it."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if what == "rgb":
        return "#{:02x}{:02x}{:02x}".format(*value)  # type: ignore[misc]
    if isinstance(value, tuple):
        return "; ".join(_text(what, each) for each in value)
    if is_dataclass(value):
        return " ".join(_text(field.name, getattr(value, field.name)) for field in fields(value))
    if isinstance(value, str | int):
        return " ".join(str(value).split())
    digits = 6 if what == "pitch_mm" or not what.endswith("_mm") else 2
    return f"{float(value):.{digits}f}" if what.endswith("_mm") else f"{float(value):.{digits}g}"  # type: ignore[arg-type]


def read_used(content: bytes) -> tuple[Value, ...]:
    """The values that a released edition kept; Unreadable where it is not what it should be."""
    try:
        rows = list(csv.DictReader(StringIO(content.decode("utf-8"), newline=""), strict=True))
        return tuple(Value(*(row[name] for name in Value._fields)) for row in rows)
    except (UnicodeDecodeError, csv.Error, KeyError) as error:
        raise Unreadable(FILE, "it is no CSV with kind, key, what and value") from error


def today(values: Iterable[Value], materials: Materials, house: House) -> tuple[Value, ...]:
    """The same things as they are today; those that are gone have no value."""
    keys: dict[str, dict[str, None]] = {}
    for each in values:
        keys.setdefault(each.kind, {})[each.key] = None
    sections: list[Mapping[str, object]] = [
        {key: section[key] for key in keys.get(kind, {}) if key in section}
        for kind, section in (
            ("canvas", materials.canvases),
            ("thread", materials.threads),
            ("needle", materials.needles),
            ("extra", materials.extras),
        )
    ]
    box = next((house.boxes[key] for key in keys.get("box", {}) if key in house.boxes), None)
    return tuple(used(Materials(*sections), box, house))  # type: ignore[arg-type]


def used_changes(before: Iterable[Value], after: Iterable[Value]) -> Iterator[UsedChanged]:
    """What differs, in the order of the earlier values; a thing that is gone or new is told once."""
    old, new = _by_thing(before), _by_thing(after)
    for kind, key in dict.fromkeys((*old, *new)):
        one, other = old.get((kind, key)), new.get((kind, key))
        title = (one or other or {}).get("title", key)
        if one is None:
            yield UsedChanged(kind, key, title, NEW, "", title)
        elif other is None:
            yield UsedChanged(kind, key, title, GONE, title, "")
        else:
            for what in dict.fromkeys((*one, *other)):
                if one.get(what, "") != other.get(what, ""):
                    yield UsedChanged(kind, key, title, what, one.get(what, ""), other.get(what, ""))


def _by_thing(values: Iterable[Value]) -> dict[tuple[str, str], dict[str, str]]:
    found: dict[tuple[str, str], dict[str, str]] = {}
    for each in values:
        found.setdefault((each.kind, each.key), {})[each.what] = each.value
    return found
