"""Words for the units of what lies in a box, in the form that the language asks for beside a number."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from kitbuild.documents.wording import Wording

KINDS: Final = ("canvas", "needleful", "needle", "booklet", "sheet")
"""Kinds of lines whose word for a unit is the catalogue's; those of all others are the workshop's."""


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit by its kind, or by the workshop's `own` word."""

    name: str
    own: bool = False

    def word(self, say: Wording, number: int = 1) -> str:
        """Its word for so many; the workshop's own as it is where it has no form for them."""
        if self.own:
            return say.own_plural(self.name, number) or say.own(self.name)
        return say(f"unit.{self.name}", number=number)

    def counted(self, say: Wording, number: int) -> str:
        """How many: `2 skeins`; `2 × skein` where the workshop has not said its plural."""
        told = not self.own or number == 1 or say.own_plural(self.name, number)
        return f"{say.speech.digits(number)} {'' if told else '× '}{self.word(say, number)}"


def listed_unit(say: Wording, word: str) -> Unit:
    """The unit that the lists of an edition call by this word, in the language in which they were written."""
    kind = next((kind for kind in KINDS if say(f"unit.{kind}", number=1) == word), "")
    return Unit(kind) if kind else Unit(word, own=True)
