"""Line patterns: one line, flame or scallop, repeated down the canvas in a sequence of colours."""

from __future__ import annotations

from typing import Final

import numpy as np

from kitbuild.pattern.columns import clipped
from kitbuild.pattern.line import depths
from kitbuild.pattern.panel import Ints, Stitches
from kitbuild.spec.records import Pattern

COUNTED: Final = "rows"


def stitches(pattern: Pattern, columns: int, rows: int) -> Stitches:
    """Every stitch of a line pattern; `colour` counts in the pattern's own sequence.

    The line's middle lies on the middle of the hole rows (the upper of two). Row r takes colour r modulo
    their number. Rows are laid from the line down to the edge, then from the line up.
    """
    over = pattern.over
    depth = depths(pattern.line, columns, pattern.left)
    top = depth + (rows + 1 - int(depth.max()) - over) // 2
    first = (1 - int(top.max())) // over - 1
    last = (rows - int(top.min())) // over + 1
    row, x = np.meshgrid(np.arange(first, last + 1), np.arange(columns), indexing="ij")
    start = top[x] + row * over
    return clipped(x + 1, start, start + over, row % len(pattern.colours), row, _course(row), rows)


def bars_down(pattern: Pattern) -> int:
    """Bars after which the picture returns downwards."""
    return pattern.over * len(pattern.colours)


def _course(row: Ints) -> Ints:
    """Order of laying: the line and all rows below it, then those above it."""
    return np.where(row >= 0, row, int(row.max()) - row)
