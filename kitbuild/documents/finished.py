"""The finished work laid out flat, all pieces of a kit at one scale, for the shop."""

from __future__ import annotations

from collections.abc import Iterator
from math import sqrt
from typing import Final

import numpy as np
from numpy.typing import NDArray

from kitbuild.base.scene import Scene
from kitbuild.documents.job import Job
from kitbuild.pattern.panel import Panel

#: Between pieces and round them, in mm.
GAP_MM: Final = 8.0
#: Breadth of a thread as a share of the pitch.
BREADTH: Final = 0.98
#: The streaks of light and shade along a thread: from, to (shares of its breadth, -0.5 to 0.5), lighter by.
LIGHTS: Final = ((-0.5, 0.5, 0.0), (-0.42, -0.2, -0.18), (0.05, 0.25, 0.28))

Quads = NDArray[np.float64]


def finished(job: Job) -> Scene:
    """All pieces of a kit with their copies, side by side in shelves, as the stitches lie."""
    panels = [each.panel for each in job.amounts.pieces for _ in range(each.panel.piece.copies)]
    places, width_mm, height_mm = _shelves([_size_mm(panel) for panel in panels])
    palette = np.array([colour.thread.rgb for colour in job.amounts.kit.palette], dtype=np.float64)
    drawn = [_threads(panel, place) for panel, place in zip(panels, places, strict=True)]
    bodies = np.concatenate([quads for quads, _ in drawn])
    colours = palette[np.concatenate([colour for _, colour in drawn])]
    quads = np.concatenate([_strip(bodies, start, end) for start, end, _ in LIGHTS])
    rgb = np.concatenate([_lit(colours, by) for _, _, by in LIGHTS])
    return Scene(_alt(job), job.say.language, width_mm, height_mm, quads, rgb)


def _alt(job: Job) -> str:
    """What the picture shows, piece by piece."""

    def told() -> Iterator[str]:
        for each in job.amounts.pieces:
            piece, cover = each.panel.piece, each.panel.cover
            title = job.say("fact.piece", piece=job.own(piece.title), copies=piece.copies)
            yield job.say("picture.alt", piece=title, columns=cover.columns, rows=cover.rows)

    return " ".join(told())


def _size_mm(panel: Panel) -> tuple[float, float]:
    """Width and height of the worked canvas: half a pitch stays beyond the outermost holes."""
    pitch = panel.piece.canvas.pitch_mm
    return panel.cover.columns * pitch, panel.cover.rows * pitch


def _shelves(sizes: list[tuple[float, float]]) -> tuple[list[tuple[float, float]], float, float]:
    """Upper left corner of each size in mm, in rows about as wide as all is high; then width and height."""
    area = sum((width + GAP_MM) * (height + GAP_MM) for width, height in sizes)
    widest = max(max(width for width, _ in sizes), 1.25 * sqrt(area)) + 2 * GAP_MM
    places: list[tuple[float, float]] = []
    x, y, shelf, right = GAP_MM, GAP_MM, 0.0, 0.0
    for width, height in sizes:
        if x > GAP_MM and x + width + GAP_MM > widest:
            x, y, shelf = GAP_MM, y + shelf + GAP_MM, 0.0
        places.append((x, y))
        x, shelf, right = x + width + GAP_MM, max(shelf, height), max(right, x + width)
    return places, right + GAP_MM, y + shelf + GAP_MM


def _threads(panel: Panel, place: tuple[float, float]) -> tuple[Quads, NDArray[np.int64]]:
    """Each stitch of a panel as a four-cornered thread in mm, and its place in the palette; by colour."""
    work, pitch = panel.stitches, panel.piece.canvas.pitch_mm
    order = np.argsort(work.colour, kind="stable")
    one = np.stack([work.x1, work.y1], axis=1)[order] * pitch
    other = np.stack([work.x2, work.y2], axis=1)[order] * pitch
    along = other - one
    along /= np.linalg.norm(along, axis=1, keepdims=True)
    side = np.stack([along[:, 1], -along[:, 0]], axis=1) * (BREADTH * pitch / 2)
    quads = np.stack([one - side, one + side, other + side, other - side], axis=1)
    return quads + np.array(place) - pitch / 2, work.colour[order].astype(np.int64)


def _strip(bodies: Quads, start: float, end: float) -> Quads:
    """The part of each thread between two shares of its breadth, -0.5 to 0.5."""
    left, right = bodies[:, [0, 3]], bodies[:, [1, 2]]
    near, far = (left + (right - left) * (share + 0.5) for share in (start, end))
    return np.stack([near[:, 0], far[:, 0], far[:, 1], near[:, 1]], axis=1)


def _lit(rgb: NDArray[np.float64], by: float) -> NDArray[np.uint8]:
    """Colours nearer to white, or to black where `by` is negative."""
    aim = 255.0 if by > 0 else 0.0
    return np.rint(rgb + (aim - rgb) * abs(by)).astype(np.uint8)
