"""A pattern of blanks that are still asked for, and of no more: the knapsack of `cut_patterns` with limits.

Not always the best one: strips are chosen one after another, each the best of its width for what is left, by
a table that says what the rest of the sheet could bring. A strip's bands hold blanks of one size, and what is
free beside them is filled with others as high.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import product
from math import prod
from typing import Final

import numpy as np
from numpy.typing import NDArray

from kitbuild.production.cut_patterns import Band, Grid, Ints, Pattern, Shape, Strip, knapsack
from kitbuild.production.cut_task import Column, Task

Floats = NDArray[np.float32]
FEW: Final = 64
"""Ways to take part of the blanks up to which all of them are looked at."""


def fill(grid: Grid, worths: NDArray[np.float64], left: Ints) -> Pattern:
    """Strips for one sheet, as worthy as they were found."""
    room, left, strips = grid.wide, left.copy(), []
    while True:
        shapes = [
            each for each in grid.shapes if left[each.size] and each.wide <= room and worths[each.size] > 0
        ]
        if not shapes:
            return Pattern(grid.flipped, tuple(strips))
        strip = _strip(grid, shapes, worths, left, _best_width(grid, shapes, worths, left, room))
        for band in strip.bands:
            for shape, number in band.shapes:
                left[shape.size] -= number
        strips.append(strip)
        room -= strip.wide


def length(grid: Grid, worths: NDArray[np.float64], left: Ints) -> Pattern:
    """One length of a roll that is worth most for what it takes."""
    shapes = [each for each in grid.shapes if left[each.size] and worths[each.size] > 0]
    if not shapes:
        return Pattern(grid.flipped, ())
    xs = _widths(grid, shapes, left, grid.wide)
    worth = _strips(grid, shapes, worths, left, xs)
    at = int(np.argmax(worth / xs))
    return Pattern(grid.flipped, (_strip(grid, shapes, worths, left, int(xs[at])),))


def filled(task: Task, at: int, grid: Grid, worths: NDArray[np.float64], left: Ints) -> Column:
    """One sheet, or one length of a roll, of the task's supply `at`, filled from what is left."""
    take = length if task.rooms[at].roll else fill
    pattern = take(grid, worths, left)
    task.effort.spend(len(grid.shapes) * (1 + len(pattern.strips)))
    return task.column(at, pattern)


def _widths(grid: Grid, shapes: Sequence[Shape], left: Ints, room: int) -> Ints:
    most = 1 if grid.stages == 2 else 6
    widths = {each.wide * n for each in shapes for n in range(1, most + 1) if n <= left[each.size]}
    return np.array(sorted(each for each in widths if each <= room), dtype=np.int64)


def _best_width(
    grid: Grid, shapes: Sequence[Shape], worths: NDArray[np.float64], left: Ints, room: int
) -> int:
    """The width that is worth most for what it takes, among those that fill the room best together."""
    xs = _widths(grid, shapes, left, room)
    worth = _strips(grid, shapes, worths, left, xs)
    scaled = np.round(worth * (1e6 / max(1e-30, float(worth.max())))).astype(np.int64)
    table = knapsack(xs, scaled, room)
    used, rest = set(), room
    while table[rest] > 0:
        fits = np.flatnonzero(xs <= rest)
        took = fits[table[rest - xs[fits]] + scaled[fits] == table[rest]]
        if len(took):
            used.add(int(took[-1]))
            rest -= int(xs[took[-1]])
        else:
            rest -= 1
    return int(xs[max(used, key=lambda at: (worth[at] / xs[at], at))])


def _beside(grid: Grid, shape: Shape, xs: Ints, left: Ints) -> Ints:
    """How many of a shape lie side by side in strips of these widths."""
    if grid.stages == 2:
        return (xs == shape.wide).astype(np.int64)
    return np.minimum(xs // shape.wide, left[shape.size])


def _strips(
    grid: Grid, shapes: Sequence[Shape], worths: NDArray[np.float64], left: Ints, xs: Ints
) -> NDArray[np.float32]:
    """The worth of the best strip of each width."""
    table = np.zeros((grid.high + 1, len(xs)), dtype=np.float32)
    for shape in shapes:
        beside, rest = _beside(grid, shape, xs, left), np.full(len(xs), left[shape.size])
        for _ in range(min(grid.high // shape.high, int(left[shape.size]))):
            number = np.minimum(beside, rest)
            if not number.any():
                break
            gain = (number * worths[shape.size]).astype(np.float32)
            high = shape.high
            np.maximum(table[high:], table[:-high] + gain, out=table[high:])
            rest = rest - number
    return table[-1]


def _strip(grid: Grid, shapes: Sequence[Shape], worths: NDArray[np.float64], left: Ints, wide: int) -> Strip:
    """The best strip of one width, in bands."""
    table, steps = np.zeros(grid.high + 1), []
    for shape in shapes:
        rest = int(left[shape.size])
        beside = int(_beside(grid, shape, np.array([wide]), left)[0])
        for _ in range(grid.high // shape.high):
            number = min(beside, rest)
            if number < 1:
                break
            moved = table[: -shape.high] + number * worths[shape.size]
            took = moved > table[shape.high :]
            table[shape.high :][took] = moved[took]
            steps.append((shape, number, took))
            rest -= number
    at, bands, left = grid.high, [], left.copy()
    for shape, number, took in reversed(steps):
        if at >= shape.high and took[at - shape.high]:
            at -= shape.high
            number = min(number, int(left[shape.size]))
            if number:
                bands.append((shape, number))
                left[shape.size] -= number
    return Strip(wide, tuple(_filled(grid, shape, number, wide, shapes, left) for shape, number in bands))


def _filled(grid: Grid, shape: Shape, number: int, wide: int, shapes: Sequence[Shape], left: Ints) -> Band:
    """A band of one size, and beside it whatever else is as high; takes it from `left`."""
    parts, free = [(shape, number)], wide - number * shape.wide
    if grid.stages == 3:
        for other in shapes:
            more = min(free // other.wide, int(left[other.size])) if other.high == shape.high else 0
            if more > 0:
                parts.append((other, more))
                free -= more * other.wide
                left[other.size] -= more
    return Band(shape.high, tuple(parts))


def fullest(task: Task) -> Iterator[Column]:
    """Each kind of sheet as full as it can be: dear ones too, of which whole numbers may be the cheapest.

    Of a few blanks, for each part of them: then the integer programme has every way to share them out.
    """
    parts = [task.demand]
    if prod((task.demand + 1).tolist()) <= FEW:
        parts = [np.array(part) for part in product(*(range(number + 1) for number in task.demand))]
    for at, room in enumerate(task.rooms):
        for grid in () if room.roll else room.grids:
            for part in parts:
                column = filled(task, at, grid, task.areas, part)
                if any(column.yields):
                    yield column
