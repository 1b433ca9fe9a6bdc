"""A second way to every stitch, in plain loops: what the trade says about a column, hole by hole."""

from __future__ import annotations

from collections import Counter

from kitbuild.pattern.panel import Panel, Stitches
from kitbuild.spec.piece import Line, Pattern

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
    """Every column of a diamond or medallion.

    The bars between a line and its mirror image lie about the middle hole row, the upper of two.
    """
    high = heights(pattern.line, columns, pattern.left)
    deep, over, apart = max(high) - min(high), pattern.over, pattern.apart
    made = []
    for height in high:
        rise = max(high) - height
        chain = [*string(2 * rise + apart, over), *string(2 * (deep - rise), over)]
        made.append(stacked(chain, (rows + 1 - apart) // 2 - over - rise, rows))
    return made


def ribbon_columns(pattern: Pattern, columns: int, rows: int) -> list[list[Stretch]]:
    """Every column of a ribbon: the line in the middle, its copy to the right below it, then the ground."""
    first = heights(pattern.line, columns, pattern.left)
    further = heights(pattern.line, columns + pattern.shift, pattern.left + pattern.shift)
    before = heights(pattern.line, columns + pattern.shift, pattern.left)
    apart, over = pattern.apart, pattern.over
    falls = [further[x] - before[x] for x in range(columns)]
    made = []
    for x in range(columns):
        ribbon, ground = falls[x] - min(falls) + apart, max(falls) - falls[x] + apart
        top = (rows + 1 - (max(first) - min(first)) - over) // 2 + first[x] - min(first)
        made.append(stacked([*string(ribbon, over), *string(ground, over)], top, rows))
    return made


def hungarian_columns(pattern: Pattern, columns: int, rows: int) -> list[list[Stretch]]:
    """Every column of Hungarian point, row by row of the cycle; its rows are numbered as they come."""
    high = heights(pattern.line, columns, pattern.left)
    sizes = [group.stitches for group in pattern.line.groups]
    owner = [group for group, size in enumerate(sizes) for _ in range(size)]
    own = [owner[(x - pattern.left) % len(owner)] for x in range(columns)]
    cycles = [[row[group % len(row)] for row in pattern.lengths] for group in own]
    reach = max(high[x] - min(high) + cycles[x][0] for x in range(columns))
    made = []
    for x in range(columns):
        start, row, column = (rows + 1 - reach) // 2 + high[x] - min(high), 0, []
        while start > 1:
            row -= 1
            start -= cycles[x][row % len(pattern.lengths)]
        while start < rows:
            length = cycles[x][row % len(pattern.lengths)]
            column.append((start, start + length, row))
            start, row = start + length, row + 1
        made.append(cut(column, rows))
    return made


def stacked(chain: list[tuple[int, int]], start: int, rows: int) -> list[Stretch]:
    """A column of one period, from hole row `start` on, repeated up and down."""
    tall = sum(length for length, _ in chain)
    while start > 1:
        start -= tall
    column: list[Stretch] = []
    while start < rows:
        for length, ring in chain:
            column.append((start, start + length, ring))
            start += length
    return cut(column, rows)


def string(gap: int, over: int) -> list[tuple[int, int]]:
    """Bars and ring of the line and of each stitch down to the next line, counted from both in pairs."""
    ring, rest, upper, lower = 1, gap, [(over, 0)], []
    while rest >= 2 * over:
        upper.append((over, ring))
        lower.insert(0, (over, ring))
        rest, ring = rest - 2 * over, ring + 1
    if rest == 1 and over < 8:
        upper[-1] = (over + 1, ring - 1)
    elif rest == 1:
        upper[-1:] = [(5, ring - 1), (4, ring - 1)]
    elif 2 <= rest <= min(over + 1, 8):
        upper.append((rest, ring))
    elif rest:
        upper += [(rest - rest // 2, ring), (rest // 2, ring)]
    return upper + lower


def bars_of(panel: Panel) -> set[tuple[int, int, int, int, int]]:
    """Every stitch by its ends and colour."""
    work = panel.stitches
    fields = (work.x1, work.y1, work.x2, work.y2, work.colour)
    return set(zip(*(field.tolist() for field in fields), strict=True))


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


def beside_one_laid(panel: Panel) -> list[tuple[int, int]]:
    """Course and column of each string of stitches, side by side, that no earlier stitch touches."""
    stitches, laid, floating = panel.stitches, set(), []
    ends = [stitches.course, stitches.x1, stitches.y1, stitches.y2]
    by_course: dict[int, list[tuple[int, int, int]]] = {}
    for course, x, first, last in zip(*(each.tolist() for each in ends), strict=True):
        by_course.setdefault(course, []).append((x, first, last))
    for course in sorted(by_course):
        string: list[tuple[int, int, int]] = []
        for each in [*sorted(by_course[course]), (1 << 30, 0, 0)]:
            if string and each[0] > string[-1][0] + 1:
                touching = any({(x, first), (x, last)} & laid for x, first, last in string)
                if course and not touching:
                    floating.append((course, string[0][0]))
                string = []
            string.append(each)
        laid |= {(x, y) for x, first, last in by_course[course] for y in (first, last)}
    return floating
