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

from kitbuild.production.cut_columns import Master, generate
from kitbuild.production.cut_fill import filled
from kitbuild.production.cut_simple import (
    Chosen,
    Noise,
    cost_of,
    fullness,
    one_by_one,
    room_left,
    taken,
    trimmed,
    uncut,
)
from kitbuild.production.cut_solver import choose_whole, solver
from kitbuild.production.cut_task import Column, Task

MANY = 60
"""Plans of more sheets are bettered by more columns, others by cutting a few sheets anew."""

ENRICHED = 6
"""How often columns are added, at most."""

LIKELY = 400
"""Columns that the integer programme chooses from."""

NODES, WIDE = 400, 100_000
"""Nodes that the integer programme may look at; of one with many rows fewer, as their square grows."""


def dive(task: Task, master: Master, chosen: Chosen, noise: Noise | None = None) -> Chosen:
    """Whole numbers near the master's on top of what is chosen, until nothing is left or fits.

    On the way it looks for one sheet that holds all the rest: the master, which cuts parts of sheets, never
    asks for a sheet that is dear for what it holds, though that may be the cheapest end.
    """
    chosen, left = chosen.copy(), uncut(task, chosen)
    rounds, ended = 40, []
    while left.any() and not task.effort.out():
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
            column = filled(task, at, grid, task.areas, left)
            if (np.array(column.yields) >= left).all() and room_left(task, column, gone):
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
                column = filled(task, at, grid, worths, left)
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
    fits = [at for at in np.flatnonzero(used > 1e-6) if room_left(task, task.columns[at], gone)]
    if not fits:
        return Counter()
    share = np.array([used[at] % 1.0000001 for at in fits])
    if noise is not None:
        share = share * noise.uniform(0.5, 1, len(fits))
    return Counter({task.columns[fits[int(np.argmax(share))]]: 1})


def choose(task: Task, master: Master, start: Chosen) -> Chosen:
    """The cheapest choice among the task's likeliest columns that HiGHS finds from `start` on."""
    columns = _likely(task, master, start)
    unit = master.unit
    made = solver(
        mip_max_nodes=min(NODES, WIDE // len(task.demand) ** 2 + 1),
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
    values = choose_whole(made, [float(start[column]) for column in columns], task.effort)
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


def whole(task: Task, master: Master, tries: int) -> Chosen:
    """The cheapest choice found that leaves nothing uncut, or as little as can be."""
    best = dive(task, master, Counter())
    noise = np.random.default_rng(1)
    if better(task, best) and not task.effort.out():
        best = _better_of(task, best, choose(task, master, best))
    best = trimmed(task, best)
    many = sum(best.values()) > MANY
    if many or any(room.roll for room in task.rooms):
        tries //= 10
    for attempt in range(tries):
        if task.effort.out() or not better(task, best):
            break
        if many and attempt < ENRICHED:
            _enrich(task, master, noise)
            best = _better_of(task, best, trimmed(task, choose(task, master, best)))
        elif attempt % 5 == 4 and len(task.rooms) > 1:
            best = _better_of(task, best, trimmed(task, one_by_one(task, Counter(), noise)))
        else:
            best = _better_of(task, best, _anew(task, best, noise, attempt % 8 == 0))
    return best


def _enrich(task: Task, master: Master, noise: Noise) -> None:
    """Columns that are best for other numbers of the same blanks."""
    for _ in range(8):
        asked = np.ceil(task.demand * noise.uniform(0, 1, len(task.demand))).astype(np.int64)
        master.ask(asked, [0] * len(task.rooms), close=False)
        generate(task, master, exact=False)


def _anew(task: Task, best: Chosen, noise: Noise, deep: bool) -> Chosen:
    """A few sheets given up, the emptiest among them, and their blanks cut anew: by a dive, or one by one."""
    free_ones = Counter({column: number for column, number in best.items() if not column.cost})
    if free_ones == best or noise.random() < 0.4:
        free_ones = Counter()
    sheets = sorted((best - free_ones).elements(), key=lambda column: (fullness(task, column), column.yields))
    free = np.array([1.03 - fullness(task, column) for column in sheets[1:]])
    number = min(int(noise.integers(1, 6 if deep else 4)), len(free))
    given = [0, *(1 + noise.choice(len(free), number, replace=False, p=free / free.sum()))] if number else [0]
    kept = free_ones + Counter(column for at, column in enumerate(sheets) if at not in given)
    if not deep:
        return one_by_one(task, kept, noise)
    left = uncut(task, kept)
    part = Task(task.demand, task.rooms, task.effort)
    for column in task.columns:
        if (np.array(column.yields) <= left).all():
            part.add(column)
    return trimmed(task, dive(part, Master(part), kept, noise))


def _better_of(task: Task, one: Chosen, other: Chosen) -> Chosen:
    """The one that leaves less uncut, costs less, or has its blanks on fewer sheets and so emptier ones."""

    def merit(each: Chosen) -> tuple[int, Fraction, float]:
        spread = sum(number * fullness(task, column) ** 2 for column, number in each.items())
        return int(uncut(task, each).sum()), cost_of(each), -round(spread, 9)

    return min((one, other), key=merit)


def better(task: Task, chosen: Chosen) -> bool:
    """Whether something better than this may be found: more than a thousandth, or blanks that are uncut."""
    return bool(uncut(task, chosen).any()) or cost_of(chosen) > task.bound * Fraction(1001, 1000)
