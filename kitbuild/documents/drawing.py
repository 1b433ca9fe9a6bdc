"""What all diagrams are drawn with: a small grid, stitches on it, runs on the back, numbered holes."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from kitbuild.base.blocks import Figure, Floats, LineMarks, Mark, PolygonMark, StitchMarks, TextMark
from kitbuild.base.colour import BLACK, WHITE, Rgb
from kitbuild.documents.job import Job

BAR: Rgb = (205, 205, 205)
BACK: Rgb = (90, 90, 90)
SHADE: Rgb = (225, 225, 225)
_ANCHORS = {"start": "end", "middle": "middle", "end": "start"}


def for_hand(job: Job, figure: Figure) -> Figure:
    """A figure of hands at work: as it is for the right hand, its mirror image for the left."""
    return mirrored(figure) if job.left else figure


def mirrored(figure: Figure) -> Figure:
    """A figure with left and right exchanged."""
    return replace(figure, marks=tuple(_mirrored(mark, figure.width_mm) for mark in figure.marks))


def _mirrored(mark: Mark, width_mm: float) -> Mark:
    """A mark with left and right exchanged; words still read from left to right."""
    match mark:
        case LineMarks():
            ends = mark.ends_mm * np.array([-1.0, 1, -1, 1]) + np.array([width_mm, 0, width_mm, 0])
            return replace(mark, ends_mm=ends)
        case PolygonMark():
            return replace(mark, points_mm=tuple((width_mm - x, y) for x, y in mark.points_mm))
        case TextMark():
            anchor = _ANCHORS[mark.anchor]
            return replace(mark, x_mm=width_mm - mark.x_mm, anchor=anchor)  # type: ignore[arg-type]
        case _:
            origin = (width_mm - mark.origin_mm[0], mark.origin_mm[1])
            return replace(mark, x1=-mark.x2, x2=-mark.x1, origin_mm=origin)


def grid(columns: int, rows: int, hole: float) -> Floats:
    """Bars of a small grid whose left upper corner is the figure's."""
    upright = [(at * hole, 0, at * hole, rows * hole) for at in range(columns + 1)]
    across = [(0, at * hole, columns * hole, at * hole) for at in range(rows + 1)]
    return np.array([*upright, *across], dtype=np.float64)


def stitches(
    job: Job,
    ends: list[tuple[int, int, int, int]],
    colours: list[int],
    hole: float,
    width: float = 0.6,
    *,
    symbols: bool = False,
    origin: tuple[float, float] | None = None,
) -> StitchMarks:
    """Stitches on a small grid; hole 1 has its middle half a hole in."""
    x1, y1, x2, y2 = (np.array(each, dtype=np.float64) for each in zip(*ends, strict=True))
    start = origin or (-hole / 2, -hole / 2)
    return StitchMarks(x1, y1, x2, y2, np.array(colours), job.inks, start, hole, width, symbols)


def back_runs(ends: list[tuple[int, int, int, int]], previous: list[int], hole: float) -> Floats:
    """Lines on the back: to each up hole from the down hole of the stitch before it in the same start."""
    pairs = [(ends[before], end) for before, end in zip(previous, ends, strict=True) if before >= 0]
    runs = [(a[2] - 0.5, a[3] - 0.5, b[0] - 0.5, b[1] - 0.5) for a, b in pairs]
    return np.array(runs, dtype=np.float64).reshape(-1, 4) * hole


def numbered_hole(x: int, y: int, number: int, hole: float) -> list[Mark]:
    """A number on a white disc at a hole."""
    middle_x, middle_y, radius = (x - 0.5) * hole, (y - 0.5) * hole, min(2.1, hole * 0.36)
    turn = [math.tau * at / 24 for at in range(24)]
    disc = tuple((middle_x + radius * math.cos(a), middle_y + radius * math.sin(a)) for a in turn)
    return [
        PolygonMark(disc, fill=WHITE, outline=BLACK, pen_mm=0.25),
        TextMark(middle_x, middle_y + radius * 0.45, str(number), radius * 3.6, "middle", bold=True),
    ]
