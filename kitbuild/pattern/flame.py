"""Line patterns: one line, flame or scallop, repeated down the canvas in a sequence of colours."""

from __future__ import annotations

import numpy as np

from kitbuild.pattern.area import Area
from kitbuild.pattern.line import depths, line_of
from kitbuild.pattern.panel import Ints, Stitches
from kitbuild.spec.piece import Pattern


def stitches(pattern: Pattern, area: Area) -> Stitches:
    """Every stitch of a line pattern; `colour` counts in the pattern's own sequence.

    The line's middle lies on the middle of the hole rows (the upper of two). Row r takes colour r modulo
    their number. Rows are laid from the line down to the edge, then from the line up.
    """
    depth = depths(line_of(pattern), area.columns, pattern.left)
    top = depth + (area.rows + 1 - int(depth.max()) - pattern.over) // 2
    return repeated(top, pattern.over, len(pattern.colours), area.rows)


def repeated(top: Ints, over: int, colours: int, rows: int) -> Stitches:
    """Rows of stitches over `over` bars, hole row 1 to `rows`; the line begins at `top` in each column."""
    first = (1 - int(top.max())) // over - 1
    last = (rows - int(top.min())) // over + 1
    row = np.repeat(np.arange(first, last + 1), len(top))
    x = np.tile(np.arange(1, len(top) + 1), last + 1 - first)
    start = np.tile(top, last + 1 - first) + row * over
    return Stitches(x, start, x, start + over, row % colours, row, outwards(row))


def outwards(row: Ints) -> Ints:
    """Order of laying: the line and all rows below it, then those above it."""
    return np.where(row >= 0, row, int(row.max(initial=0)) - row)
