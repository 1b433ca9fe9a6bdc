"""How difficult a kit is: points by a rule that the proof shows in full. Common practice, no source."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

from kitbuild.pattern.measures import measured
from kitbuild.quantity.amounts import Amounts

Level = Literal["easy", "practised", "demanding"]


@dataclass(frozen=True, slots=True)
class Points:
    """What one part of the rule gives: `value` was counted, `points` is what it counts for."""

    id: str
    value: int
    points: int


@dataclass(frozen=True, slots=True)
class Grade:
    """All parts of the rule, their sum, and the level: easy to 1, practised to 4, demanding above."""

    parts: tuple[Points, ...]

    @property
    def total(self) -> int:
        """Sum of the points."""
        return sum(part.points for part in self.parts)

    @property
    def level(self) -> Level:
        """The level that the sum leads to."""
        if self.total <= EASY:
            return "easy"
        return "practised" if self.total <= PRACTISED else "demanding"


EASY: Final = 1
PRACTISED: Final = 4


def grade(amounts: Amounts) -> Grade:
    """The grade of a kit by its colours, turns, short stitches, patterns, finishes and size."""
    return Grade(tuple(Points(id, value(amounts), _step(value(amounts), steps)) for id, value, steps in RULE))


def _step(value: int, steps: tuple[int, ...]) -> int:
    """One point for each step that the value goes beyond."""
    return sum(value > step for step in steps)


def colours(amounts: Amounts) -> int:
    """Colours that are worked with."""
    return len(amounts.uses)


def turns(amounts: Amounts) -> int:
    """Turning points in one repeat of the line, of the piece that has most."""
    palette = len(amounts.kit.palette)
    return max((measured(each.panel, palette).turns for each in amounts.pieces), default=0)


def short_stitches(amounts: Amounts) -> int:
    """Stitches over 1 or 2, in percent of all."""
    lengths = np.concatenate([each.panel.stitches.length() for each in amounts.pieces])
    return round(100 * float((lengths <= 2).mean()))


def counted_shapes(amounts: Amounts) -> int:
    """Pieces that do not follow one line: rings, quarters or charted work."""
    families = (each.panel.piece.pattern.family for each in amounts.pieces)
    return sum(family not in ("flame", "scallop", "hungarian point") for family in families)


def made_up(amounts: Amounts) -> int:
    """Pieces that are more than edged or sewn flat: sleeves, boxes, ornaments."""
    return sum(each.panel.piece.finish.kind in ("sleeve", "box", "ornament") for each in amounts.pieces)


def stitches(amounts: Amounts) -> int:
    """Stitches of the whole kit."""
    return sum(each.stitches * each.panel.piece.copies for each in amounts.pieces)


#: Part of the rule, how it is counted, and beyond which values it gives a point each.
RULE: Final[tuple[tuple[str, Callable[[Amounts], int], tuple[int, ...]], ...]] = (
    ("colours", colours, (3, 5)),
    ("turns", turns, (4, 12)),
    ("short_stitches", short_stitches, (10, 25)),
    ("counted_shapes", counted_shapes, (0,)),
    ("made_up", made_up, (0, 2)),
    ("stitches", stitches, (1500, 6000)),
)
