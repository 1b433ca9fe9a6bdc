"""From parts of sheets to whole ones: dives into the master, then an integer programme over its columns.

A dive takes every pattern as often as the master uses it wholly, then the one that it uses most, asks the
master for the rest, and so on. Where that is above the bound, HiGHS chooses among all columns found; then a
few sheets at a time are cut anew. Costs and yields are added up again from the numbers that come out, never
read from the solver.
"""

from __future__ import annotations

from collections import Counter
from fractions import Fraction
from functools import partial, reduce
from math import inf

import numpy as np

from kitbuild.production.cut_columns import Clock, Master, generate
from kitbuild.production.cut_fill import fill, length
from kitbuild.production.cut_patterns import without
from kitbuild.production.cut_solver import choose_whole, solver
from kitbuild.production.cut_task import Column, Task

Chosen = Counter[Column]
"""How often each column is cut."""

Noise = np.random.Generator

MANY = 60
"""Plans of more sheets are bettered by more columns, others by cutting a few sheets anew."""

ENRICHED = 6
"""How often columns are added, at most."""

LIKELY = 400
"""Columns that the integer programme chooses from."""

NODES = 400
"""Nodes that the integer programme may look at."""


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


def dive(task: Task, master: Master, chosen: Chosen, clock: Clock, noise: Noise | None = None) -> Chosen:
    """Whole numbers near the master's on top of what is chosen, until nothing is left or fits.

    On the way it looks for one sheet that holds all the rest: the master, which cuts parts of sheets, never
    asks for a sheet that is dear for what it holds, though that may be the cheapest end.
    """
    chosen, left = chosen.copy(), uncut(task, chosen)
    rounds, ended = 40, []
    while left.any() and not clock.out():
        if last := _last(task, left, taken(task, chosen)):
            ended.append(chosen + Counter({last: 1}))
        used = _again(task, master, left, taken(task, chosen), noise, rounds)
        rounds = 8
        more = _next(task, used, taken(task, chosen), noise)
        if not more:
            break
        chosen.update(more)
        left = uncut(task, chosen)
    return reduce(partial(_better_of, task), ended, chosen)


def _last(task: Task, left: np.ndarray, gone: list[int]) -> Column | None:
    """The cheapest sheet that holds all that is left, None where there is none."""
    held = int(np.dot(task.areas, left))
    found = []
    for at, room in enumerate(task.rooms):
        if room.roll or held > (room.supply.columns + room.kerf) * (room.supply.rows + room.kerf):
            continue
        for grid in room.grids:
            column = task.column(at, fill(grid, task.areas, left))
            if (np.array(column.yields) >= left).all() and _room_left(task, column, gone):
                found.append(column)
    return min(found, key=lambda column: column.cost, default=None)


def _again(
    task: Task, master: Master, left: np.ndarray, gone: list[int], noise: Noise | None, rounds: int
) -> np.ndarray:
    """The master asked for the rest, with patterns that yield no more than that; how often each is used."""
    master.ask(left, gone)
    for _ in range(rounds):
        prices = master.solve()[2]
        found = False
        for at, room in enumerate(task.rooms):
            if room.limit is not None and gone[at] >= room.limit:
                continue
            for grid in room.grids:
                worths = prices if noise is None else prices * noise.uniform(0.9, 1.1, len(prices))
                pattern = length(grid, worths, left) if room.roll else fill(grid, worths, left)
                column = task.column(at, pattern)
                gains = np.dot(prices, column.yields) > float(column.cost) / master.unit + 1e-7
                found |= gains and task.add(column)
        if not found:
            break
        master.take()
    return master.solve()[1]


def _next(task: Task, used: np.ndarray, gone: list[int], noise: Noise | None) -> Chosen:
    """The columns that the master uses wholly; if there are none, once the one that it uses most."""
    fewer = 0 if noise is None else int(noise.integers(0, 3))
    whole = {c: int(u + 1e-6) - fewer for c, u in zip(task.columns, used, strict=False)}
    chosen: Chosen = Counter({column: number for column, number in whole.items() if number > 0})
    if chosen:
        return chosen
    fits = [at for at in np.flatnonzero(used > 1e-6) if _room_left(task, task.columns[at], gone)]
    if not fits:
        return Counter()
    share = np.array([used[at] % 1.0000001 for at in fits])
    if noise is not None:
        share = share * noise.uniform(0.5, 1, len(fits))
    return Counter({task.columns[fits[int(np.argmax(share))]]: 1})


def _room_left(task: Task, column: Column, gone: list[int]) -> bool:
    room = task.rooms[column.supply]
    return room.limit is None or gone[column.supply] + room.takes(column.length) <= room.limit


