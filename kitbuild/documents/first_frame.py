"""The frame round the first stitch of the work: black between white lines, to show on all colours."""

from __future__ import annotations

from typing import Final

import numpy as np

from kitbuild.base.blocks import PolygonMark
from kitbuild.base.colour import BLACK, WHITE, Rgb
from kitbuild.documents.window import Window

BESIDE: Final = 0.52
"""How far from the middle line of the stitch its frame runs, in holes: between it and its neighbours."""
BEYOND: Final = 0.04
"""How far beyond the ends of the stitch its frame runs, in holes."""
LAYERS: Final[tuple[tuple[float, Rgb], ...]] = ((0.26, BLACK), (0.22, WHITE), (0.12, BLACK))
"""Lines one over the other: breadth in holes, colour."""
MOST_MM: Final = 4.5
"""Lines grow no more with holes that are larger."""


def frame(window: Window, stitch: tuple[int, int, int, int]) -> list[PolygonMark]:
    """A frame close round a stitch (x1, y1, x2, y2), where the window shows it whole."""
    x1, y1, x2, y2 = stitch
    first, last = (np.flatnonzero(window.columns == x) for x in (x1, x2))
    if not len(first) or not len(last) or y1 < window.top or y2 > window.bottom:
        return []
    beside, beyond = BESIDE * window.hole_mm, BEYOND * window.hole_mm
    across, along = (beside, beyond) if x1 == x2 else (beyond, beside)
    left, right = window.x_mm(int(first[0]) + 1) - across, window.x_mm(int(last[0]) + 1) + across
    top, bottom = window.y_mm(y1) - along, window.y_mm(y2) + along
    corners = ((left, top), (right, top), (right, bottom), (left, bottom))
    pen = min(window.hole_mm, MOST_MM)
    return [PolygonMark(corners, outline=rgb, pen_mm=breadth * pen) for breadth, rgb in LAYERS]
