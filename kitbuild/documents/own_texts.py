"""The maker's own texts that the customer reads, and those that a further language has no words for."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from kitbuild.base.problem import Problem
from kitbuild.documents.wording import Wording
from kitbuild.spec.house import House
from kitbuild.spec.records import Kit
from kitbuild.spec.words import counted, listed

SHOWN = 3
"""Texts that the warning shows of those without words."""


def own_texts(kit: Kit) -> Iterator[str]:
    """Every text of a kit that customers read as the maker wrote it; some more than once."""
    yield from (kit.title, kit.about, kit.care, kit.house.labels.origin)
    if kit.box:
        yield kit.box.title
    if kit.licence:
        yield kit.licence.credit
    for piece in kit.pieces:
        yield from (piece.title, piece.canvas.title)
        if piece.goes_round:
            yield piece.goes_round.name
    for colour in kit.palette:
        yield from (colour.name, colour.thread.title, colour.thread.put_up)
    for needle in kit.needles:
        yield needle.needle.title
    for extra in kit.extras:
        yield from (extra.extra.title, extra.extra.unit)


def untold(kit: Kit, speak: tuple[Wording, ...]) -> Iterator[Problem]:
    """A warning for each further language in which some of the maker's own texts have no words."""
    yield from not_said(kit.code, own_texts(kit), speak, kit.house)


def not_said(whose: str, texts: Iterable[str], speak: tuple[Wording, ...], house: House) -> Iterator[Problem]:
    """A warning for each further language in which some of the texts of `whose` have no words."""
    asked = dict.fromkeys(text.strip() for text in texts if text.strip())
    for say in speak[1:]:
        known = say.words.own if say.words else {}
        lacking = [text for text in asked if text not in known]
        if lacking:
            shown = listed(lacking[:SHOWN], "and") + (" …" if len(lacking) > SHOWN else "")
            message = f"{counted(len(lacking), 'text')} of {whose} not said in {say.language}: {shown}"
            cure = f"write them under `own:` in a file with `kind: wording` and `language: {say.language}`"
            place = say.words.at("own") if say.words else house.at("also_in")
            yield Problem(place, "KB706", message, cure, warning=True)
