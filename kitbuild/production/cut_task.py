"""What the solver works on: sizes asked for, rooms to cut them from, and patterns as columns."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property
from math import ceil, gcd, lcm

import numpy as np

from kitbuild.production.cut_effort import Effort
from kitbuild.production.cut_patterns import Grid, Ints, Pattern, Shape, closed, flip
from kitbuild.production.cut_records import Supply


@dataclass(frozen=True, slots=True)
class Column:
    """A pattern on a supply; `length` is what it takes of a roll, without the kerf at its end, else 1."""

    supply: int
    pattern: Pattern
    yields: tuple[int, ...]
    length: int
    cost: Fraction


@dataclass(frozen=True, slots=True)
class Room:
    """One supply as the solver sees it: `unit` is the cost of a sheet, or of one row of holes of a roll."""

    supply: Supply
    unit: Fraction
    kerf: int
    grids: tuple[Grid, ...]

    @property
    def roll(self) -> bool:
        """Whether lengths are cut off it."""
        return self.supply.form == "roll"

    @property
    def limit(self) -> int | None:
        """How many sheets there are, or how many rows of holes, a kerf counted with each cut."""
        if self.supply.limit is None or not self.roll:
            return self.supply.limit
        return self.supply.limit * (self.supply.rows + self.kerf)

    def takes(self, length: int) -> int:
        """What a column takes of the limit."""
        return length + self.kerf if self.roll else 1


@dataclass
class Task:
    """Sizes asked for, rooms to cut them from, the work that may be done, and the columns found so far."""

    demand: Ints
    rooms: tuple[Room, ...]
    effort: Effort
    columns: list[Column] = field(default_factory=list)
    known: set[tuple[int, tuple[int, ...], int]] = field(default_factory=set)
    bound: Fraction = Fraction(0)
    worths: list[tuple[int, tuple[int, ...]]] = field(default_factory=list)
    """For some worths of the blanks: of all that is asked for, and the most of one sheet of each room."""

    @cached_property
    def holes(self) -> Ints:
        """Holes in a blank of each size."""
        holes = np.zeros(len(self.demand), dtype=np.int64)
        for room in self.rooms:
            for shape in room.grids[0].shapes:
                holes[shape.size] = (shape.wide - room.kerf) * (shape.high - room.kerf)
        return holes

    @cached_property
    def areas(self) -> Ints:
        """Holes in a blank of each size, the kerf of one side in."""
        areas = np.zeros(len(self.demand), dtype=np.int64)
        for room in self.rooms:
            for shape in room.grids[0].shapes:
                areas[shape.size] = shape.wide * shape.high
        return areas

    def add(self, column: Column) -> bool:
        """Add a column unless one that yields the same from the same is known."""
        name = (column.supply, column.yields, column.length)
        if name in self.known or not any(column.yields):
            return False
        self.known.add(name)
        self.columns.append(column)
        return True

    def column(self, supply: int, pattern: Pattern) -> Column:
        """A pattern with what it yields and costs."""
        room, pattern = self.rooms[supply], closed(pattern)
        length = pattern.wide - room.kerf if room.roll else 1
        yields = tuple(int(each) for each in pattern.yields(len(self.demand)))
        return Column(supply, pattern, yields, length, room.unit * length)

    @property
    def step(self) -> Fraction:
        """Every plan's cost is a multiple of this."""
        units = [room.unit for room in self.rooms if room.unit]
        below = lcm(*(unit.denominator for unit in units))
        return Fraction(gcd(*(int(unit * below) for unit in units)), below) if units else Fraction(1)

    def raised(self, bound: Fraction) -> None:
        """Keep the better bound, rounded up to a cost that a plan can have."""
        self.bound = max(self.bound, ceil(bound / self.step) * self.step)


def room(supply: Supply, shapes: Sequence[Shape], kerf: int, stages: int) -> Room | None:
    """A supply made ready, or None where it holds no blank; `shapes` hold their kerf."""
    wide, high = supply.columns + kerf, supply.rows + kerf
    across = Grid(flip(shapes), high, wide, stages, True)
    if supply.form == "roll":
        grids: tuple[Grid, ...] = (across,)
    else:
        grids = (Grid(shapes, wide, high, stages, False), across)
    if not across.shapes:
        return None
    unit = Fraction(supply.cost) / (supply.rows if supply.form == "roll" else 1)
    return Room(supply, unit, kerf, grids)
