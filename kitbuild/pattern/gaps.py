"""Several lines in one period down the canvas, and the gaps between them filled in rings of colour."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kitbuild.pattern.area import Area
from kitbuild.pattern.columns import LONGEST, runs
from kitbuild.pattern.panel import Bools, Ints, Stitches, joined

_LINES, _RINGS = 1 << 16, 1 << 16


@dataclass(frozen=True, slots=True, eq=False)
class Filling:
    """The stitches of a line and of the gap below it: arrays of one length.

    `column` counts from 0; `offset` is bars below the line's end, `length` bars crossed. Ring 0 is the line.
    Part 0 is worked with the upper half of its ring, part 1 with the lower.
    """

    column: Ints
    offset: Ints
    length: Ints
    ring: Ints
    part: Ints

    def take(self, which: Bools) -> Filling:
        """The stitches that a mask picks."""
        return Filling(*(getattr(self, name)[which] for name in self.__slots__))


def filling(gap: Ints, over: int) -> Filling:
    """A line, and how the `gap` bars of each column down to the next line are filled.

    Stitches are counted inwards from both lines in pairs, the ring is that count. The middle that remains is
    the next ring: one bar lengthens the innermost upper stitch, up to over + 1 (and 8) it is one stitch, else
    two halves, the odd bar to the upper (derived).
    """
    pairs, middle = gap // (2 * over), gap % (2 * over)
    parts = (*_upper(pairs, middle == 1, over), *_middle(pairs, middle, over), _lower(pairs, gap, over))
    columns, offsets, lengths, rings = (
        np.concatenate(each) for each in zip(*(p[:4] for p in parts), strict=True)
    )
    part = np.concatenate([np.full(len(each[0]), each[4]) for each in parts])
    return Filling(columns, offsets, lengths, rings, part)


_Part = tuple[Ints, Ints, Ints, Ints, int]


def _upper(pairs: Ints, longer: Bools, over: int) -> tuple[_Part, ...]:
    """The line and the upper stitch of each pair; the innermost one bar longer, split anew beyond over 8."""
    column, ring = runs(pairs + 1)
    offset = (ring - 1) * over
    length = over + (longer[column] & (ring == pairs[column]))
    half = np.where((length > over) & (length > LONGEST), (length + 1) // 2, length)
    split = np.flatnonzero(half < length)
    second = (column[split], (offset + half)[split], (length - half)[split], ring[split], 0)
    return (column, offset, half, ring, 0), second


def _lower(pairs: Ints, gap: Ints, over: int) -> _Part:
    column, ring = runs(pairs)
    return column, gap[column] - (ring + 1) * over, np.full_like(column, over), ring + 1, 1


def _middle(pairs: Ints, middle: Ints, over: int) -> tuple[_Part, ...]:
    one = middle <= min(over + 1, LONGEST)
    upper = np.where(one, middle, (middle + 1) // 2)
    some, two = np.flatnonzero(middle > 1), np.flatnonzero((middle > 1) & ~one)
    start = pairs * over
    return (
        (some, start[some], upper[some], pairs[some] + 1, 0),
        (two, (start + upper)[two], (middle - upper)[two], pairs[two] + 1, 1),
    )


def filled(tops: Sequence[Ints], tall: int, over: int, colours: int, area: Area) -> Stitches:
    """All lines and their gaps, ring r in colour r modulo their number; `row` is the ring.

    `tops` are the hole rows at which each line of the middle period begins, one entry a column; the next
    period stands `tall` bars lower. Where all lines touch, they are laid first, from the middle down and then
    up, and then the gaps, ring by ring; else each gap is filled on the way from one line to the next.
    """
    following = [*tops[1:], tops[0] + tall]
    gaps = [below - top - over for top, below in zip(tops, following, strict=True)]
    touching = all(not gap.min() for gap in gaps)
    first = min(int((1 - top.max()) // tall) for top in tops) - 1
    last = max(int((area.rows - top.min()) // tall) for top in tops) + 1
    steps = np.arange(first, last + 1)
    parts = []
    for at, (top, gap) in enumerate(zip(tops, gaps, strict=True)):
        lines = steps * len(tops) + at
        parts.append(_repeated(filling(gap, over), top + over, gap, lines, steps * tall, area, touching))
    done = joined(*parts)
    return Stitches(done.x1, done.y1, done.x2, done.y2, done.row % colours, done.row, done.course)


def _repeated(
    fill: Filling, end: Ints, gap: Ints, lines: Ints, shifts: Ints, area: Area, touching: bool
) -> Stitches:
    """One line with its gap in each period; `end` is the hole row at which it ends in each column."""
    start = end[fill.column] + fill.offset
    seen = (start + shifts[:, None] < area.rows) & (start + fill.length + shifts[:, None] > 1)
    at, which = np.nonzero(seen)
    cut = _cut(end, gap, lines, shifts, area) if touching else np.ones(len(lines), dtype=bool)
    y1, x = start[which] + shifts[at], fill.column[which] + 1
    ring, part, line = fill.ring[which], fill.part[which], lines[at]
    course = _course(line, ring, part, cut[at], touching)
    return Stitches(x, y1, x, y1 + fill.length[which], ring, ring, course)


def _cut(end: Ints, gap: Ints, lines: Ints, shifts: Ints, area: Area) -> Bools:
    """Whether the area ends before the far line of each period's gap in any column."""
    kept = np.flatnonzero(area.first)
    if not len(kept):
        return np.ones(len(lines), dtype=bool)
    below = int((end + gap - area.last)[kept].max()) + shifts >= 0
    above = int((end - area.first)[kept].min()) + shifts <= 0
    return np.where(lines >= 0, below, above)


def _course(line: Ints, ring: Ints, part: Ints, cut: Bools, touching: bool) -> Ints:
    """A number that grows in the order of laying.

    Rings are laid inwards, both halves of each in turn. Where the far line is off the canvas or not yet laid,
    the half at the near line is laid first, inwards, and then the far one outwards, so that each lies beside
    another.
    """
    far = np.where(line >= 0, part, 1 - part) == 1
    key = np.where(ring == 0, 0, np.where(cut & far, _RINGS // 2 - ring, ring))
    rank = np.where(line >= 0, line, _LINES - line)
    if touching:
        return (key * 2 * _LINES + rank) * 2 + part
    place = 2 * rank + ((ring > 0) == (line >= 0))
    return (place * _RINGS + key) * 2 + part
