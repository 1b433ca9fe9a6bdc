"""The pattern's main line: how far each column's stitch stands below the highest one."""

from __future__ import annotations

import numpy as np

from kitbuild.pattern.panel import Ints
from kitbuild.spec.piece import Line, Pattern


def line_of(pattern: Pattern) -> Line:
    """The line of a pattern of a family that has one."""
    if pattern.line is None:
        raise ValueError(f"a {pattern.family} pattern needs a line")
    return pattern.line


def repeat_columns(line: Line) -> int:
    """Columns in one repeat of the line."""
    return sum(group.stitches for group in line.groups)


def profile(line: Line) -> Ints:
    """Depth of each column of one repeat, in bars below its first column."""
    drops = [0, *(group.drop for group in line.groups[1:])]
    widths = [group.stitches for group in line.groups]
    return np.repeat(np.cumsum(drops), widths).astype(np.int64)


def heights(line: Line, columns: int, left: int) -> Ints:
    """Bars of each column below the first one of a repeat, when `left` columns come before a repeat."""
    wave = profile(line)
    place = np.arange(columns) - left
    return wave[place % len(wave)] + (place // len(wave)) * line.drift


def depths(line: Line, columns: int, left: int) -> Ints:
    """Bars of each of `columns` columns below the highest, which is 0."""
    depth = heights(line, columns, left)
    return depth - depth.min()


def group_of(line: Line, columns: int, left: int) -> Ints:
    """Which group of the repeat, from 0, each column belongs to."""
    groups = np.repeat(np.arange(len(line.groups)), [group.stitches for group in line.groups])
    return groups[(np.arange(columns) - left) % len(groups)]
