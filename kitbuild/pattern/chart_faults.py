"""What can be wrong with charted work: crooked, outside, overlapping stitches, and bare bars."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice
from typing import Final

import numpy as np

from kitbuild.pattern.area import Area
from kitbuild.pattern.charted import drawn
from kitbuild.pattern.panel import Bools, Cover, Ints, Stitches
from kitbuild.pattern.proof import crossings
from kitbuild.pattern.wrong import Wrong
from kitbuild.spec.piece import Pattern

MOST_TOLD: Final = 12
"""Faults of one piece that are told one by one; what follows is mostly their consequence."""
_PATH: Final = ("pattern", "chart")


def faults(pattern: Pattern, area: Area) -> Iterator[Wrong]:
    """The first faults of a chart by column (sideways stitches: hole row) and holes."""
    if pattern.chart is None or not pattern.chart.x1:
        yield Wrong("KB409", _PATH, "the chart has no stitches", "draw at least one")
        return
    work = drawn(pattern.chart)
    found = list(islice(_misplaced(work, area, len(pattern.colours)), MOST_TOLD))
    yield from found or islice(_uneven(work, area), MOST_TOLD)


def _misplaced(work: Stitches, area: Area, colours: int) -> Iterator[Wrong]:
    dx, dy = work.x2 - work.x1, work.y2 - work.y1
    straight = ((dx == 0) & (dy > 0)) | ((dy == 0) & (dx > 0))
    for at in np.flatnonzero(~straight).tolist():
        ends = f"from hole ({work.x1[at]}, {work.y1[at]}) to ({work.x2[at]}, {work.y2[at]})"
        yield _wrong(at, f"a stitch {ends} is crooked or empty", "let it go straight down or to the right")
    for at in np.flatnonzero(straight & ~_inside(work, area)).tolist():
        yield _wrong(at, f"{_name(work, at)} is outside the stitched area", _within(area))
    for at in np.flatnonzero((work.colour < 0) | (work.colour >= colours)).tolist():
        yield _wrong(at, f"{_name(work, at)} has no colour of the pattern", "name one of its colours")


def _inside(work: Stitches, area: Area) -> Bools:
    """Whether both ends are inside, and for sideways stitches every hole between them."""
    inside = np.minimum(work.x1, work.y1) >= 1
    inside &= (work.x2 <= area.columns) & (work.y2 <= area.rows)
    x1, x2 = (np.clip(x, 1, area.columns) for x in (work.x1, work.x2))
    inside &= area.holds(x1, work.y1) & area.holds(x2, work.y2)
    across = np.flatnonzero(inside & (work.y1 == work.y2))
    links = np.pad(np.cumsum(area.sideways(), axis=1), ((0, 0), (1, 0)))
    y, x1, x2 = work.y1[across] - 1, work.x1[across] - 1, work.x2[across] - 1
    inside[across] = links[y, x2] - links[y, x1] == x2 - x1
    return inside


def _uneven(work: Stitches, area: Area) -> Iterator[Wrong]:
    for at in _overlapping(work).tolist():
        yield _wrong(at, f"{_name(work, at)} overlaps a stitch drawn there", "end one where the other begins")
    for sideways, links in enumerate(bare(work, area)):
        yield from _bare_runs(links, bool(sideways))


def _overlapping(work: Stitches) -> Ints:
    """Stitches that cross a bar which one before them, in its column or hole row, crosses."""
    across = work.x1 != work.x2
    line, low, high = (
        np.where(across, one, other)
        for one, other in ((work.y1, work.x1), (work.x1, work.y1), (work.x2, work.y2))
    )
    order = np.lexsort((low, line, across))
    lane = np.cumsum((np.diff(line[order], prepend=0) != 0) | (np.diff(across[order], prepend=False)))
    reach = np.maximum.accumulate(high[order] + lane * (int(high.max()) + 1))
    covered = low[order] + lane * (int(high.max()) + 1)
    return np.sort(order[1:][covered[1:] < reach[:-1]])


def bare(work: Stitches, area: Area) -> tuple[Bools, Bools]:
    """Upright and sideways links of the area that are bare, shapes as in Cover.

    An upright link is bare that is not crossed, unless a sideways stitch touches one of its holes. In mixed
    work a sideways link is bare as well when sideways stitches, and no upright ones, touch both its holes.
    """
    down, across = crossings(work, area.columns, area.rows)
    in_down, in_across = np.zeros((area.rows, area.columns), bool), np.zeros((area.rows, area.columns), bool)
    in_down[:-1] |= down > 0
    in_down[1:] |= down > 0
    in_across[:, :-1] |= across > 0
    in_across[:, 1:] |= across > 0
    alone = in_across & ~in_down
    upright = area.upright() & (down == 0) & ~in_across[:-1] & ~in_across[1:]
    return upright, area.sideways() & (across == 0) & alone[:, :-1] & alone[:, 1:]


def _bare_runs(links: Bools, sideways: bool) -> Iterator[Wrong]:
    rows, columns = links.shape
    cover = (
        Cover("", np.zeros((rows - 1, columns + 1), bool), links)
        if sideways
        else Cover("", links, np.zeros((rows + 1, columns - 1), bool))
    )
    for x1, y1, x2, y2 in zip(*(each.tolist() for each in cover.chains()), strict=True):
        place = f"hole row {y1}, holes {x1} to {x2}" if sideways else f"column {x1}, holes {y1} to {y2}"
        yield Wrong("KB409", _PATH, f"{place} are left bare", "draw a stitch over them")


def _name(work: Stitches, at: int) -> str:
    x1, y1, x2, y2 = (int(each[at]) for each in (work.x1, work.y1, work.x2, work.y2))
    if y1 == y2:
        return f"the stitch in hole row {y1}, holes {x1} to {x2},"
    return f"the stitch in column {x1}, holes {y1} to {y2},"


def _wrong(at: int, message: str, cure: str) -> Wrong:
    return Wrong("KB409", (*_PATH, at), message, cure)


def _within(area: Area) -> str:
    shape = "" if area.whole else ", inside the outline"
    return f"keep to columns 1 to {area.columns} and hole rows 1 to {area.rows}{shape}"
