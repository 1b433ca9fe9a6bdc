"""Column generation: the least cost of patterns that yield every blank, in parts of sheets, and its proof.

The master is a linear programme over the patterns known so far (Gilmore and Gomory 1961, 1965); its prices are
the worths at which `cut_patterns` looks for a pattern worth more than its sheet. None left: it is the optimum.

The bound is computed in whole numbers from the prices, not read from the solver: with worths v, patterns of a
supply worth at most F and a cost c, v scaled by the least c / F of the unlimited supplies is a feasible price;
a limited supply pays for what its patterns are worth beyond their cost, as often as there are sheets of it.
"""

from __future__ import annotations

import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property
from math import ceil, gcd, inf, lcm

import numpy as np

from kitbuild.production.cut_patterns import Grid, Ints, Pattern, Priced, Shape, closed, flip
from kitbuild.production.cut_records import Supply
from kitbuild.production.cut_solver import solver

SCALE = 1 << 32
"""The dearest price as a whole number."""

PENALTY = 1000.0
"""What a blank left uncut costs, in the dearest supply's sheets."""


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
    """Sizes asked for and rooms to cut them from, and the columns found so far."""

    demand: Ints
    rooms: tuple[Room, ...]
    columns: list[Column] = field(default_factory=list)
    known: set[tuple[int, tuple[int, ...], int]] = field(default_factory=set)
    bound: Fraction = Fraction(0)

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


class Clock:
    """How long is left; `late` remembers whether it ran out."""

    def __init__(self, seconds: float) -> None:
        self.end, self.late = time.thread_time() + seconds, False

    def left(self) -> float:
        """Seconds left."""
        return max(0.0, self.end - time.thread_time())

    def out(self) -> bool:
        """Whether none is left."""
        self.late = self.late or not self.left()
        return self.late


class Master:
    """The linear programme in HiGHS: rows are sizes, then limited rooms; a column more for each size uncut."""

    def __init__(self, task: Task) -> None:
        self.task = task
        self.unit = float(max(room.unit * (1 if not room.roll else room.supply.rows) for room in task.rooms))
        self.unit = self.unit or 1.0
        self.limited = [at for at, room in enumerate(task.rooms) if room.limit is not None]
        self.solver = solver()
        sizes = len(task.demand)
        for asked in task.demand:
            self.solver.addRow(float(asked), inf, 0, [], [])
        for at in self.limited:
            self.solver.addRow(-inf, float(task.rooms[at].limit or 0), 0, [], [])
        for size in range(sizes):
            self.solver.addCol(PENALTY, 0.0, inf, 1, [size], [1.0])
        self.held = 0
        self.take()

    def take(self) -> None:
        """Add the task's new columns."""
        for column in self.task.columns[self.held :]:
            rows, values = self.entries(column)
            self.solver.addCol(float(column.cost) / self.unit, 0.0, inf, len(rows), rows, values)
        self.held = len(self.task.columns)

    def entries(self, column: Column) -> tuple[list[int], list[float]]:
        """A column's rows and values."""
        rows = [size for size, number in enumerate(column.yields) if number]
        values = [float(number) for number in column.yields if number]
        if column.supply in self.limited:
            rows.append(len(column.yields) + self.limited.index(column.supply))
            values.append(float(self.task.rooms[column.supply].takes(column.length)))
        return rows, values

    def ask(self, demand: Ints, taken: Sequence[int], close: bool = True) -> None:
        """Ask for these numbers of blanks, so much of each limited room being taken; `close` what yields more."""
        for size, asked in enumerate(demand):
            self.solver.changeRowBounds(size, float(asked), inf)
        for row, at in enumerate(self.limited, len(demand)):
            left = float((self.task.rooms[at].limit or 0) - taken[at])
            self.solver.changeRowBounds(row, -inf, left)
        if not self.held:
            return
        yields = np.array([column.yields for column in self.task.columns[: self.held]])
        upper = np.where((yields <= demand).all(axis=1) | (not close), inf, 0.0)
        places = np.arange(self.held, dtype=np.int32) + len(demand)
        self.solver.changeColsBounds(len(places), places, np.zeros(len(places)), upper)

    def solve(self) -> tuple[float, np.ndarray, np.ndarray, np.ndarray]:
        """The least cost in the unit, how often each column is used, prices of sizes, prices of limits."""
        self.solver.run()
        solution = self.solver.getSolution()
        sizes = len(self.task.demand)
        duals = np.array(solution.row_dual)
        used = np.array(solution.col_value)[sizes:]
        cost = self.solver.getInfo().objective_function_value
        return cost, used, np.maximum(duals[:sizes], 0), np.maximum(-duals[sizes:], 0)


