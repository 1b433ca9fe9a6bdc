"""Records from checked data: the kits of a kit file, one for each colourway."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Any

from kitbuild.base.glyphs import SYMBOLS
from kitbuild.base.units import money_minor
from kitbuild.spec.check import Checked
from kitbuild.spec.columns import columns_of
from kitbuild.spec.draft import Sold, pieces, sold
from kitbuild.spec.formats import read_length
from kitbuild.spec.lines import shape
from kitbuild.spec.records import (
    Colour,
    Finish,
    House,
    Kit,
    Line,
    Materials,
    PackedExtra,
    PackedNeedle,
    Pattern,
    Piece,
    RoundObject,
)
from kitbuild.spec.source import At


def kit_records(file: Checked, materials: Materials, house: House) -> Iterator[Kit]:
    """The kits of one file that has no fault."""
    data = file.data
    made = tuple(_piece(str(at.path[-1]), piece, at, materials) for piece, at in pieces(file))
    needles = tuple(
        PackedNeedle(materials.needles[key], quantity, file.at.below("needles", key))
        for key, quantity in data["needles"].items()
    )
    extras = tuple(
        PackedExtra(materials.extras[key], quantity, file.at.below("extras", key))
        for key, quantity in data["extras"].items()
    )
    for one in sold(file):
        said = {**data, **one.data}
        yield Kit(
            code=one.code,
            title=said["title"],
            edition=data["edition"],
            date=data["date"],
            age_grade=data["age_grade"],
            policy=data["policy"],
            about=said.get("about", "").strip(),
            care=said.get("care", "").strip(),
            pieces=made,
            palette=_palette(one, materials),
            needles=needles,
            extras=extras,
            price_minor=money_minor(str(said["price"]), house.currency),
            accepted=MappingProxyType(dict(data["accept"])),
            house=_house(data, house),
            at=one.at,
        )


def _house(data: Mapping[str, Any], house: House) -> House:
    """The workshop, with the kit's own needleful where it states one."""
    if "needleful" not in data:
        return house
    return replace(house, thread=replace(house.thread, needleful_mm=read_length(data["needleful"])))


def _palette(one: Sold, materials: Materials) -> tuple[Colour, ...]:
    """Colours in written order; those without a symbol take the first ones that nobody asked for."""
    stated = {colour["symbol"] for colour in one.palette.values() if "symbol" in colour}
    free = iter([name for name in SYMBOLS if name not in stated])
    return tuple(
        _colour(key, data, data.get("symbol") or next(free), one.at.below("palette", key), materials)
        for key, data in one.palette.items()
    )


def _colour(key: str, data: Mapping[str, Any], symbol: str, at: At, materials: Materials) -> Colour:
    thread = materials.threads[data["thread"]]
    return Colour(key, data.get("name", thread.colour_name), thread.rgb, SYMBOLS[symbol], symbol, thread, at)


def _piece(key: str, data: Mapping[str, Any], at: At, materials: Materials) -> Piece:
    pattern = _pattern(data["pattern"], at.below("pattern"))
    columns = columns_of(data, sum(group.stitches for group in pattern.line.groups))
    if not isinstance(columns, int):
        raise AssertionError("columns were checked by a rule")
    around = data.get("goes_round")
    return Piece(
        key=key,
        title=data["title"],
        copies=data["copies"],
        use=data["use"],
        canvas=materials.canvases[data["canvas"]],
        may_turn=data["may_turn"],
        pattern=pattern,
        columns=columns,
        rows=data["rows"],
        finish=_finish(data["finish"], at.below("finish")),
        goes_round=_round_object(around, at.below("goes_round")) if around else None,
        at=at,
    )


def _pattern(data: Mapping[str, Any], at: At) -> Pattern:
    found = shape(data["line"])
    return Pattern(
        family=data["family"],
        over=data["over"],
        line=Line(found.groups, found.drift, at.below("line")),
        colours=tuple(data.get("rings") or data["colours"]),
        repeats=data.get("repeats"),
        left=data["ends"]["left"],
        right=data["ends"]["right"],
        at=at,
    )


def _finish(data: Mapping[str, Any], at: At) -> Finish:
    """A finish; the defaults of the schema count only for the kinds that know their key."""
    kind = data["kind"]
    sleeve = kind == "sleeve"
    return Finish(
        kind=kind,
        colour=data.get("edge", ""),
        corner=data["corner"] if kind == "flat" else 0,
        overlap=data["overlap"] if sleeve else 0,
        seam=data["seam"] if sleeve else "",
        kept_rows=data["kept_rows"] if sleeve else 0,
        border_mm=read_length(data["border"]),
        allowance_mm=read_length(data["allowance"]),
        at=at,
    )


def _round_object(data: Mapping[str, Any], at: At) -> RoundObject:
    return RoundObject(
        name=data["object"],
        made_of=data["made_of"],
        diameter_mm=read_length(data["diameter"]),
        height_mm=read_length(data["height"]),
        ease_mm=read_length(data["ease"]),
        tolerance_mm=read_length(data["tolerance"]),
        at=at,
    )
