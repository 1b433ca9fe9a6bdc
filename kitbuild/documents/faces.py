"""What pictures for the shop are drawn of: threads and edges as faces in mm, and their light."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from itertools import pairwise
from math import sqrt
from typing import Final

import numpy as np
from numpy.typing import NDArray

from kitbuild.pattern.panel import Panel
from kitbuild.quantity.finishing import ALL_EDGES
from kitbuild.spec.piece import Edge, Piece

Quads = NDArray[np.float64]
Floats = NDArray[np.float64]
Rgbs = NDArray[np.uint8]
Surface = Callable[[Floats], tuple[Floats, Floats]]
"""Points of a piece in mm, (..., 2), from the upper left of its worked canvas -> where they are seen, in mm,
and how light it is there, 1 for the thread's own colour."""

#: Between pieces and round them, in mm.
GAP_MM: Final = 8.0
#: Breadth of a thread as a share of the pitch.
BREADTH: Final = 0.98
#: The streaks of light and shade along a thread: from, to (shares of its breadth, -0.5 to 0.5), lighter by.
LIGHTS: Final = ((-0.5, 0.5, 0.0), (-0.42, -0.2, -0.18), (0.05, 0.25, 0.28))
#: How far overcast thread lies beyond the worked canvas, as a share of the pitch.
BEYOND: Final = 0.45
#: Steps of light from black to a thread's own colour: equal colours that follow each other are one path.
STEPS: Final = 40
#: The ground behind stitches, which shows between them alone, and canvas that has none.
GROUND_RGB: Final = (64, 60, 54)
CANVAS_RGB: Final = (232, 227, 214)


@dataclass(frozen=True, slots=True, eq=False)
class Faces:
    """Faces in painter's order: `quads` is (n, 4, 2) in mm, `rgb` is (n, 3)."""

    quads: Quads
    rgb: Rgbs

    @property
    def size_mm(self) -> tuple[float, float]:
        """Width and height of all that is drawn."""
        width, height = np.ptp(self.quads.reshape(-1, 2), axis=0).tolist()
        return width, height

    def at(self, left_mm: float, top_mm: float) -> Faces:
        """The same faces with their upper left corner there."""
        return Faces(self.quads - self.quads.min(axis=(0, 1)) + (left_mm, top_mm), self.rgb)


def joined(parts: Iterable[Faces]) -> Faces:
    """All faces of several parts, the later ones on top."""
    all_parts = list(parts)
    quads = np.concatenate([part.quads for part in all_parts])
    return Faces(quads, np.concatenate([part.rgb for part in all_parts]))


def plain(quads: Floats, rgb: tuple[int, ...] | Floats) -> Faces:
    """Faces of one colour, or of a colour each, without streaks; colours beyond 255 are white."""
    tones = np.broadcast_to(np.asarray(rgb, dtype=np.float64), (len(quads), 3))
    return Faces(np.asarray(quads, dtype=np.float64), np.rint(np.clip(tones, 0, 255)).astype(np.uint8))


def shelves(sizes: list[tuple[float, float]]) -> tuple[list[tuple[float, float]], float, float]:
    """Upper left corner of each size in mm, in rows about as wide as all is high; then width and height.

    Each row stands in the middle of the width.
    """
    area = sum((width + GAP_MM) * (height + GAP_MM) for width, height in sizes)
    widest = max(max(width for width, _ in sizes), 1.25 * sqrt(area)) + 2 * GAP_MM
    rows: list[list[tuple[float, float]]] = [[]]
    for size in sizes:
        if rows[-1] and _across([*rows[-1], size]) > widest:
            rows.append([])
        rows[-1].append(size)
    right = max(_across(row) for row in rows)
    places: list[tuple[float, float]] = []
    y = GAP_MM
    for row in rows:
        x = GAP_MM + (right - _across(row)) / 2
        for width, _ in row:
            places.append((x, y))
            x += width + GAP_MM
        y += max(height for _, height in row) + GAP_MM
    return places, right, y


def _across(row: list[tuple[float, float]]) -> float:
    """Width of a shelf with the gaps round and between its sizes."""
    return sum(width + GAP_MM for width, _ in row) + GAP_MM


def threads(panel: Panel) -> tuple[Quads, NDArray[np.int64]]:
    """Each stitch of a panel as a four-cornered thread in mm, and its place in the palette; by colour."""
    work, pitch = panel.stitches, panel.piece.canvas.pitch_mm
    order = np.argsort(work.colour, kind="stable")
    one = np.stack([work.x1, work.y1], axis=1)[order] * pitch
    other = np.stack([work.x2, work.y2], axis=1)[order] * pitch
    along = other - one
    along /= np.linalg.norm(along, axis=1, keepdims=True)
    side = np.stack([along[:, 1], -along[:, 0]], axis=1) * (BREADTH * pitch / 2)
    quads = np.stack([one - side, one + side, other + side, other - side], axis=1)
    return quads - pitch / 2, work.colour[order].astype(np.int64)


def cut_across(
    bodies: Quads, colour: NDArray[np.int64], longest_mm: float
) -> tuple[Quads, NDArray[np.int64]]:
    """Threads in lengths of which none goes further sideways than so many mm, for a surface that is bent."""
    run = np.abs(bodies[:, 3] - bodies[:, 0])[:, 0]
    count = np.maximum(1, np.ceil(run / longest_mm - 1e-9)).astype(np.int64)
    which = np.repeat(np.arange(len(bodies)), count)
    first = np.cumsum(count) - count
    at = (np.arange(len(which)) - first[which])[:, None]
    share = count[which][:, None]
    start, end = bodies[which][:, [0, 1]], bodies[which][:, [3, 2]]
    near, far = (start + (end - start) * ((at + step) / share)[:, :, None] for step in (0, 1))
    return np.stack([near[:, 0], near[:, 1], far[:, 1], far[:, 0]], axis=1), colour[which]


