"""Whether a part fits the small-parts cylinder of 16 CFR 1501.4 in any way that it can be turned.

The cylinder is 31.75 mm across; its bottom slants at 45 degrees, 57.15 mm below the rim on one side
(published, in inches: they govern) and 25.40 mm on the other (from memory, not read again). A thick part that
misses the limit by less than a hair is taken to fit: it is better named.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Final

import numpy as np

from kitbuild.base.blocks import Floats
from kitbuild.spec.materials import Part

ACROSS_MM: Final = 31.75
DEEP_MM: Final = 57.15
SHALLOW_MM: Final = 25.40
BALL_MM: Final = 44.45
"""A small ball passes a round hole of this width: 16 CFR 1500.19(a)(2)."""

_HAIR_MM: Final = 0.05
_STARTS, _KEPT, _ROUNDS, _TRIES = 1000, 12, 26, 12
_SIDES: Final = 24


@lru_cache(maxsize=512)
def fits(part: Part) -> bool:
    """Whether a part fits the cylinder as a whole, turned as one likes, without being pressed together."""
    size = part.size_mm
    if part.shape == "sphere":
        return size[0] <= ACROSS_MM
    if part.shape == "box":
        return _fits_turned(_box(*size))
    along, thick = _rod(part)
    if thick > ACROSS_MM:
        return False
    if not thick:
        return along <= math.hypot(ACROSS_MM, DEEP_MM)
    return not along or _fits_turned(_round(along, thick))


def is_small_ball(part: Part) -> bool:
    """Whether a part is a ball that passes the template for small balls."""
    return part.shape == "sphere" and part.size_mm[0] <= BALL_MM


def _rod(part: Part) -> tuple[float, float]:
    """Length and diameter of a rod, and of a disc, which is a short one; 0 for what is not told."""
    first, second = (*part.size_mm, 0.0)[:2]
    return (first, second) if part.shape == "rod" else (second, first)


def _box(*edges_mm: float) -> Floats:
    """The corners of a box round its middle."""
    signs = np.array(np.meshgrid((-1, 1), (-1, 1), (-1, 1))).reshape(3, -1).T
    return np.asarray(signs * np.array(edges_mm) / 2, dtype=np.float64)


def _round(along_mm: float, thick_mm: float) -> Floats:
    """Points of both ends of a rod, round its middle; there are two opposite to each other at each end."""
    angles = np.arange(_SIDES) * 2 * math.pi / _SIDES
    ring = np.stack([np.cos(angles), np.sin(angles)], axis=1) * thick_mm / 2
    ends = [np.column_stack([ring, np.full(_SIDES, z)]) for z in (-along_mm / 2, along_mm / 2)]
    return np.concatenate(ends)


def _fits_turned(points: Floats) -> bool:
    """A search over all ways to turn: many at first, then small turns of the best, always the same ones."""
    random = np.random.default_rng(0)
    longest = 2 * float(np.hypot.reduce(points, axis=1).max())
    if longest > math.hypot(ACROSS_MM, DEEP_MM) + _HAIR_MM:
        return False
    ways = np.concatenate([_upright(), random.normal(size=(_STARTS, 4))])
    ways /= np.linalg.norm(ways, axis=1, keepdims=True)
    for step in np.geomspace(0.2, 0.0005, _ROUNDS):
        room = _room(points, ways)
        best = np.argsort(-room, kind="stable")[:_KEPT]
        if room[best[0]] >= -_HAIR_MM:
            return True
        near = ways[best, None] + random.normal(scale=step, size=(_KEPT, _TRIES, 4))
        near /= np.linalg.norm(near, axis=2, keepdims=True)
        ways = np.concatenate([ways[best], near.reshape(-1, 4)])
    return bool(_room(points, ways).max() >= -_HAIR_MM)


def _upright() -> Floats:
    """Quaternions of the turns by eighths about the upright, with each edge upright in turn."""
    half = math.sqrt(0.5)
    laid = np.array([(1, 0, 0, 0), (half, half, 0, 0), (half, 0, half, 0)])
    about = np.array([(math.cos(t), 0, 0, math.sin(t)) for t in np.arange(8) * math.pi / 16])
    a, b = about[:, None], laid[None]
    w = a[..., 0] * b[..., 0] - a[..., 3] * b[..., 3]
    x = a[..., 0] * b[..., 1] - a[..., 3] * b[..., 2]
    y = a[..., 0] * b[..., 2] + a[..., 3] * b[..., 1]
    z = a[..., 0] * b[..., 3] + a[..., 3] * b[..., 0]
    return np.stack([w, x, y, z], axis=-1).reshape(-1, 4)


def _room(points: Floats, ways: Floats) -> Floats:
    """For each way to turn a body, how far it stays from the wall when it stands best; less than 0 outside.

    The body is pushed up to the rim. Then the slant says how far its middle must be from the shallow side; by
    how far it must lie beside the middle of the cylinder, if at all. The body is the same from both sides, so
    that nearer to the middle is always better.
    """
    x, y, z = np.moveaxis(_turned(points, ways), -1, 0)
    aside = np.maximum(z.max(1) + (x - z).max(1) - ACROSS_MM / 2 - SHALLOW_MM, 0.0)
    return ACROSS_MM / 2 - _reach(x - aside[:, None], y)


def _reach(x: Floats, y: Floats) -> Floats:
    """The largest distance of the points from (0, v) for the best v, by halving."""
    low, high = y.min(1), y.max(1)
    for _ in range(22):
        third = (high - low) / 3
        left, right = (np.hypot(x, y - v[:, None]).max(1) for v in (low + third, high - third))
        low, high = np.where(left > right, low + third, low), np.where(left > right, high, high - third)
    return np.asarray(np.hypot(x, y - ((low + high) / 2)[:, None]).max(1), dtype=np.float64)


def _turned(points: Floats, ways: Floats) -> Floats:
    """The points turned by each unit quaternion."""
    w, axis = ways[:, None, :1], ways[:, None, 1:]
    crossed = 2 * np.cross(np.broadcast_to(axis, (len(ways), *points.shape)), points)
    return np.asarray(points + w * crossed + np.cross(axis, crossed), dtype=np.float64)
