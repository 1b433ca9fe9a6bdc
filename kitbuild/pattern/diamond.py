"""The diamond: a line and its mirror image enclose shapes that are filled in rings of colour.

Lines touch where they come nearest, so a gap between two of them is always an even number of bars.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from kitbuild.pattern.columns import clipped
from kitbuild.pattern.line import depths
from kitbuild.pattern.panel import Ints, Stitches
from kitbuild.spec.records import Pattern

COUNTED: Final = "rings"
LONGEST_MIDDLE: Final = 8
"""A middle stitch crosses at most 8 bars: useful stitches run over 2 to 8 (published)."""


@dataclass(frozen=True, slots=True)
class _Fill:
    """One stitch of a gap's filling: bars below the upper line's end, bars crossed, ring, part.

    Part 0 is worked with the upper half of its ring, part 1 with the lower.
    """

    offset: int
    length: int
    ring: int
    part: int


def filling(gap: int, over: int) -> tuple[_Fill, ...]:
    """How `gap` bars between a line and its mirror image are filled, from the top down.

    Stitches are counted inwards from both lines in pairs, the ring is that count. The middle that
    remains is the next ring: one stitch while it is short enough, else two halves, the odd bar to the
    upper (derived).
    """
    pairs, middle = divmod(gap, 2 * over)
    upper = [_Fill(i * over, over, i + 1, 0) for i in range(pairs)]
    lower = [_Fill(gap - (i + 1) * over, over, i + 1, 1) for i in reversed(range(pairs))]
    start, ring = pairs * over, pairs + 1
    if not middle:
        halves = []
    elif middle <= min(over + 1, LONGEST_MIDDLE):
        halves = [_Fill(start, middle, ring, 0)]
    else:
        half = (middle + 1) // 2
        halves = [_Fill(start, half, ring, 0), _Fill(start + half, middle - half, ring, 1)]
    return (*upper, *halves, *lower)


def stitches(pattern: Pattern, columns: int, rows: int) -> Stitches:
    """Every stitch of a diamond; `colour` counts in the pattern's rings, `row` is the ring.

    A line and its mirror image touch on the middle hole row (the upper of two). All lines are laid first,
    from the middle down and then up, then the shapes between them, ring by ring.
    """
    over = pattern.over
    depth = depths(pattern.line, columns, pattern.left)
    deepest, middle = int(depth.max()), (rows + 1) // 2
    above = middle - over - (deepest - depth)
    below = middle + (deepest - depth)
    tall = 2 * deepest + 2 * over
    reach = rows // tall + 1
    parts = []
    for step in range(-reach, reach + 1):
        shift, first, second = step * tall, 2 * step, 2 * step + 1
        parts.append(_line_part(above + shift, over, first))
        parts.append(_line_part(below + shift, over, second))
        parts.extend(_gap_parts(above + over + shift, 2 * (deepest - depth), over, first, rows))
        parts.extend(_gap_parts(below + over + shift, 2 * depth, over, second, rows))
    x, top, bottom, ring, course = (np.concatenate(each) for each in zip(*parts, strict=True))
    return clipped(x, top, bottom, ring % len(pattern.colours), ring, course, rows)


def bars_down(pattern: Pattern) -> int:
    """Bars after which the picture returns downwards."""
    depth = depths(pattern.line, sum(group.stitches for group in pattern.line.groups), 0)
    return 2 * int(depth.max()) + 2 * pattern.over


_Part = tuple[Ints, Ints, Ints, Ints, Ints]
_LINES, _RINGS = 1 << 16, 1 << 16


def _rank(line: int) -> int:
    """Order of laying: line 0 and those below it, then those above, each touching the one before."""
    return line if line >= 0 else _LINES - line


def _line_part(top: Ints, over: int, line: int) -> _Part:
    x = np.arange(1, len(top) + 1)
    return x, top, top + over, np.zeros_like(x), np.full_like(x, _rank(line))


def _gap_parts(start: Ints, gap: Ints, over: int, line: int, rows: int) -> list[_Part]:
    """The fillings of the string of shapes below a line, from hole `start` of each column on.

    Rings are laid inwards, both halves of each in turn. Where the canvas ends before the far line, the half
    at the near line is laid first, inwards, and then the far one outwards, so that each lies beside another.
    """
    parts = []
    cut = bool((start + gap >= rows).any()) if line >= 0 else bool((start <= 1).any())
    for size in np.unique(gap):
        x = np.flatnonzero(gap == size)
        for fill in filling(int(size), over):
            top = start[x] + fill.offset
            far = fill.part if line >= 0 else 1 - fill.part
            key = _RINGS // 2 - fill.ring if cut and far else 2 * fill.ring + fill.part
            course = (_rank(line) + 2 * _LINES) * _RINGS + key
            parts.append((x + 1, top, top + fill.length, np.full_like(x, fill.ring), np.full_like(x, course)))
    return parts
