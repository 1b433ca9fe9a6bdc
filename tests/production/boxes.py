"""Kits with one thing or another in them, for the tests of cautions."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Any

from kitbuild.base.glyphs import SYMBOLS
from kitbuild.production.cautions import Note, notes
from kitbuild.spec.materials import Bag, Extra, Needle, Part
from kitbuild.spec.piece import RoundObject
from kitbuild.spec.records import Kit, PackedExtra, PackedNeedle
from tests.pattern.builders import AT, SLEEVE, canvas, extra, kit, palette, piece, roll

WOVEN = canvas("mono-10", weave="woven", kerf=0, stock=(roll(),))


def plain(**changes: Any) -> Kit:
    """Cotton on woven canvas: nothing but thread, needles and cloth."""
    fibre, tested = changes.pop("fibre", "cotton"), changes.pop("tested", False)
    threads = palette(fibre=fibre, colour_tested=tested)
    named = tuple(
        replace(each, symbol=char, symbol_name=name)
        for each, (name, char) in zip(threads, SYMBOLS.items(), strict=False)
    )
    return kit(piece(canvas=WOVEN), palette=named, **changes)


def packed(
    *made_of: str, hazards: tuple[str, ...] = (), parts: tuple[Part, ...] = (), bag: Bag | None = None
) -> PackedExtra:
    """One extra."""
    thing: Extra = replace(extra("thing", made_of or ("card",), hazards), parts=parts, bag=bag)
    return PackedExtra(thing, 1, AT)


def with_extra(*made_of: str, **more: Any) -> Kit:
    """A plain kit with one extra in its box."""
    kit_more = {name: more.pop(name) for name in ("age_grade", "toy", "needles") if name in more}
    return plain(extras=(packed(*made_of, **more),), **kit_more)


def round_thing(made_of: str, *hazards: str) -> RoundObject:
    return RoundObject("thing", made_of, 90.0, 120.0, 1.0, 3.0, AT, hazards)


def sleeve_round(made_of: str, *hazards: str) -> Kit:
    """A plain kit whose piece goes round an object that is not in the box."""
    around = round_thing(made_of, *hazards)
    return replace(plain(), pieces=(piece(canvas=WOVEN, use="sleeve", finish=SLEEVE, goes_round=around),))


def used_as(use: str) -> Kit:
    return replace(plain(), pieces=(piece(canvas=WOVEN, use=use),))


def needle(length_mm: float | None = None) -> tuple[PackedNeedle, ...]:
    return (PackedNeedle(Needle("needle-16", "Needle", 16, 22, "N-01", AT, length_mm), 2, AT),)


def film(opening_in: str, thickness_in: str, around_in: str = "20", flat: bool = False) -> Bag:
    """A bag by its opening (or flat width), its film, and its length plus width, in inches."""
    mouth, inch = Fraction(opening_in) * Fraction(254, 10), Fraction(254, 10)
    half = Fraction(around_in) * inch / 2
    opening, width = (None, mouth) if flat else (mouth, None)
    return Bag(opening, width, Fraction(thickness_in) * inch, half, half)


def ids(one: Kit) -> set[str]:
    return {note.id for note in notes(one)}


def note_of(one: Kit, id: str) -> Note:
    return next(note for note in notes(one) if note.id == id)
