"""A piece as it is used: round its object, as a cushion, in a frame, hung up, or lying on a table."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from itertools import pairwise
from math import cos, pi, radians, sin
from typing import Final

import numpy as np

from kitbuild.documents.faces import (
    BEYOND,
    Faces,
    Floats,
    Surface,
    flatly,
    joined,
    overcast,
    plain,
    rectangle,
)
from kitbuild.documents.made_look import Look, worked
from kitbuild.documents.made_round import sleeve
from kitbuild.quantity.finishing import ALL_EDGES
from kitbuild.spec.piece import Edge, FinishKind

#: A frame's wood, a cushion's back: neither has a colour of its own.
FRAME_RGB: Final = (178, 158, 132)
BACKING_RGB: Final = (150, 142, 130)
#: A lying piece is seen from so many degrees above the table, from so many times its longer side away.
ABOVE: Final = radians(55)
AWAY: Final = 5.0
FRAME_MM: Final = 16.0
#: How far a cushion's sides are drawn in at their middle, as a share of half its side.
DRAWN_IN: Final = 0.07
PIPING_MM: Final = 2.5
LOOP_MM: Final = 1.4
#: How far edges' thread lies beyond the worked canvas, in pitches: all round.
EDGED: Final[Mapping[Edge, float]] = dict.fromkeys(ALL_EDGES, BEYOND)


def cushion(each: Look) -> Faces:
    """A filled square: its sides drawn in, its middle towards the eye, its back as a piping round it."""
    width, height = each.area_mm
    halves = np.array([width / 2, height / 2])

    def surface(points: Floats) -> tuple[Floats, Floats]:
        across, down = np.moveaxis((points - halves) / halves, -1, 0)
        x = across * (1 - DRAWN_IN * (1 - down**2))
        y = down * (1 - DRAWN_IN * (1 - across**2))
        light = 1.02 - 0.14 * (across**3 + down**3) - 0.09 * (across**2 + down**2)
        return np.stack([x, y], axis=-1) * halves, light

    steps = np.linspace(-PIPING_MM, width + PIPING_MM, 41)
    ends = np.linspace(-PIPING_MM, height + PIPING_MM, 41)
    back = [
        rectangle(a, c, b, d)
        for a, b in pairwise(steps.tolist())
        for c, d in pairwise(ends.tolist())
        if not (a > 0 and b < width and c > 0 and d < height)
    ]
    seen, light = surface(np.array(back))
    piping = plain(seen, np.array(BACKING_RGB) * light.mean(axis=1)[:, None])
    return joined([piping, worked(each, surface, step_mm=8 * each.pitch)])


def framed(each: Look) -> Faces:
    """Behind a plain frame with mitred corners, lit from the upper left."""
    width, height = each.area_mm
    top, bottom = each.pitch / 2, height - each.pitch / 2
    inner = rectangle(0, top, width, bottom)
    outer = rectangle(-FRAME_MM, top - FRAME_MM, width + FRAME_MM, bottom + FRAME_MM)
    sides = [[outer[n], outer[(n + 1) % 4], inner[(n + 1) % 4], inner[n]] for n in range(4)]
    lights = np.array([1.08, 0.86, 0.8, 1.0])[:, None]
    lip = rectangle(-0.8, top - 0.8, width + 0.8, bottom + 0.8)
    return joined(
        [
            plain(np.array(sides), np.array(FRAME_RGB) * lights),
            plain(np.array([lip]), (70, 60, 50)),
            worked(each, flatly),
        ]
    )


def ornament(each: Look) -> Faces:
    """Hanging by its loop, the edge overcast through its backing."""
    filled = np.array(each.panel.piece.outline or [(1, 1)] * each.panel.piece.columns)
    middle = (each.panel.piece.columns - 1) // 2
    x, y = (middle + 0.5) * each.pitch, (max(1, filled[middle, 0]) - 1) * each.pitch
    if not each.panel.piece.columns % 2:
        x += each.pitch / 2
    return joined(
        [_loop(x, y, each.edge_rgb, max(18.0, 0.35 * each.area_mm[1])), worked(each, flatly, EDGED)]
    )


def _loop(x: float, y: float, rgb: Floats, high: float) -> Faces:
    """A loop of thread that rises `high` mm from a point and comes back to it."""
    turn = np.linspace(0, 2 * pi, 49)
    half = turn / 2
    path = np.stack(
        [x + 0.3 * high * np.sin(turn) * np.sin(half), y + 2 - (high + 2) * (1 - np.cos(turn)) / 2], axis=1
    )
    along = np.gradient(path, axis=0)
    along /= np.maximum(np.linalg.norm(along, axis=1, keepdims=True), 1e-9)
    side = np.stack([along[:, 1], -along[:, 0]], axis=1) * LOOP_MM / 2
    left, right = path - side, path + side
    return plain(np.stack([left[:-1], right[:-1], right[1:], left[1:]], axis=1), rgb * 0.88)


def lying(each: Look) -> Faces:
    """On a table, seen from the front and above; all copies in one pile."""
    piece = each.panel.piece
    width, height = each.area_mm
    away = AWAY * max(width, height)
    deep = piece.canvas.thickness_mm + 2.0
    drop = deep * cos(ABOVE)

    def layer(below: float) -> Surface:
        def surface(points: Floats) -> tuple[Floats, Floats]:
            across, near = points[..., 0] - width / 2, points[..., 1] - height / 2
            larger = away / (away - near * cos(ABOVE))
            seen = np.stack([across * larger, near * sin(ABOVE) * larger + below], axis=-1)
            return seen, np.ones(points.shape[:-1])

        return surface

    around = overcast(piece)
    parts = []
    for below in range(piece.copies, 0, -1):
        under = layer(below * drop)(around)[0]
        outline = np.concatenate([under[:, [0, 1]], under[:, [1, 2]]])
        for share, tone in ((1.0, 0.5), (0.7, 0.8)):  # a shadow between one piece and the next
            lower, upper = outline - (0, (1 - share) * drop), outline[:, ::-1] - (0, drop)
            parts.append(plain(np.concatenate([lower, upper], axis=1), each.edge_rgb * tone))
    return joined([*parts, worked(each, layer(0.0), EDGED)])


SHAPES: Final[dict[FinishKind, Callable[[Look], Faces]]] = {
    "sleeve": sleeve,
    "cushion": cushion,
    "framed": framed,
    "ornament": ornament,
    "flat": lying,
    "box": lying,
}
"""How each kind of finish is shown; pieces that are joined to a box are shown as that instead."""
