"""A second way to every stitch, in plain loops: what the trade says about a column, hole by hole."""

from __future__ import annotations

from collections import Counter

from kitbuild.pattern.panel import Stitches
from kitbuild.spec.records import Line, Pattern

Link = tuple[int, int]
Stretch = tuple[int, int, int]
"""First hole row, last hole row, row or ring."""


def crossed(stitches: Stitches) -> tuple[Counter[Link], Counter[Link]]:
    """How often each upright and each sideways link is crossed, by its upper or left hole (x, y)."""
    upright: Counter[Link] = Counter()
    across: Counter[Link] = Counter()
    ends = (stitches.x1, stitches.y1, stitches.x2, stitches.y2)
    for x1, y1, x2, y2 in zip(*(end.tolist() for end in ends), strict=True):
        for y in range(y1, y2):
            upright[x1, y] += 1
        for x in range(x1, x2):
            across[x, y1] += 1
    return upright, across


def heights(line: Line, columns: int, left: int) -> list[int]:
    """Bars of each column below the first column of the first whole repeat, walked group by group."""
    steps = []
    for group in line.groups:
        steps += [group.drop, *[0] * (group.stitches - 1)]
    found = {left: 0}
    for x in range(left + 1, columns):
        found[x] = found[x - 1] + steps[(x - left) % len(steps)]
    for x in range(left - 1, -1, -1):
        found[x] = found[x + 1] - steps[(x + 1 - left) % len(steps)]
    return [found[x] for x in range(columns)]


def flame_columns(pattern: Pattern, columns: int, rows: int) -> list[list[Stretch]]:
    """Every column of a line pattern: the line in the middle of the hole rows, the upper of two."""
    high = heights(pattern.line, columns, pattern.left)
    top = (rows + 1 - (max(high) - min(high)) - pattern.over) // 2
    made = []
    for height in high:
        start, row, column = top + height - min(high), 0, []
        while start > 1:
            start, row = start - pattern.over, row - 1
        while start < rows:
            column.append((start, start + pattern.over, row))
            start, row = start + pattern.over, row + 1
        made.append(cut(column, rows))
    return made


def diamond_columns(pattern: Pattern, columns: int, rows: int) -> list[list[Stretch]]:
    """Every column of a diamond: lines touch their mirror images on the middle hole row, the upper of two."""
    high = heights(pattern.line, columns, pattern.left)
    deep, over = max(high) - min(high), pattern.over
    made = []
    for height in high:
        rise = max(high) - height
        inner, outer = [*shape(2 * rise, over)], [*shape(2 * (deep - rise), over)]
        chain = [(over, 0), *inner, (over, 0), *outer]
        start = (rows + 1) // 2 - over - rise
        tall = sum(length for length, _ in chain)
        while start > 1:
            start -= tall
        column: list[Stretch] = []
        while start < rows:
            for length, ring in chain:
                column.append((start, start + length, ring))
                start += length
        made.append(cut(column, rows))
    return made


def shape(gap: int, over: int) -> list[tuple[int, int]]:
    """Bars and ring of each stitch between a line and its mirror image, counted from both in pairs."""
    ring, rest, outside = 1, gap, []
    while rest >= 2 * over:
        outside.append((over, ring))
        rest, ring = rest - 2 * over, ring + 1
    if rest == 0:
        middle = []
    elif rest <= min(over + 1, 8):
        middle = [(rest, ring)]
    else:
        middle = [(rest - rest // 2, ring), (rest // 2, ring)]
    return [*outside, *middle, *reversed(outside)]


def cut(column: list[Stretch], rows: int) -> list[Stretch]:
    """The stretches inside hole rows 1 to `rows`, shortened at both."""
    short = [(max(first, 1), min(last, rows), row) for first, last, row in column]
    return [each for each in short if each[0] < each[1]]


def columns_of(stitches: Stitches, columns: int) -> list[list[Stretch]]:
    """The stitches of each column from the top down."""
    found: list[list[Stretch]] = [[] for _ in range(columns)]
    fields = (stitches.x1, stitches.y1, stitches.y2, stitches.row)
    for x, first, last, row in zip(*(field.tolist() for field in fields), strict=True):
        found[x - 1].append((first, last, row))
    return [sorted(column) for column in found]