def lit_threads(bodies: Quads, rgb: Floats, surface: Surface) -> Faces:
    """Threads on a surface, with the light there and with their streaks; `rgb` is (n, 3)."""
    _, light = surface(bodies.mean(axis=1))
    shaded = rgb * (np.rint(light * STEPS) / STEPS)[:, None]
    order = np.lexsort(np.rint(shaded).T[::-1])
    parts = [
        plain(surface(_strip(bodies[order], start, end))[0], _lit(np.clip(shaded[order], 0, 255), by))
        for start, end, by in LIGHTS
    ]
    return joined(parts)


def flatly(points: Floats) -> tuple[Floats, Floats]:
    """A piece as it lies, in its own colours."""
    return points, np.ones(points.shape[:-1])


def ground(panel: Panel, surface: Surface, step_mm: float = 1000.0) -> Faces:
    """What lies behind the stitches, one strip a column, in lengths of at most `step_mm`."""
    pitch, filled = panel.piece.canvas.pitch_mm, holes(panel.piece)
    strips = []
    for column in np.flatnonzero(filled.any(axis=0)).tolist():
        rows = np.flatnonzero(filled[:, column])
        top, bottom = (rows[0] + 0.5) * pitch, (rows[-1] + 0.5) * pitch
        ends = np.linspace(top, bottom, 1 + max(1, int(np.ceil((bottom - top) / step_mm))))
        strips += [rectangle(column * pitch, y, (column + 1) * pitch, z) for y, z in pairwise(ends.tolist())]
    seen, light = surface(np.array(strips))
    rgb = np.array(GROUND_RGB if len(panel.stitches) else CANVAS_RGB)
    return plain(seen, rgb * light.mean(axis=1)[:, None])


def rectangle(left: float, top: float, right: float, bottom: float) -> list[tuple[float, float]]:
    """A rectangle's corners from the upper left, clockwise."""
    return [(left, top), (right, top), (right, bottom), (left, bottom)]


def holes(piece: Piece) -> NDArray[np.bool_]:
    """Which holes of a piece are within its outline, shape (rows, columns)."""
    row = np.arange(1, piece.rows + 1)[:, None]
    if not piece.outline:
        return np.ones((piece.rows, piece.columns), dtype=np.bool_)
    first, last = np.array(piece.outline).T
    inside: NDArray[np.bool_] = (first > 0) & (first <= row) & (row <= last)
    return inside


#: To the neighbour on each side: rows, columns; and by how many quarter turns that side comes from the top.
_SIDES: Final[dict[Edge, tuple[int, int, int]]] = {
    "top": (-1, 0, 0),
    "right": (0, 1, 1),
    "bottom": (1, 0, 2),
    "left": (0, -1, 3),
}


def overcast(piece: Piece, edges: Iterable[Edge] = ALL_EDGES, beyond: float = BEYOND) -> Quads:
    """The thread over the edges of a piece, one stitch a hole, and one more in each outside corner, in mm."""
    around = np.pad(holes(piece), 1)
    bare: dict[Edge, NDArray[np.bool_]] = {}
    found = []
    for edge in edges:
        down, across, turns = _SIDES[edge]
        beside = np.roll(around, (-down, -across), axis=(0, 1))
        bare[edge] = (around & ~beside)[1:-1, 1:-1]
        stitch = [(-0.5, -0.5 - beyond), (0.5, -0.5 - beyond), (0.5, 0.0), (-0.5, 0.0)]
        found.append(_at(bare[edge], stitch, turns))
    for edge, after in pairwise((*ALL_EDGES, ALL_EDGES[0])):
        if edge in bare and after in bare:
            rounded = [(0.5, -0.5 - beyond), (0.5 + 0.72 * beyond, -0.5 - 0.72 * beyond)]
            corner = [*rounded, (0.5 + beyond, -0.5), (0.5, -0.5)]
            found.append(_at(bare[edge] & bare[after], corner, _SIDES[edge][2]))
    return np.concatenate(found) * piece.canvas.pitch_mm if found else np.zeros((0, 4, 2))


def _at(which: NDArray[np.bool_], corners: list[tuple[float, float]], turns: int) -> Quads:
    """A shape round a hole's middle, turned clockwise by so many quarters, at some holes; in pitches."""
    x, y = np.array(corners).T
    for _ in range(turns):
        x, y = -y, x
    row, column = np.nonzero(which)
    return np.stack([column, row], axis=1)[:, None, :] + 0.5 + np.stack([x, y], axis=1)[None]


def _strip(bodies: Quads, start: float, end: float) -> Quads:
    """The part of each thread between two shares of its breadth, -0.5 to 0.5."""
    left, right = bodies[:, [0, 3]], bodies[:, [1, 2]]
    near, far = (left + (right - left) * (share + 0.5) for share in (start, end))
    return np.stack([near[:, 0], far[:, 0], far[:, 1], near[:, 1]], axis=1)


def _lit(rgb: Floats, by: float) -> Floats:
    """Colours nearer to white, or to black where `by` is negative."""
    aim = 255.0 if by > 0 else 0.0
    return rgb + (aim - rgb) * abs(by)
