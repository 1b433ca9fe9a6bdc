"""Hungarian point: rows of mixed lengths whose line still interlocks."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from kitbuild.pattern.area import Area
from kitbuild.pattern.flame import outwards
from kitbuild.pattern.line import depths, group_of, line_of
from kitbuild.pattern.panel import Ints, Stitches
from kitbuild.pattern.wrong import Wrong
from kitbuild.spec.piece import Pattern


def cycle(pattern: Pattern) -> Ints:
    """Bars of each group of the line in each row of the cycle, shape (rows of the cycle, groups)."""
    groups = np.arange(len(line_of(pattern).groups))
    rows = pattern.lengths or ((pattern.over,),)
    return np.array([np.array(row, dtype=np.int64)[groups % len(row)] for row in rows])


def stitches(pattern: Pattern, area: Area) -> Stitches:
    """Every stitch: row r gives each group of the line in turn one of the lengths of row r of the cycle.

    Row 0's middle lies on the middle of the hole rows (the upper of two). Row r takes colour r modulo their
    number. Rows are laid from the line down to the edge, then from the line up.
    """
    lengths = cycle(pattern)
    group = group_of(line_of(pattern), area.columns, pattern.left)
    depth = depths(line_of(pattern), area.columns, pattern.left)
    top = depth + (area.rows + 1 - int((depth + lengths[0, group]).max())) // 2
    count, whole = len(lengths), lengths.sum(axis=0)
    first = (1 - int(top.max())) // int(whole.min()) - 1
    last = (area.rows - int(top.min())) // int(whole.min()) + 1
    row = np.arange(first * count, (last + 1) * count)
    start = (np.cumsum(lengths, axis=0) - lengths)[row % count] + (row // count)[:, None] * whole
    y1 = (start[:, group] + top).ravel()
    y2 = y1 + lengths[row % count][:, group].ravel()
    x, row = np.tile(np.arange(1, area.columns + 1), len(row)), np.repeat(row, area.columns)
    return Stitches(x, y1, x, y2, row % len(pattern.colours), row, outwards(row))


def faults(pattern: Pattern, area: Area) -> Iterator[Wrong]:
    """Rows interlock when every group crosses the same number of bars over a cycle."""
    path, groups = ("pattern", "lengths"), len(line_of(pattern).groups)
    if not pattern.lengths:
        yield Wrong(
            "KB408", path, "no lengths of rows are given", "give the lengths of each row of the cycle"
        )
    for at, row in enumerate(pattern.lengths):
        if not row or min(row) < 1 or len(row) > groups:
            message = f"row {at + 1} gives {len(row)} lengths to the line's {groups} groups"
            cure = f"give 1 to {groups} lengths of 1 bar or more"
            yield Wrong("KB408", (*path, at), message, cure)
            return
    whole = cycle(pattern).sum(axis=0)
    for at in np.flatnonzero(whole != whole[0])[:1].tolist():
        message = f"over the cycle group 1 crosses {whole[0]} bars, group {at + 1} {whole[at]}"
        yield Wrong("KB408", path, message, "let the lengths of each group sum to the same over the rows")
