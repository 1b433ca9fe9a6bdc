"""A piece as it is used: round its object, as a cushion, in a frame, hung up, or lying on a table."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from itertools import pairwise
from math import cos, pi, radians, sin
from typing import Final

import numpy as np

from kitbuild.documents.faces import (
    BEYOND,
    CANVAS_RGB,
    GROUND_RGB,
    Faces,
    Floats,
    Surface,
    cut_across,
    flatly,
    ground,
    joined,
    lit_threads,
    overcast,
    plain,
    rectangle,
    threads,
)
from kitbuild.pattern.panel import Panel
from kitbuild.quantity.finishing import ALL_EDGES
from kitbuild.spec.records import Edge, FinishKind, Kit, RoundObject

#: Plain grey of an object, a frame's wood, a cushion's back: none of them has a colour of its own.
OBJECT_RGB: Final = (206, 206, 202)
FRAME_RGB: Final = (178, 158, 132)
BACKING_RGB: Final = (150, 142, 130)
#: How far a round object's front comes down, as a share of its radius: it is seen a little from above.
RISE: Final = 0.2
#: A lying piece is seen from so many degrees above the table, from so many times its longer side away.
ABOVE: Final = radians(55)
AWAY: Final = 5.0
FRAME_MM: Final = 16.0
#: How far a cushion's sides are drawn in at their middle, as a share of half its side.
DRAWN_IN: Final = 0.07
PIPING_MM: Final = 2.5
LOOP_MM: Final = 1.4
#: How far edges' thread lies beyond the worked canvas, in pitches: nowhere, and all round.
NO_EDGE: Final[Mapping[Edge, float]] = {}
EDGED: Final[Mapping[Edge, float]] = dict.fromkeys(ALL_EDGES, BEYOND)


@dataclass(frozen=True, slots=True, eq=False)
class Look:
    """A piece to be drawn: `palette` is (colours, 3), `edges` the colour over each edge."""

    panel: Panel
    palette: Floats
    edges: Mapping[Edge, Floats]

    @property
    def edge_rgb(self) -> Floats:
        """Of a piece that has the same all round."""
        return self.edges["top"]

    @property
    def pitch(self) -> float:
        """Of its canvas, in mm."""
        return self.panel.piece.canvas.pitch_mm

    @property
    def area_mm(self) -> tuple[float, float]:
        """Width and height of its worked canvas: half a pitch stays beyond the outermost holes."""
        return self.panel.piece.columns * self.pitch, self.panel.piece.rows * self.pitch


def look(kit: Kit, panel: Panel) -> Look:
    """A piece with the colours of its kit: over each edge that of its finish, or that it is joined with."""
    piece = panel.piece
    palette = np.array([colour.thread.rgb for colour in kit.palette], dtype=np.float64)
    keys: dict[Edge, str] = dict.fromkeys(piece.finish.edges or ALL_EDGES, piece.finish.colour)
    for join in kit.joins:
        keys |= {edge: join.colour for key, edge in (join.one, join.other) if key == piece.key}
    bare = np.array(CANVAS_RGB, dtype=np.float64)
    colours = {edge: keys.get(edge, "") for edge in ALL_EDGES}
    edges = {edge: palette[kit.colour_index(key)] if key else bare for edge, key in colours.items()}
    return Look(panel, palette, edges)


def worked(
    each: Look, surface: Surface, beyond: Mapping[Edge, float] = NO_EDGE, step_mm: float = 1000.0
) -> Faces:
    """A piece on a surface: its ground, the thread over some of its edges, and its stitches on top.

    `beyond` says of these edges how far their thread lies beyond the worked canvas, in pitches.
    """
    bodies, colour = threads(each.panel)
    alike: dict[tuple[float, ...], list[Edge]] = {}
    for edge, far in beyond.items():
        alike.setdefault((far, *each.edges[edge]), []).append(edge)
    over = [
        _edging(overcast(each.panel.piece, some, far), np.array(rgb), surface)
        for (far, *rgb), some in alike.items()
    ]
    stitches = lit_threads(bodies, each.palette[colour], surface)
    return joined([ground(each.panel, surface, step_mm), *over, stitches])


def _edging(around: Floats, rgb: Floats, surface: Surface) -> Faces:
    return lit_threads(around, np.broadcast_to(rgb, (len(around), 3)), surface)


def sleeve(each: Look) -> Faces:
    """Round its object, the middle column in front and the seam behind; seen a little from above."""
    piece = each.panel.piece
    radius = (piece.columns + piece.finish.overlap) * each.pitch / (2 * pi)
    width, height = each.area_mm
    beyond = (piece.finish.kept_rows + BEYOND) * each.pitch
    wrap = _round(radius, width / 2)
    half = radius * pi / 2

    def front(quads: Floats) -> Floats:
        kept = quads[np.abs(quads.mean(axis=1)[:, 0] - width / 2) < half]
        return np.clip(kept, (width / 2 - half, -np.inf), (width / 2 + half, np.inf))

    columns = np.arange(piece.columns + 1) * each.pitch
    back = np.array([rectangle(a, 0, b, height) for a, b in pairwise(columns.tolist())])
    bodies, colour = threads(each.panel)
    bodies, colour = cut_across(bodies, colour, each.pitch)
    seen = np.abs(bodies.mean(axis=1)[:, 0] - width / 2) < half
    bands = np.concatenate(
        [
            _band(columns, -beyond, 0.5 * each.pitch),
            _band(columns, height + beyond, height - 0.5 * each.pitch),
        ]
    )
    inside, ground_rgb = front(back), np.array(GROUND_RGB)
    seen_ground, light = wrap(inside)
    edge = front(bands)
    return joined(
        [
            *_opening(radius, -beyond),
            *_object(piece.goes_round, height / 2),
            plain(seen_ground, ground_rgb * light.mean(axis=1)[:, None]),
            _edging(edge, each.edge_rgb, wrap),
            lit_threads(front(bodies[seen]), each.palette[colour[seen]], wrap),
        ]
    )


def _round(radius: float, middle: float) -> Surface:
    """A cylinder of so many mm, `middle` in front; the light comes from the left."""

    def surface(points: Floats) -> tuple[Floats, Floats]:
        angle = (points[..., 0] - middle) / radius
        seen = np.stack([radius * np.sin(angle), points[..., 1] + RISE * radius * np.cos(angle)], axis=-1)
        return seen, 0.72 + 0.3 * np.cos(angle + 0.4)

    return surface


def _band(columns: Floats, outer: float, inner: float) -> Floats:
    """One overcast stitch a column, from the cut edge to its hole."""
    return np.array([rectangle(a, outer, b, inner) for a, b in pairwise(columns.tolist())])


def _ellipse(radius: float, y: float, rgb: tuple[int, ...]) -> Faces:
    """A round face seen from above, its middle at height `y`, as strips side by side."""
    angle = np.linspace(-pi / 2, pi / 2, 49)
    x, deep = radius * np.sin(angle), RISE * radius * np.cos(angle)
    corners = zip(x, x[1:], deep, deep[1:], strict=False)
    quads = [
        [(a, y - p), (min(b + 0.2, radius), y - q), (min(b + 0.2, radius), y + q), (a, y + p)]
        for a, b, p, q in corners
    ]
    return plain(np.array(quads), rgb)


def _opening(radius: float, y: float) -> list[Faces]:
    """The wrong side of a sleeve, seen through its opening."""
    return [_ellipse(radius, y, (92, 87, 80))]


def _object(around: RoundObject | None, middle: float) -> list[Faces]:
    """A plain cylinder, its middle at height `middle`, with its lid and the lid's rim."""
    if around is None:
        return []
    radius, high = around.diameter_mm / 2, around.height_mm
    wrap = _round(radius, 0.0)
    u = np.linspace(-pi / 2, pi / 2, 61) * radius
    top, bottom = middle - high / 2, middle + high / 2
    overlap = radius * pi / 120
    walls = np.array([rectangle(a, top, min(b + overlap, u[-1]), bottom) for a, b in pairwise(u.tolist())])
    seen, light = wrap(walls)
    grey = np.array(OBJECT_RGB)
    return [
        plain(seen, grey * light.mean(axis=1)[:, None]),
        _ellipse(radius, top, (168, 168, 164)),
        _ellipse(radius - 1.6, top, (226, 226, 222)),
    ]


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
