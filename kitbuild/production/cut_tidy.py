"""Of plans that cost the same: the largest offcut, then few different layouts, then few cuts."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from fractions import Fraction
from math import inf
from typing import Any

import numpy as np

from kitbuild.production.cut_columns import Master, generate
from kitbuild.production.cut_layout import Laid, lay
from kitbuild.production.cut_patterns import Pattern, Strip
from kitbuild.production.cut_records import Supply
from kitbuild.production.cut_rounding import dive
from kitbuild.production.cut_simple import Chosen, emptiest, one_by_one, taken, trimmed, uncut
from kitbuild.production.cut_solver import choose_whole, solver
from kitbuild.production.cut_task import Column, Room, Task

MANY = 10
"""Plans of more sheets are worth the solver even where it was not needed for their cost."""

FREE = 3
"""Sheets of each layout that may be cut otherwise."""

POOL = 30
"""Columns that the choice of few layouts looks at."""


def tidy(task: Task, chosen: Chosen, solved: bool) -> Chosen:
    """A choice of the same cost: its emptiest sheet closed up, then the others cut in fewer ways."""
    if not chosen or task.effort.out():
        return chosen
    last = emptiest(task, chosen)
    rest = chosen - Counter({last: 1})
    solved = solved or sum(chosen.values()) > MANY
    last = closed_up(task, last, solved)
    if solved and len(rest) > 1:
        rest = _fewer(task, rest, last)
    return rest + Counter({last: 1})


def laid(task: Task, column: Column) -> Laid:
    """A column on its sheet."""
    room = task.rooms[column.supply]
    rows = column.length if room.roll else room.supply.rows
    return lay(column.pattern, room.supply.columns, rows, room.kerf)


def closed_up(task: Task, column: Column, solved: bool) -> Column:
    """The same blanks in strips that take the least of the sheet, so that one large piece is left."""
    room = task.rooms[column.supply]
    if room.roll:
        return column
    made = [column]
    for grid in room.grids:
        along, across = grid.wide - room.kerf, grid.high - room.kerf
        roll = Supply("", "roll", across, along, along, 1)
        part = Task(np.array(column.yields), (Room(roll, Fraction(1), room.kerf, (grid,)),), task.effort)
        found = one_by_one(part, Counter())
        if solved:
            found = min(found, _dived(part), key=lambda each: (int(uncut(part, each).sum()), _cost(each)))
        if not uncut(part, found).any():
            found = trimmed(part, found)
            strips: tuple[Strip, ...] = tuple(s for each in found.elements() for s in each.pattern.strips)
            made.append(task.column(column.supply, Pattern(grid.flipped, strips)))
    return max(made, key=lambda each: _largest(task, each))


def _dived(part: Task) -> Chosen:
    master = Master(part)
    generate(part, master)
    return dive(part, master, Counter())


def _largest(task: Task, column: Column) -> int:
    """Holes in the largest piece that is left of a sheet."""
    return max((wide * high for _, _, wide, high in laid(task, column).rests), default=0)


def _fewer(task: Task, rest: Chosen, last: Column) -> Chosen:
    """The other sheets cut in fewer different ways, or with fewer cuts, at no higher cost.

    Of each layout all but a few sheets stay as they are: the choice is small, however many there are.
    """
    kept = Counter({column: number - FREE for column, number in rest.items() if number > FREE})
    few = rest - kept
    demand = sum((np.array(column.yields) * number for column, number in few.items()), 0 * task.demand)
    part = replace(task, demand=demand, columns=[], known=set())
    other = trimmed(part, _choose(part, _pool(part, task, few), few, kept + Counter({last: 1})))
    if uncut(part, other).any():
        return rest
    return min((rest, kept + other), key=lambda each: (_cost(each), len(each), _cuts(task, each)))


def _cost(chosen: Chosen) -> Fraction:
    return sum((column.cost * number for column, number in chosen.items()), Fraction(0))


def _cuts(task: Task, chosen: Chosen) -> int:
    return sum(len(laid(task, column).cuts) * number for column, number in chosen.items())


def _pool(part: Task, task: Task, rest: Chosen) -> list[Column]:
    """The columns in use, and those of the task that are fullest for their cost."""
    areas = task.areas

    def full(column: Column) -> float:
        return -float(np.dot(areas, np.minimum(column.yields, part.demand))) / max(1e-9, float(column.cost))

    return list(dict.fromkeys([*rest, *sorted(task.columns, key=full)]))[:POOL]


def _choose(part: Task, pool: list[Column], start: Chosen, gone: Chosen) -> Chosen:
    """The fewest of the pool's columns, beside those `gone`, that yield what `start` does, no dearer."""
    made = solver(mip_max_nodes=10)
    unit = float(max(column.cost for column in pool)) or 1.0
    for asked in part.demand:
        made.addRow(float(asked), inf, 0, [], [])
    made.addRow(-inf, float(_cost(start)) / unit + 1e-6, 0, [], [])
    limits = [at for at, room in enumerate(part.rooms) if room.limit is not None]
    used = taken(part, gone)
    for at in limits:
        made.addRow(-inf, float((part.rooms[at].limit or 0) - used[at]), 0, [], [])
    for column in pool:
        _add(part, made, column, unit, limits)
    for at, column in enumerate(pool):
        made.addCol(0.0 if gone[column] else 1.0, 0.0, 1.0, 0, [], [])
        most = float(max(_most(part, column), start[column]))
        made.addRow(-inf, 0.0, 2, [at, len(pool) + at], [1.0, -most])
    begun = [float(start[c]) for c in pool] + [float(start[c] > 0) for c in pool]
    values = choose_whole(made, begun, part.effort)[: len(pool)]
    return Counter({column: number for column, number in zip(pool, values, strict=True) if number > 0})


def _most(part: Task, column: Column) -> int:
    """How often a column can be of use."""
    yields = np.array(column.yields)
    return int((-(-part.demand[yields > 0] // yields[yields > 0])).max())


def _add(
    part: Task,
    made: Any,  # noqa: ANN401
    column: Column,
    unit: float,
    limits: list[int],
) -> None:
    """A column of the integer programme: a share of a layout for its cuts."""
    sizes = len(part.demand)
    rows = [size for size, number in enumerate(column.yields) if number] + [sizes]
    values = [float(number) for number in column.yields if number] + [float(column.cost) / unit]
    if column.supply in limits:
        rows.append(sizes + 1 + limits.index(column.supply))
        values.append(float(part.rooms[column.supply].takes(column.length)))
    share = 1e-5 * len(laid(part, column).cuts)
    made.addCol(share, 0.0, inf, len(rows), rows, values)
