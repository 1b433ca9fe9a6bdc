"""Costs that no plan goes below, proven in whole numbers.

The bound is computed in whole numbers from the prices, not read from the solver: with worths v, patterns of a
supply worth at most F and a cost c, v scaled by the least c / F of the unlimited supplies is a feasible
price; a limited supply pays for what its patterns are worth beyond their cost, as often as there are sheets
of it.
"""

from __future__ import annotations

from fractions import Fraction
from math import ceil, prod

import numpy as np

from kitbuild.production.cut_patterns import Ints, Priced
from kitbuild.production.cut_task import Room, Task

LARGEST = 200_000
"""Most ways to take sheets that are looked at one by one."""


def area_bound(task: Task) -> Fraction:
    """A bound without the solver: blanks are worth their holes, and the dearest is to be cut at least."""
    bound = max(_alone(task, size) for size in range(len(task.demand)) if task.demand[size])
    bound = max(bound, *(_side_by_side(task, size) for size in range(len(task.demand))))
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


def _side_by_side(task: Task, size: int) -> Fraction:
    """What blanks of one size that do not turn take of rolls: each row of holes goes through so many at most.

    With at most k of n blanks beside each other, n / k of them lie one below the other.
    """
    shapes = [shape for room in task.rooms for shape in room.grids[0].shapes if shape.size == size]
    if not all(room.roll for room in task.rooms) or any(shape.turned for shape in shapes) or not shapes:
        return Fraction(0)
    beside = max(room.grids[0].high // shapes[0].high for room in task.rooms)
    rows = shapes[0].wide - task.rooms[0].kerf
    return -(-int(task.demand[size]) // beside) * rows * min(room.unit for room in task.rooms)


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


def note(task: Task, worths: Ints, tables: list[list[Priced]]) -> None:
    """Keep what these worths say of sheets, for `counted`."""
    if any(room.roll for room in task.rooms):
        return
    most = tuple(max(priced.best()[0] for priced in prices) for prices in tables)
    if max(most) < 1 << 48:
        task.worths.append((int(np.dot(worths, task.demand)), most))


def counted(task: Task) -> tuple[Fraction, Ints | None]:
    """The least cost of whole numbers of sheets that no worths noted rule out, and these numbers.

    Sheets at no cost are all taken. It looks no further than a tenth and the dearest sheet above the bound,
    and at few sheets only: of many, the bound without it is as good.
    """
    if not task.worths or not task.bound:
        return task.bound, None
    units = [int(room.unit / task.step) for room in task.rooms]
    top = int(task.bound / task.step * Fraction(11, 10)) + max(units)
    ways = [_ways(room.limit, unit, top) for room, unit in zip(task.rooms, units, strict=True)]
    if prod(map(len, ways)) > LARGEST or any(not way or way[-1] > 1000 for way in ways):
        return task.bound, None
    numbers = np.stack([axis.ravel() for axis in np.meshgrid(*ways, indexing="ij")])
    cost = np.array(units) @ numbers
    holds = (cost >= task.bound / task.step) & (cost < top)
    for asked, most in task.worths:
        holds &= np.array(most) @ numbers >= asked
    if not holds.any():
        return top * task.step, None
    places = np.flatnonzero(holds)
    at = places[np.argmin(cost[places])]
    return int(cost[at]) * task.step, numbers[:, at]


def _ways(limit: int | None, unit: int, top: int) -> range:
    """The numbers of sheets of one room to look at."""
    if not unit:
        return range(limit, limit + 1) if limit is not None else range(0)
    most = top // unit + 1
    return range((most if limit is None else min(most, limit)) + 1)


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
