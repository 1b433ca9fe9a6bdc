"""A box of joined pieces, seen from a corner: two of its walls, its lid where it has one, else into it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import cos, radians, sin
from typing import Final

import numpy as np

from kitbuild.documents.faces import BEYOND, Faces, Floats, Surface, joined, plain, rectangle
from kitbuild.documents.made_look import Look, worked
from kitbuild.quantity.finishing import ALL_EDGES
from kitbuild.spec.piece import Edge, Piece
from kitbuild.spec.records import Kit

#: The nearest corner is so many degrees round from the front, and the eye so many degrees above.
ROUND: Final = radians(35)
ABOVE: Final = radians(25)
FRONT_WAY: Final = np.array([cos(ROUND), sin(ROUND) * sin(ABOVE)])
SIDE_WAY: Final = np.array([sin(ROUND), -cos(ROUND) * sin(ABOVE)])
DOWN_WAY: Final = np.array([0.0, cos(ABOVE)])
#: Light on the front, on the side and on the lid, and the wrong side of the walls.
FRONT_LIGHT, SIDE_LIGHT, LID_LIGHT = 1.0, 0.8, 1.06
#: How far the thread of a join is seen beyond a wall, in pitches: no farther than leaves the next one whole.
SEAM: Final = 0.12
LINING_RGB: Final = (150, 143, 132)


@dataclass(frozen=True, slots=True)
class Walls:
    """A box's parts: the wall in front, the one to its right, and the lid with the edge joined to the front.

    `keys` are all pieces that went into it.
    """

    front: Piece
    side: Piece
    lid: Piece | None
    lid_edge: Edge
    keys: frozenset[str]


def walls_of(kit: Kit) -> Walls | None:
    """The box that a kit's joins make; None where no right edge is joined to a left one."""
    pieces = {piece.key: piece for piece in kit.pieces}
    ends = [pair for join in kit.joins for pair in ((join.one, join.other), (join.other, join.one))]
    beside = {one[0]: other[0] for one, other in ends if (one[1], other[1]) == ("right", "left")}
    if not beside:
        return None
    front = next(key for key in pieces if key in beside)
    lids = [(other[0], other[1]) for one, other in ends if one == (front, "top") and other[0] not in beside]
    lid_key, lid_edge = min(lids, key=lambda each: each[1] != "bottom", default=("", "bottom"))
    keys = frozenset(end[0] for pair in ends for end in pair)
    return Walls(pieces[front], pieces[beside[front]], pieces.get(lid_key), lid_edge, keys)


def box(looks: dict[str, Look], walls: Walls) -> Faces:
    """The box from the corner between its front and its side; (0, 0) is that corner's upper end."""
    front, side = looks[walls.front.key], looks[walls.side.key]
    wide, deep = front.area_mm[0], side.area_mm[0]
    parts = list(_inside(front, side)) if walls.lid is None else []
    if walls.lid:
        top = _plane(FRONT_WAY, -SIDE_WAY, deep * SIDE_WAY - wide * FRONT_WAY, LID_LIGHT)
        lid = looks[walls.lid.key]
        parts.append(worked(lid, _turned(top, walls.lid_edge, lid.area_mm), dict.fromkeys(ALL_EDGES, SEAM)))
    rim = SEAM if walls.lid else BEYOND
    beyond: dict[Edge, float] = {"top": rim, "right": SEAM, "bottom": BEYOND, "left": SEAM}
    fronts = _plane(FRONT_WAY, DOWN_WAY, -wide * FRONT_WAY, FRONT_LIGHT)
    sides = _plane(SIDE_WAY, DOWN_WAY, np.zeros(2), SIDE_LIGHT)
    return joined([*parts, worked(side, sides, beyond), worked(front, fronts, beyond)])


def _plane(across: Floats, down: Floats, start: Floats, light: float) -> Surface:
    """A flat wall: where its upper left corner is seen, and which way its columns and rows go."""

    def surface(points: Floats) -> tuple[Floats, Floats]:
        seen = start + points[..., :1] * across + points[..., 1:] * down
        return seen, np.full(points.shape[:-1], light)

    return surface


def _turned(surface: Surface, edge: Edge, area_mm: tuple[float, float]) -> Surface:
    """The same surface for a piece that lies on it with another edge to the front than its lower one."""
    width, height = area_mm

    def turned(points: Floats) -> tuple[Floats, Floats]:
        u, v = points[..., 0], points[..., 1]
        ways = {
            "bottom": (u, v),
            "top": (width - u, height - v),
            "right": (height - v, u),
            "left": (v, width - u),
        }
        return surface(np.stack(ways[edge], axis=-1))

    return turned


def _inside(front: Look, side: Look) -> Iterator[Faces]:
    """The wrong sides of the two walls behind, with the thread over their upper edges."""
    wide, deep, high = front.area_mm[0], side.area_mm[0], front.area_mm[1]
    corner = -wide * FRONT_WAY
    behind = _plane(FRONT_WAY, DOWN_WAY, corner + deep * SIDE_WAY, 0.92)
    left = _plane(SIDE_WAY, DOWN_WAY, corner, 0.72)
    for surface, long, light, each in ((left, deep, 0.72, side), (behind, wide, 0.92, front)):
        wall, _ = surface(np.array([rectangle(0, 0, long, high)]))
        yield plain(wall, np.array(LINING_RGB) * light)
        rim, _ = surface(np.array([rectangle(0, -BEYOND * each.pitch, long, 0.5 * each.pitch)]))
        yield plain(rim, each.edges["top"] * light)
