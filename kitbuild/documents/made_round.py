"""A sleeve round its object: the middle column in front and the seam behind, seen a little from above."""

from __future__ import annotations

from itertools import pairwise
from math import pi
from typing import Final

import numpy as np

from kitbuild.documents.faces import (
    BEYOND,
    GROUND_RGB,
    Faces,
    Floats,
    Surface,
    cut_across,
    joined,
    lit_threads,
    plain,
    rectangle,
    threads,
)
from kitbuild.documents.made_look import Look, edging
from kitbuild.spec.piece import RoundObject

#: Plain grey of an object: it has no colour of its own.
OBJECT_RGB: Final = (206, 206, 202)
#: How far a round object's front comes down, as a share of its radius: it is seen a little from above.
RISE: Final = 0.2


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
            edging(edge, each.edge_rgb, wrap),
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
