"""Column generation: the least cost of patterns that yield every blank, in parts of sheets, and its proof.

The master is a linear programme over the patterns known so far (Gilmore and Gomory 1961, 1965); its prices
are the worths at which `cut_patterns` looks for a pattern worth more than its sheet. None left: the optimum.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from math import inf

import numpy as np

from kitbuild.production.cut_bound import counted, note, proof
from kitbuild.production.cut_patterns import Ints, Pattern, Priced
from kitbuild.production.cut_solver import solver
from kitbuild.production.cut_task import Column, Room, Task

SCALE = 1 << 32
"""The dearest price as a whole number."""

PROOFS = 12
"""Numbers of sheets that are tried."""

PENALTY = 1000.0
"""What a blank left uncut costs, in the dearest supply's sheets."""


class Master:
    """The linear programme in HiGHS: rows are sizes, then limited rooms; a column more for each size."""

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

    def uncut(self) -> float:
        """How many blanks the master leaves uncut."""
        return sum(self.solver.getSolution().col_value[: len(self.task.demand)])

    def ask(self, demand: Ints, taken: Sequence[int], close: bool = True) -> None:
        """Ask for these numbers, so much of each room being taken; `close` the columns that yield more."""
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


def generate(task: Task, master: Master, exact: bool = True, rounds: int = 9999) -> np.ndarray:
    """Add columns until none improves the master; how often each is used. If exact, raises the bound."""
    few = True
    while True:
        cost, used, prices, fees = master.solve()
        rounds -= 1
        proven = exact and task.bound and cost * master.unit <= float(task.bound) * (1 + 1e-9)
        if task.effort.out() or proven or rounds < 0:
            return used
        worths = np.floor(prices * SCALE).astype(np.int64)
        tables = [[grid.priced(worths, few) for grid in room.grids] for room in task.rooms]
        task.effort.spend(sum(priced.steps for prices in tables for priced in prices))
        found = [task.add(each) for each in improving(task, master, tables, prices, fees)]
        if not few:
            task.raised(proof(task, worths, tables, Fraction(master.unit) / SCALE))
            note(task, worths, tables)
        if any(found):
            master.take()
            few = few or exact
        elif few and exact:
            few = False
        else:
            return used


def prove(task: Task) -> None:
    """Raise the bound: the cheapest numbers of sheets not ruled out are tried, and ruled out if need be."""
    if len(task.rooms) < 2:
        return
    for _ in range(PROOFS):
        numbers = counted(task)[1]
        if numbers is None or task.effort.out():
            break
        rooms = tuple(
            replace(room, supply=replace(room.supply, limit=int(number)))
            for room, number in zip(task.rooms, numbers, strict=True)
        )
        part = Task(task.demand, rooms, task.effort, list(task.columns), set(task.known))
        master = Master(part)
        generate(part, master)
        if master.uncut() < 1e-7:
            break
        task.worths += part.worths
    task.raised(counted(task)[0])


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
