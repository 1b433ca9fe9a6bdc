"""A released edition made again: what is gone, why it cannot be made, and which materials are others."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from kitbuild.base.blocks import Block, Heading, Paragraph, Steps, Table
from kitbuild.base.problem import Problem
from kitbuild.documents.wording import Wording
from kitbuild.production.used import GONE, MATERIALS, NEW, UsedChanged

_SHARES: Final = ("thread.spare_share", "rate", "discount", "fee")


@dataclass(frozen=True, slots=True)
class Remade:
    """A re-run of a released edition: what its materials and the workshop are otherwise, and what forbids it.

    `kept` says whether its own spec was kept; where it was not, today's stands in its place.
    """

    used: tuple[UsedChanged, ...]
    faults: tuple[Problem, ...]
    kept: bool = True

    @property
    def gone(self) -> tuple[UsedChanged, ...]:
        """The materials that are no longer had."""
        return tuple(each for each in self.used if each.what == GONE and each.kind in MATERIALS)


def hindrances(say: Wording, remade: Remade) -> Iterator[Block]:
    """What stands in the way of packing this edition today."""
    if not remade.kept:
        yield Paragraph(say("edition.again.unkept"))
    if remade.gone:
        yield Heading(2, say("edition.again.gone.heading"))
        yield Paragraph(say("edition.again.gone"))
        yield Steps(tuple(f"{each.title} ({each.key})" for each in remade.gone), "dot")
    if remade.faults:
        yield Heading(2, say("edition.again.faults.heading"))
        yield Paragraph(say("edition.again.faults"))
        yield Steps(tuple(f"{each.code}: {each.message}" for each in remade.faults), "dot")


def used_blocks(say: Wording, remade: Remade, currencies: tuple[str, str]) -> Iterator[Block]:
    """The tables of what is otherwise: materials, then how the workshop reckons; money in each side's own."""
    for id, wanted in (("materials", True), ("workshop", False)):
        rows = tuple(
            _row(say, each, currencies) for each in remade.used if (each.kind in MATERIALS) == wanted
        )
        if rows:
            yield Heading(2, say(f"edition.used.{id}.heading"))
            header = (say("edition.what"), say("edition.after.released"), say("edition.after.same"))
            yield Table(header, rows, (0.44, 0.28, 0.28), "lll")


def _row(say: Wording, each: UsedChanged, currencies: tuple[str, str]) -> tuple[str, str, str]:
    thing = f"{each.title} ({each.key})" if each.title != each.key else each.key
    if each.kind == "workshop":
        what = say(f"edition.used.{each.what}")
    elif each.what in (GONE, NEW):
        what = thing
    else:
        what = say("edition.used.of", thing=thing, what=say(f"edition.used.{each.what}"))
    if each.what in (GONE, NEW):
        there, not_there = say("edition.used.there"), say(f"edition.used.{each.what}")
        return (what, there, not_there) if each.what == GONE else (what, say("edition.none"), not_there)
    values = zip((each.before, each.after), currencies, strict=True)
    before, after = (_told(say, each.what, value, currency) for value, currency in values)
    return what, before, after


def _told(say: Wording, what: str, value: str, currency: str) -> str:
    """A value as people read it."""
    if not value:
        return say("edition.none")
    if what.endswith("_mm"):
        return say("list.comma").join(f"{say.speech.digits(float(each))}\xa0mm" for each in value.split("; "))
    if what.endswith("_minor"):
        return say.speech.money(int(value), currency)
    if what.endswith("_mg"):
        return f"{say.speech.digits(int(value) / 1000)}\xa0g"
    if what in _SHARES:
        return f"{say.speech.digits(round(float(value) * 100, 4))}\xa0%"
    return say(f"edition.used.{value}") if value in ("yes", "no") else value