def generate(task: Task, master: Master, clock: Clock, exact: bool = True, rounds: int = 9999) -> np.ndarray:
    """Add columns until none improves the master; how often each is used. Raises the task's bound if exact."""
    few = True
    while True:
        cost, used, prices, fees = master.solve()
        rounds -= 1
        proven = exact and task.bound and cost * master.unit <= float(task.bound) * (1 + 1e-9)
        if clock.out() or proven or rounds < 0:
            return used
        worths = np.floor(prices * SCALE).astype(np.int64)
        tables = [[grid.priced(worths, few) for grid in room.grids] for room in task.rooms]
        found = [task.add(each) for each in improving(task, master, tables, prices, fees)]
        if not few:
            task.raised(proof(task, worths, tables, Fraction(master.unit) / SCALE))
        if any(found):
            master.take()
            few = few or exact
        elif few and exact:
            few = False
        else:
            return used


def improving(
    task: Task, master: Master, tables: list[list[Priced]], prices: np.ndarray, fees: np.ndarray
) -> Iterator[Column]:
    """The best column of each grid, where its blanks are worth more than it costs."""
    for at, room in enumerate(task.rooms):
        fee = fees[master.limited.index(at)] if at in master.limited else 0.0
        for priced in tables[at]:
            for pattern in _lengths(priced, room, master.unit, fee) if room.roll else (priced.best()[1],):
                column = task.column(at, pattern)
                cost = float(column.cost) / master.unit + fee * room.takes(column.length)
                if np.dot(prices, column.yields) > cost + 1e-7:
                    yield column


def _lengths(priced: Priced, room: Room, unit: float, fee: float) -> Iterator[Pattern]:
    """The best lengths of a roll by what they are worth beyond their cost, and by worth for their cost."""
    wide, worth = priced.lengths()
    if not len(wide):
        return
    rate, fixed = float(room.unit) / unit + fee, fee * room.kerf
    cost = (wide - room.kerf) * rate + fixed
    gain = worth / SCALE - cost
    for at in {int(np.argmax(gain)), int(np.argmax(gain / cost))}:
        yield priced.one(at)


def area_bound(task: Task) -> Fraction:
    """A bound without the solver: blanks are worth their holes, and the dearest is to be cut at least."""
    bound = max(_alone(task, size) for size in range(len(task.demand)) if task.demand[size])
    if all(room.limit is None for room in task.rooms):
        holes = int(np.dot(task.holes, task.demand))
        bound = max(bound, holes * min(room.unit / _holes(room) for room in task.rooms))
    if not any(room.roll for room in task.rooms):
        tables = [[grid.priced(task.areas, few=False) for grid in room.grids] for room in task.rooms]
        money = min(room.unit / (room.grids[0].wide * room.grids[0].high) for room in task.rooms)
        bound = max(bound, proof(task, task.areas, tables, money))
    return ceil(bound / task.step) * task.step


def _holes(room: Room) -> int:
    """Holes in a sheet, or in one row of holes of a roll."""
    return room.supply.columns * (1 if room.roll else room.supply.rows)


def _alone(task: Task, size: int) -> Fraction:
    """What the cheapest sheet or length for one blank costs."""
    return min(
        room.unit * (shape.wide - room.kerf if room.roll else 1)
        for room in task.rooms
        for shape in room.grids[0].shapes
        if shape.size == size
    )


def proof(task: Task, worths: Ints, tables: list[list[Priced]], money: Fraction) -> Fraction:
    """A cost that no plan goes below; `money` is what one whole worth is, in minor units."""
    free = [
        _cheapest(room, priced)
        for room, prices in zip(task.rooms, tables, strict=True)
        for priced in prices
        if room.limit is None
    ]
    rate = min(free) if free else money
    total = rate * int(np.dot(worths, task.demand))
    for room, prices in zip(task.rooms, tables, strict=True):
        if room.limit is not None:
            total -= room.limit * max(_fee(room, priced, rate) for priced in prices)
    return total


def _cheapest(room: Room, priced: Priced) -> Fraction:
    """The least cost for one of worth that a room's patterns come to."""
    if not room.roll:
        return room.unit / max(1, priced.best()[0])
    wide, worth = priced.lengths()
    if not len(wide):
        return room.unit
    near = _near((wide - room.kerf) / worth, -1)
    return min(room.unit * int(wide[at] - room.kerf) / int(worth[at]) for at in near)


def _fee(room: Room, priced: Priced, rate: Fraction) -> Fraction:
    """What a limited room asks for each sheet, or row of holes, so that none of its patterns gains."""
    if not room.roll:
        return max(Fraction(0), rate * priced.best()[0] - room.unit)
    wide, worth = priced.lengths()
    gain = (worth * float(rate) - (wide - room.kerf) * float(room.unit)) / wide
    best = [rate * int(worth[at]) - room.unit * int(wide[at] - room.kerf) for at in _near(gain, 1)]
    return max([Fraction(0), *(each / int(wide[at]) for each, at in zip(best, _near(gain, 1), strict=True))])


def _near(values: np.ndarray, sign: int) -> list[int]:
    """The places of the best of the values, and of those as good but for rounding."""
    if not len(values):
        return []
    best = (values * sign).max()
    return [int(at) for at in np.flatnonzero(values * sign >= best - abs(best) * 1e-9 - 1e-300)]
