"""Costs that no plan goes below, proven in whole numbers.

The bound is computed in whole numbers from the prices, not read from the solver: with worths v, patterns of a
supply worth at most F and a cost c, v scaled by the least c / F of the unlimited supplies is a feasible
price; a limited supply pays for what its patterns are worth beyond their cost, as often as there are sheets
of it.
"""

from __future__ import annotations

from fractions import Fraction
from math import ceil

import numpy as np

from kitbuild.production.cut_patterns import Ints, Priced
from kitbuild.production.cut_task import Room, Task


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
