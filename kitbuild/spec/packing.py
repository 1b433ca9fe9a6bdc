"""Boxes that kits are packed into, and how they are weighed: records, and what makes them.

Weights are whole milligrams, None where nobody has said one.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from kitbuild.spec.formats import read_measures, read_share, read_weight
from kitbuild.spec.source import At


@dataclass(frozen=True, slots=True)
class BoxType:
    """A box that kits are packed into: length, width and height inside, and what it weighs empty."""

    key: str
    title: str
    inside_mm: tuple[float, ...]
    weight_mg: int | None
    at: At = field(repr=False, compare=False)


@dataclass(frozen=True, slots=True)
class Weighing:
    """How far off a right box may be: by the scale, and by so much of what is in it."""

    scale_mg: int
    spread_share: float


def box_type(key: str, data: Mapping[str, Any], at: At) -> BoxType:
    """A box as it was written."""
    return BoxType(key, data["title"], read_measures(data["inside"]), weight_mg(data), at)


def weighing(data: Mapping[str, Any] | None) -> Weighing | None:
    """How boxes are weighed, None where that is not said."""
    return Weighing(read_weight(data["scale"]), read_share(data["spread"])) if data else None


def weight_mg(data: Mapping[str, Any], name: str = "weight") -> int | None:
    """A weight in milligrams, None where none is said."""
    return read_weight(data[name]) if name in data else None
