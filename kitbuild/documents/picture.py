"""The finished piece as a picture: stitches with the look of thread, no grid."""

from __future__ import annotations

import numpy as np

from kitbuild.base.blocks import Figure, Ink, StitchMarks
from kitbuild.pattern.panel import Panel


def picture(
    alt: str,
    panel: Panel,
    inks: tuple[Ink, ...],
    width_mm: float,
    height_mm: float,
    caption: str = "",
) -> Figure:
    """A panel as large as it may be inside `width_mm` by `height_mm`."""
    columns, rows = panel.cover.columns, panel.cover.rows
    hole = min(width_mm / (columns + 1), height_mm / (rows + 1), 6.0)
    work = panel.stitches
    ends = (each.astype(np.float64) for each in (work.x1, work.y1, work.x2, work.y2))
    marks = StitchMarks(*ends, work.colour, inks, (0.0, 0.0), hole, width=0.98, symbols=False, shade=True)
    return Figure(alt, (columns + 1) * hole, (rows + 1) * hole, (marks,), caption)
