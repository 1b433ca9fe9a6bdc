"""Cutting chains of stitches to the stitched area: the compensating stitches."""

from __future__ import annotations

import numpy as np

from kitbuild.pattern.panel import Ints, Stitches


def clipped(x: Ints, top: Ints, bottom: Ints, colour: Ints, row: Ints, course: Ints, rows: int) -> Stitches:
    """Upright stitches shortened to hole rows 1 to `rows`; those wholly outside are dropped.

    A shortened (compensating) stitch keeps its row and its colour. Arrays of any one shape come in, flat
    arrays go out, ordered by course, then column, then hole row; courses are numbered anew from 0.
    """
    arrays = [np.ravel(each).astype(np.int64) for each in (x, top, bottom, colour, row, course)]
    x, top, bottom, colour, row, course = arrays
    top, bottom = np.maximum(top, 1), np.minimum(bottom, rows)
    keep = np.flatnonzero(bottom > top)
    keep = keep[np.lexsort((top[keep], x[keep], course[keep]))]
    _, course = np.unique(course[keep], return_inverse=True)
    x = x[keep]
    return Stitches(x, top[keep], x.copy(), bottom[keep], colour[keep], row[keep], course.astype(np.int64))
