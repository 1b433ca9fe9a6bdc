"""Cutting chains of stitches to the stitched area: the compensating stitches."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np

from kitbuild.pattern.area import Area
from kitbuild.pattern.panel import Bools, Ints, Stitches, joined

LONGEST: Final = 8
"""Useful stitches run over 2 to 8 (published): a longer one is split."""


def clipped(work: Stitches, area: Area, lengthen: bool) -> Stitches:
    """Stitches shortened to the area, those wholly outside dropped, in order of laying.

    A shortened (compensating) stitch keeps its row and its colour. With `lengthen`, no single bar is left
    at an end of a chain where a neighbour can be lengthened over it.
    """
    upright = work.x1 == work.x2
    parts = [_cut_down(work if upright.all() else work.take(upright), area)]
    if not upright.all():
        parts.append(_cut_across(work.take(~upright), area))
    if lengthen:
        parts = [_lengthened_either_way(part) for part in parts]
    return in_order(joined(*parts))


def in_order(work: Stitches) -> Stitches:
    """By course, then column, then hole row (sideways: row, then column); courses numbered from 0."""
    across = work.x1 != work.x2
    if across.any():
        along, low = np.where(across, work.y1, work.x1), np.where(across, work.x1, work.y1)
    else:
        along, low = work.x1, work.y1
    done = work.take(np.lexsort((low, along, work.course)))
    steps = np.diff(done.course, prepend=done.course[:1]) != 0
    return replace(done, course=np.cumsum(steps))


def lengthened(work: Stitches) -> Stitches:
    """Upright chains whose end over 1 is merged into its neighbour: that one is lengthened over it.

    One that would grow beyond over 8 is split anew into two halves of its own row, the odd bar to the upper
    one. A chain of one bar keeps its stitch.
    """
    work = work.take(np.lexsort((work.y1, work.x1)))
    first, last = _ends(work)
    short = (work.y2 - work.y1 == 1) & first & ~last
    y1 = work.y1 - np.append(False, short[:-1])
    grown, work = np.append(False, short[:-1])[~short], replace(work, y1=y1).take(~short)
    first, last = _ends(work)
    short = (work.y2 - work.y1 == 1) & last & ~first
    y2 = work.y2 + np.append(short[1:], False)
    grown, work = (grown | np.append(short[1:], False))[~short], replace(work, y2=y2).take(~short)
    return _halved(work, grown & (work.y2 - work.y1 > LONGEST))


def _ends(work: Stitches) -> tuple[Bools, Bools]:
    """Which of upright stitches, by column and hole row, are the first and the last of a chain."""
    if not len(work):
        none = np.zeros(0, dtype=bool)
        return none, none
    follows = (work.x1[1:] == work.x1[:-1]) & (work.y1[1:] == work.y2[:-1])
    return np.append(True, ~follows), np.append(~follows, True)


def _halved(work: Stitches, which: Bools) -> Stitches:
    if not which.any():
        return work
    long = work.take(which)
    middle = (long.y1 + long.y2 + 1) // 2
    return joined(work.take(~which), replace(long, y2=middle), replace(long, y1=middle))


def _lengthened_either_way(work: Stitches) -> Stitches:
    if len(work) and work.x1[0] != work.x2[0]:
        return lengthened(work.transposed()).transposed()
    return lengthened(work)


def _cut_down(work: Stitches, area: Area) -> Stitches:
    at = work.x1 - 1
    y1 = np.maximum(work.y1, area.first[at])
    y2 = np.minimum(work.y2, area.last[at])
    return replace(work, y1=y1, y2=y2).take(np.flatnonzero((y2 > y1) & (area.first[at] > 0)))


def _cut_across(work: Stitches, area: Area) -> Stitches:
    """Sideways stitches cut to the links inside; one that crosses a gap becomes two."""
    if area.whole:
        return work
    at, along = runs(work.x2 - work.x1)
    x, y = work.x1[at] + along, work.y1[at]
    inside = np.flatnonzero(area.holds(x, y) & area.holds(x + 1, y))
    at, x = at[inside], x[inside]
    first = np.flatnonzero((np.diff(at, prepend=-1) != 0) | (np.diff(x, prepend=-1) != 1))
    last = np.append(first[1:], len(at)) - 1 if len(at) else first
    return replace(work.take(at[first]), x1=x[first], x2=x[last] + 1)


def runs(counts: Ints) -> tuple[Ints, Ints]:
    """For runs of so many entries each: the run that each entry belongs to, and its place in it from 0."""
    at = np.repeat(np.arange(len(counts)), counts)
    return at, np.arange(len(at)) - np.repeat(np.cumsum(counts) - counts, counts)
