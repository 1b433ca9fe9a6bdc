"""Charted work: every stitch where the maker drew it, its row derived from the picture."""

from __future__ import annotations

import numpy as np

from kitbuild.pattern.area import Area
from kitbuild.pattern.flame import outwards
from kitbuild.pattern.panel import Cover, Ints, Stitches, joined
from kitbuild.pattern.proof import crossings
from kitbuild.spec.piece import Chart, Pattern


def drawn(chart: Chart) -> Stitches:
    """The stitches in the maker's order, the upper or left end first; rows and courses are not known yet."""
    x1, y1, x2, y2, colour = (
        np.array(each, dtype=np.int64) for each in (chart.x1, chart.y1, chart.x2, chart.y2, chart.colour)
    )
    turned = (x1 > x2) | (y1 > y2)
    x1, x2 = np.where(turned, x2, x1), np.where(turned, x1, x2)
    y1, y2 = np.where(turned, y2, y1), np.where(turned, y1, y2)
    none = np.zeros_like(x1)
    return Stitches(x1, y1, x2, y2, colour, none, none)


def stitches(pattern: Pattern, area: Area) -> Stitches:
    """Every stitch with its row: row 0 is the string through the middle, others are counted up and down.

    Sideways stitches are counted likewise from the string down the middle. Courses are laid from row 0 down
    (to the right) and then up (to the left), the upright ones of a row before the sideways ones.
    """
    work = drawn(pattern.chart or Chart((), (), (), (), ()))
    upright = work.x1 == work.x2
    parts = [_counted(work.take(upright), area.columns, area.rows)]
    if not upright.all():
        turned = work.take(~upright).transposed()
        parts.append(_counted(turned, area.rows, area.columns).transposed())
    whole = joined(*parts)
    course = 2 * outwards(whole.row) + (whole.x1 != whole.x2)
    return Stitches(whole.x1, whole.y1, whole.x2, whole.y2, whole.colour, whole.row, course)


def _counted(work: Stitches, columns: int, rows: int) -> Stitches:
    """Upright stitches with their rows, in order of column and hole row."""
    work = work.take(np.lexsort((work.y1, work.x1)))
    starts = np.searchsorted(work.x1, np.arange(1, columns + 2))
    through = _string(work, starts, rows)
    row = np.arange(len(work)) - through[work.x1 - 1]
    return Stitches(work.x1, work.y1, work.x2, work.y2, work.colour, row, row)


def _string(work: Stitches, starts: Ints, rows: int) -> Ints:
    """The index of row 0's stitch in each column; -1 in a column without stitches.

    It begins in the middle column (or the one with stitches nearest to it) at the middle hole row, and goes
    on column by column over the largest overlap, of the same colour where one overlaps.
    """
    found = np.full(len(starts) - 1, -1, dtype=np.int64)
    filled = np.flatnonzero(np.diff(starts))
    if not len(filled):
        return found
    begin = int(np.argmin(np.abs(filled - (len(found) - 1) // 2)))
    first = (rows // 2, rows // 2 + 1, -1)
    for walk in (filled[begin:], filled[: begin + 1][::-1]):
        top, bottom, colour = first
        for x in walk.tolist():
            at = _next(work, int(starts[x]), int(starts[x + 1]), top, bottom, colour)
            found[x] = at
            top, bottom, colour = int(work.y1[at]), int(work.y2[at]), int(work.colour[at])
    return found


def _next(work: Stitches, first: int, end: int, top: int, bottom: int, colour: int) -> int:
    """Of one column's stitches `first` to `end`, the one that goes on from hole rows `top` to `bottom`."""
    overlap = np.minimum(work.y2[first:end], bottom) - np.maximum(work.y1[first:end], top)
    same = (work.colour[first:end] == colour) & (overlap >= 0)
    return first + int(np.argmax(overlap + same * (bottom - top + 1)))


def cover(area: Area, stitches: Stitches) -> Cover:
    """Upright work covers the area; of mixed work each link that a stitch crosses belongs to the cover."""
    across = stitches.x1 != stitches.x2
    upright, sideways = crossings(stitches, area.columns, area.rows)
    if not across.any():
        return Cover("columns" if area.whole else "", area.upright(), sideways > 0)
    return Cover("", upright > 0, sideways > 0)