def choose(task: Task, master: Master, start: Chosen, clock: Clock) -> Chosen:
    """The cheapest choice among the task's likeliest columns that HiGHS finds from `start` on."""
    columns = _likely(task, master, start)
    unit = master.unit
    made = solver(
        mip_max_nodes=NODES,
        time_limit=min(2.0, clock.left()),
        mip_abs_gap=float(task.step) / unit * 0.999,
        mip_rel_gap=1e-7,
    )
    for asked in task.demand:
        made.addRow(float(asked), inf, 0, [], [])
    for at in master.limited:
        made.addRow(-inf, float(task.rooms[at].limit or 0), 0, [], [])
    for column in columns:
        rows, values = master.entries(column)
        made.addCol(float(column.cost) / unit, 0.0, inf, len(rows), rows, values)
    values = choose_whole(made, [float(start[column]) for column in columns])
    return Counter({column: number for column, number in zip(columns, values, strict=True) if number > 0})


def _likely(task: Task, master: Master, start: Chosen) -> list[Column]:
    """The columns that cost least beyond what their blanks are worth, and those of `start`."""
    master.ask(task.demand, [0] * len(task.rooms), close=False)
    _, _, prices, fees = master.solve()

    def beyond(column: Column) -> float:
        fee = fees[master.limited.index(column.supply)] if column.supply in master.limited else 0.0
        takes = task.rooms[column.supply].takes(column.length)
        return float(column.cost) / master.unit + fee * takes - float(np.dot(prices, column.yields))

    return list(dict.fromkeys([*start, *sorted(task.columns, key=beyond)[:LIKELY]]))


def whole(task: Task, master: Master, clock: Clock, tries: int) -> Chosen:
    """The cheapest choice found that leaves nothing uncut, or as little as can be."""
    best = dive(task, master, Counter(), clock)
    noise = np.random.default_rng(1)
    if better(task, best) and not clock.out():
        best = _better_of(task, best, choose(task, master, best, clock))
    best = trimmed(task, best)
    many = sum(best.values()) > MANY
    if many or any(room.roll for room in task.rooms):
        tries //= 10
    for attempt in range(tries):
        if clock.out() or not better(task, best):
            break
        if many and attempt < ENRICHED:
            _enrich(task, master, clock, noise)
            best = _better_of(task, best, trimmed(task, choose(task, master, best, clock)))
        elif attempt % 5 == 4 and len(task.rooms) > 1:
            best = _better_of(task, best, trimmed(task, one_by_one(task, Counter(), noise)))
        else:
            best = _better_of(task, best, _anew(task, best, clock, noise, attempt % 8 == 0))
    return best


def _enrich(task: Task, master: Master, clock: Clock, noise: Noise) -> None:
    """Columns that are best for other numbers of the same blanks."""
    for _ in range(8):
        asked = np.ceil(task.demand * noise.uniform(0, 1, len(task.demand))).astype(np.int64)
        master.ask(asked, [0] * len(task.rooms), close=False)
        generate(task, master, clock, exact=False)


def _anew(task: Task, best: Chosen, clock: Clock, noise: Noise, deep: bool) -> Chosen:
    """A few sheets given up, the emptiest among them, and their blanks cut anew: by a dive, or one by one."""
    free_ones = Counter({column: number for column, number in best.items() if not column.cost})
    if free_ones == best or noise.random() < 0.4:
        free_ones = Counter()
    sheets = sorted((best - free_ones).elements(), key=lambda column: (_used(task, column), column.yields))
    free = np.array([1.03 - _used(task, column) for column in sheets[1:]])
    number = min(int(noise.integers(1, 6 if deep else 4)), len(free))
    given = [0, *(1 + noise.choice(len(free), number, replace=False, p=free / free.sum()))] if number else [0]
    kept = free_ones + Counter(column for at, column in enumerate(sheets) if at not in given)
    if not deep:
        return one_by_one(task, kept, noise)
    left = uncut(task, kept)
    part = Task(task.demand, task.rooms)
    for column in task.columns:
        if (np.array(column.yields) <= left).all():
            part.add(column)
    return trimmed(task, dive(part, Master(part), kept, clock, noise))


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
                pattern = length(grid, worths, left) if room.roll else fill(grid, worths, left)
                column = task.column(at, pattern)
                if any(column.yields) and _room_left(task, column, gone):
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
    for column in sorted(chosen, key=lambda column: (_used(task, column), column.yields)):
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
    return min(chosen, key=lambda column: (_used(task, column), column.yields))


def _used(task: Task, column: Column) -> float:
    """The area of a column's blanks as a share of what it is cut from, kerfs in."""
    room = task.rooms[column.supply]
    rows = column.length if room.roll else room.supply.rows
    whole = (room.supply.columns + room.kerf) * (rows + room.kerf)
    return float(np.dot(column.yields, task.areas)) / whole


def _better_of(task: Task, one: Chosen, other: Chosen) -> Chosen:
    """The one that leaves less uncut, costs less, or has its blanks on fewer sheets and so emptier ones."""

    def merit(each: Chosen) -> tuple[int, Fraction, float]:
        spread = sum(number * _used(task, column) ** 2 for column, number in each.items())
        return int(uncut(task, each).sum()), cost_of(each), -round(spread, 9)

    return min((one, other), key=merit)


def better(task: Task, chosen: Chosen) -> bool:
    """Whether something better than this may be found: more than a thousandth, or blanks that are uncut."""
    return bool(uncut(task, chosen).any()) or cost_of(chosen) > task.bound * Fraction(1001, 1000)
