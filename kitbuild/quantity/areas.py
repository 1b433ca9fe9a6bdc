"""Areas: stretches of one course in neighbouring columns, so that hands need not jump."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from kitbuild.pattern.panel import Ints, Stitches


def courses(stitches: Stitches) -> Iterator[tuple[int, list[Ints]]]:
    """Each course and colour in order of laying: its colour, and its areas from left to right.

    An area is an array of indices from its left end to its right (upper to lower for sideways work); it
    breaks where a column is missing.
    """
    across = stitches.x1 != stitches.x2
    along = np.where(across, stitches.y1, stitches.x1)
    low = np.where(across, stitches.x1, stitches.y1)
    order = np.lexsort((low, along, stitches.colour, stitches.course))
    course, colour = stitches.course[order], stitches.colour[order]
    breaks = np.flatnonzero((np.diff(course) != 0) | (np.diff(colour) != 0)) + 1
    for run in np.split(order, breaks):
        jumps = np.flatnonzero(np.abs(np.diff(along[run])) > 1) + 1
        yield int(stitches.colour[run[0]]), np.split(run, jumps)
