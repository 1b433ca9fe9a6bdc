"""The editions of the customer's documents: left hand, large print, black alone, a booklet to fold."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Final

from kitbuild.base.document import HALVES, SHEETS, Press, Sheet
from kitbuild.documents import chart_type
from kitbuild.documents.chart_type import FOLDED, LARGE, ChartType, for_sheet, for_wall, in_black
from kitbuild.spec.records import Hand

LARGE_FOOT_MM: Final = 20.0
"""What two lines of large print take at the foot of a page."""


@dataclass(frozen=True, slots=True)
class Edition:
    """One way in which the customer's documents are printed; without more, the usual one."""

    hand: Hand = "right"
    large: bool = False
    mono: bool = False
    imposed: bool = False
    wall: bool = False
    """wall: a chart of its own for the wall of a class; no edition of the customer's documents."""

    @property
    def word(self) -> str:
        """Its words as file names have them, without the paper's: `.left.large`."""
        words = {"left": self.hand == "left", "large": self.large, "mono": self.mono, "imposed": self.imposed}
        return "".join(f".{word}" for word, said in words.items() if said)

    @property
    def fits(self) -> bool:
        """Whether blocks written for a whole sheet and usual letters have to be fitted to it."""
        return self.large or self.imposed

    def suffix(self, language: str, paper: str) -> str:
        """The words before a file's suffix in their order: language, edition, paper, imposed."""
        return f"{language}{replace(self, imposed=False).word}{paper}{'.imposed' if self.imposed else ''}"

    def sheet(self, paper: Sheet) -> Sheet:
        """The page that its blocks are laid out for: half the paper where it is folded."""
        if self.imposed:
            return HALVES[paper.name]
        return replace(paper, foot_mm=LARGE_FOOT_MM) if self.large else paper

    def press(self, sheet: Sheet) -> Press:
        """How pages of `sheet`, which is its own, come on to paper."""
        whole = next((SHEETS[name] for name, half in HALVES.items() if half == sheet), None)
        return Press(self.large, self.mono, whole if self.imposed else None)

    def chart(self, sheet: Sheet) -> ChartType:
        """The sizes of its charts on its sheet."""
        if self.wall:
            return for_sheet(for_wall(sheet), sheet)
        kind = for_sheet(LARGE if self.large else FOLDED if self.imposed else chart_type.USUAL, sheet)
        return in_black(kind) if self.mono else kind


USUAL: Final = Edition()


def edition_of(words: str) -> Edition:
    """The edition of words joined by points, as file names have them: `left.mono`."""
    said = words.split(".")
    hand: Hand = "left" if "left" in said else "right"
    return Edition(hand, "large" in said, "mono" in said, "imposed" in said)


def editions(asked: Iterable[str]) -> Iterator[Edition]:
    """The usual edition, each that is asked for by a word, and each asked for by words joined: `left.mono`.

    Large print for the left hand comes by itself where both words are asked for. Black alone and folding
    change nothing that a hand does: such a customer takes the left-handed edition, unless it is asked for.
    """
    asked = tuple(asked)
    wanted = {USUAL, *map(edition_of, asked)}
    if "left" in asked and "large" in asked:
        wanted.add(Edition("left", large=True))
    yield from sorted(wanted, key=lambda each: (each.imposed, each.mono, each.large, each.hand == "left"))
