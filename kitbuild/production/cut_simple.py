"""The simple rule, one sheet after another, each as full as it is found; and what a choice takes."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction

import numpy as np

from kitbuild.production.cut_fill import filled
from kitbuild.production.cut_patterns import without
from kitbuild.production.cut_task import Column, Task

Chosen = Counter[Column]
"""How often each column is cut."""

Noise = np.random.Generator


def cost_of(chosen: Chosen) -> Fraction:
    """What a choice of columns costs."""
    return sum((column.cost * number for column, number in chosen.items()), Fraction(0))


def uncut(task: Task, chosen: Chosen) -> np.ndarray:
    """How many blanks of each size a choice leaves uncut."""
    made = sum((np.array(column.yields) * number for column, number in chosen.items()), 0 * task.demand)
    return np.maximum(task.demand - made, 0)


def taken(task: Task, chosen: Chosen) -> list[int]:
    """How much of each room a choice takes: sheets, or rows of holes and kerfs."""
    total = [0] * len(task.rooms)
    for column, number in chosen.items():
        total[column.supply] += task.rooms[column.supply].takes(column.length) * number
    return total


def room_left(task: Task, column: Column, gone: list[int]) -> bool:
    """Whether a column's supply holds it beside what is taken of it already."""
    room = task.rooms[column.supply]
    return room.limit is None or gone[column.supply] + room.takes(column.length) <= room.limit


def one_by_one(task: Task, chosen: Chosen, noise: Noise | None = None) -> Chosen:
    """What a choice leaves uncut, on one sheet after another."""
    chosen = chosen.copy()
    power = 1.1 if noise is None else noise.uniform(1.0, 1.2)
    likings = np.ones(len(task.rooms)) if noise is None else noise.uniform(0.8, 1, len(task.rooms))
    while (left := uncut(task, chosen)).any():
        gone, worths = taken(task, chosen), task.areas**power
        if noise is not None:
            worths = worths * noise.uniform(0.8, 1.2, len(left))
        made = []
        for at, room in enumerate(task.rooms):
            for grid in room.grids:
                column = filled(task, at, grid, worths, left)
                if any(column.yields) and room_left(task, column, gone):
                    made.append(column)
        if not made:
            break
        merit = [np.dot(worths, each.yields) / max(1e-9, float(each.cost)) for each in made]
        best = made[int(np.argmax(np.array(merit) * likings[[each.supply for each in made]]))]
        chosen[best] += _times(task, best, left, gone)
    return chosen


def _times(task: Task, column: Column, left: np.ndarray, gone: list[int]) -> int:
    """How often a column can be cut before it yields too much, or its supply runs out."""
    yields, room = np.array(column.yields), task.rooms[column.supply]
    times = max(1, int((left[yields > 0] // yields[yields > 0]).min()))
    if room.limit is not None:
        times = min(times, (room.limit - gone[column.supply]) // room.takes(column.length))
    return times


def trimmed(task: Task, chosen: Chosen) -> Chosen:
    """The choice without blanks that nobody asks for; they are left out where the sheet is emptiest."""
    surplus = -task.demand.copy()
    for column, number in chosen.items():
        surplus += np.array(column.yields) * number
    if not (surplus > 0).any():
        return chosen
    made: Chosen = Counter()
    for column in sorted(chosen, key=lambda column: (fullness(task, column), column.yields)):
        number = chosen[column]
        while number and (drop := np.minimum(np.maximum(surplus, 0), column.yields)).any():
            surplus, number = surplus - drop, number - 1
            kept = task.column(column.supply, without(column.pattern, drop))
            if any(kept.yields):
                made[kept] += 1
        if number:
            made[column] += number
    return made


def emptiest(task: Task, chosen: Chosen) -> Column:
    """The column whose blanks take the smallest share of its sheet."""
    return min(chosen, key=lambda column: (fullness(task, column), column.yields))


def fullness(task: Task, column: Column) -> float:
    """The area of a column's blanks as a share of what it is cut from, kerfs in."""
    room = task.rooms[column.supply]
    rows = column.length if room.roll else room.supply.rows
    whole = (room.supply.columns + room.kerf) * (rows + room.kerf)
    return float(np.dot(column.yields, task.areas)) / whole
