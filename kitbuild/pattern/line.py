"""The pattern's main line: how far each column's stitch stands below the highest one."""

from __future__ import annotations

import numpy as np

from kitbuild.pattern.panel import Ints
from kitbuild.spec.records import Line


def repeat_columns(line: Line) -> int:
    """Columns in one repeat of the line."""
    return sum(group.stitches for group in line.groups)


def profile(line: Line) -> Ints:
    """Depth of each column of one repeat, in bars below its first column."""
    drops = [0, *(group.drop for group in line.groups[1:])]
    widths = [group.stitches for group in line.groups]
    return np.repeat(np.cumsum(drops), widths).astype(np.int64)


def depths(line: Line, columns: int, left: int) -> Ints:
    """Depth of each of `columns` columns, the highest at 0, when `left` columns come before a repeat."""
    wave = profile(line)
    place = np.arange(columns) - left
    depth = wave[place % len(wave)] + (place // len(wave)) * line.drift
    return depth - depth.min()
