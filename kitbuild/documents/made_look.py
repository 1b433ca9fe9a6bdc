"""A piece to be drawn as it is used: its colours, its edges, and its work laid on a surface."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

from kitbuild.documents.faces import (
    CANVAS_RGB,
    Faces,
    Floats,
    Surface,
    ground,
    joined,
    lit_threads,
    overcast,
    threads,
)
from kitbuild.pattern.panel import Panel
from kitbuild.quantity.finishing import ALL_EDGES
from kitbuild.spec.piece import Edge
from kitbuild.spec.records import Kit

#: How far edges' thread lies beyond the worked canvas, in pitches: nowhere.
NO_EDGE: Final[Mapping[Edge, float]] = {}


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
        edging(overcast(each.panel.piece, some, far), np.array(rgb), surface)
        for (far, *rgb), some in alike.items()
    ]
    stitches = lit_threads(bodies, each.palette[colour], surface)
    return joined([ground(each.panel, surface, step_mm), *over, stitches])


def edging(around: Floats, rgb: Floats, surface: Surface) -> Faces:
    """Thread over an edge, in one colour."""
    return lit_threads(around, np.broadcast_to(rgb, (len(around), 3)), surface)
