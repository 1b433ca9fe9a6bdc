"""A kit laid out as parts: every value that its outputs can depend on, under its name.

Places in files are no part of it: they are printed with problems alone.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass

from kitbuild.own import digest
from kitbuild.spec.house import House, Words
from kitbuild.spec.materials import Canvas, Extra, Needle, Thread
from kitbuild.spec.records import Kit, PackedExtra, PackedNeedle

LONGEST = 100
"""Values of more characters are kept as their digest."""
SHOWN = 3
"""Parts that are named of those that differ."""
_MATERIALS = {Canvas: "canvas", Thread: "thread", Needle: "needle", Extra: "extra"}
_UNITS = ("_mm", "_minor", "_mg")


def parts(kit: Kit) -> tuple[tuple[str, str], ...]:
    """Name of a part and its value as text, in order; each material stands once, under its own key."""
    return tuple(_walk(kit, "", {}))


def _walk(value: object, name: str, met: dict[str, object]) -> Iterator[tuple[str, str]]:
    if is_dataclass(value) and not isinstance(value, type):
        yield from _record(value, name, met)
    elif isinstance(value, tuple) and any(is_dataclass(each) for each in value):
        keys = [_key(each, at) for at, each in enumerate(value)]
        yield name, repr(keys)
        for key, each in zip(keys, value, strict=True):
            yield from _walk(each, f"{name} {key}", met)
    else:
        text = repr(list(value.items()) if isinstance(value, Mapping) else value)
        yield name, text if len(text) <= LONGEST else digest(text)


def _record(record: object, name: str, met: dict[str, object]) -> Iterator[tuple[str, str]]:
    """The fields of a record; a material or the workshop is named where it is used, and told once."""
    own = _own_name(record)
    if own:
        yield f"{name} is", own
        if met.get(own) == record:
            return
        name = name if own in met else own
        met.setdefault(own, record)
    for field in fields(record):  # type: ignore[arg-type]
        if field.compare:
            yield from _walk(getattr(record, field.name), f"{name} {field.name}".strip(), met)


def _own_name(record: object) -> str:
    if isinstance(record, House):
        return "workshop"
    word = _MATERIALS.get(type(record), "")
    return f"{word} {record.key}" if word else ""  # type: ignore[attr-defined]


def _key(record: object, at: int) -> str:
    """What a record of a list is called: by its key, else by its number from 1."""
    if isinstance(record, PackedNeedle):
        return record.needle.key
    if isinstance(record, PackedExtra):
        return record.extra.key
    if isinstance(record, Words):
        return record.language
    return str(getattr(record, "key", at + 1))


def difference(before: Mapping[str, str], now: Mapping[str, str]) -> str:
    """Which parts differ, in words: `palette moss thread`; "" when none does."""
    names = [name for name in dict.fromkeys((*before, *now)) if before.get(name) != now.get(name)]
    told = list(dict.fromkeys(_worded(name) for name in names))
    told = [name for name in told if not any(_within(other, name) for other in told)]
    more = f" and {len(told) - SHOWN} more" if len(told) > SHOWN else ""
    return ", ".join(told[:SHOWN]) + more + (" changed" if told else "")


def _within(outer: str, name: str) -> bool:
    """Whether a part stands in another that is told of: a list whose members are not the same ones."""
    return name.startswith(outer + " ")


def _unitless(word: str) -> str:
    return next((word.removesuffix(unit) for unit in _UNITS if word.endswith(unit)), word)


def _worded(name: str) -> str:
    """The name of a part as a maker calls it."""
    words = [_unitless(word) for word in name.split(" ")]
    return " ".join(words).removesuffix(" is").replace("_", " ")
