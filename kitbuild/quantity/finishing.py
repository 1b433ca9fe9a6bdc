"""Edges and seams, hole by hole: the stitches that come after the pattern.

Edge: one overcast stitch a hole, 2 to 3 in an outside corner (published). Bar seam: sideways stitches, one a
hole row, over the overlap and one bar more (common practice). Lengths are derived from the canvas.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby, pairwise
from typing import Final

from kitbuild.base.units import mm2
from kitbuild.quantity.needle import hundredths
from kitbuild.spec.materials import Thread
from kitbuild.spec.piece import Edge, Piece
from kitbuild.spec.records import Kit

#: The edge to which the needle goes on, round the piece from its first hole.
_NEXT: Final[dict[str, tuple[str, ...]]] = {"top": ("right",), "right": ("bottom",), "bottom": ("left",)}
ALL_EDGES: Final[tuple[Edge, ...]] = ("top", "right", "bottom", "left")


@dataclass(frozen=True, slots=True)
class FinishStitch:
    """The finishing stitches of one hole of one copy: `mm` is for all `stitches` of the hole.

    `kind` is edge, seam or join; `edge` is top, bottom, left or right, for a seam the end that lies on top,
    left. A kept row is hole 0 and rows + 1; overlap columns come after the last column.
    """

    piece: str
    kind: str
    edge: str
    hole: int
    colour: str
    stitches: int
    mm: float


def finishing(kit: Kit, piece: Piece) -> tuple[FinishStitch, ...]:
    """All finishing stitches of one copy of a piece, in the order of work: seam, then edges."""
    finish = piece.finish
    if not finish.colour:
        return ()
    thread = _thread(kit, finish.colour)
    if finish.kind == "sleeve":
        return (*_bar_seam(piece, thread), *_sleeve_edges(piece, thread))
    layers = 2 if finish.kind == "ornament" else 1
    if piece.outline:
        return tuple(_outline_edges(piece, edge_mm(piece, thread, layers=layers)))
    edges = finish.edges if finish.kind == "box" else ALL_EDGES
    return tuple(_straight_edges(piece, edge_mm(piece, thread, layers=layers), edges))


def joining(kit: Kit) -> tuple[FinishStitch, ...]:
    """The stitches that sew pieces together, for the whole kit: one row a hole of each join.

    The row stands under the first of the two pieces by name; `stitches` and `mm` are for all its times.
    """
    pieces = {piece.key: piece for piece in kit.pieces}
    rows = []
    for join in kit.joins:
        (key, edge), _ = sorted((join.one, join.other))
        piece, thread = pieces[key], _thread(kit, join.colour)
        one = edge_mm(piece, thread, layers=2)
        for hole in range(1, edge_holes(piece, edge) + 1):
            rows.append(FinishStitch(key, "join", edge, hole, join.colour, join.times, mm2(join.times * one)))
    return tuple(rows)


def edge_holes(piece: Piece, edge: Edge) -> int:
    """Holes along an edge of the stitched area."""
    return piece.columns if edge in ("top", "bottom") else piece.rows


def _thread(kit: Kit, key: str) -> Thread:
    return kit.palette[kit.colour_index(key)].thread


def edge_mm(piece: Piece, thread: Thread, bars: int = 1, layers: int = 1) -> float:
    """Thread of one overcast stitch over `bars` bars and `layers`: a turn of a helix round the canvas's edge.

    Half a pitch and half a bar lie between the last hole's middle and the cut edge; each further bar adds a
    pitch. The turn goes twice over that and twice through each layer, moves on one hole, and bends. Two edges
    that are joined lie on each other as two layers.
    """
    canvas = piece.canvas
    deep = (bars - 0.5) * canvas.pitch_mm + canvas.bar_mm / 2
    turn = 2 * deep + 2 * layers * canvas.thickness_mm
    return mm2(thread.pull * (math.hypot(turn, canvas.pitch_mm) + thread.bend_mm))


def seam_mm(piece: Piece, thread: Thread) -> float:
    """Thread of one bar-seam stitch: front over the overlap and a bar, back to the next row, two layers."""
    canvas, bars = piece.canvas, piece.finish.overlap + 1
    run = math.hypot(bars, 1)
    plain = (bars + run) * canvas.pitch_mm + 4 * canvas.thickness_mm + thread.bend_mm
    return mm2(thread.pull * plain)


def _straight_edges(piece: Piece, one: float, edges: tuple[Edge, ...]) -> Iterator[FinishStitch]:
    """Round a rectangle from its first hole; a corner between two `edges` stands under top or bottom."""
    across, down = range(1, piece.columns + 1), range(1, piece.rows + 1)
    ways: dict[Edge, range] = {"top": across, "right": down, "bottom": across[::-1], "left": down[::-1]}
    for edge, holes in ways.items():
        for hole in holes if edge in edges else ():
            corner = _meeting(piece, edge, hole) in edges
            if not corner:
                yield _edge(piece, edge, hole, 1, one)
            elif edge in ("top", "bottom"):
                yield _edge(piece, edge, hole, piece.finish.corner, one)


def _meeting(piece: Piece, edge: Edge, hole: int) -> Edge | None:
    """The other edge that a corner hole lies on; None for a hole in between."""
    ends: tuple[Edge, Edge] = ("left", "right") if edge in ("top", "bottom") else ("top", "bottom")
    if hole == 1:
        return ends[0]
    return ends[1] if hole == edge_holes(piece, edge) else None


def _outline_edges(piece: Piece, one: float) -> Iterator[FinishStitch]:
    """Round a shape: one stitch in each hole that has no neighbour on a side.

    A hole at the upper or lower end of its column stands under top or bottom, another under left or right;
    where a hole row has a notch, its holes beside the notch stand under right and left once more.
    """
    shape = {x: span for x, span in enumerate(piece.outline, 1) if span[1]}
    for x in shape:
        yield _edge(piece, "top", x, 1, one)
    for y in _bare_sides(shape, 1):
        yield _edge(piece, "right", y, 1, one)
    for x, (top, bottom) in sorted(shape.items(), reverse=True):
        if bottom != top:
            yield _edge(piece, "bottom", x, 1, one)
    for y in _bare_sides(shape, -1):
        yield _edge(piece, "left", y, 1, one)


def _bare_sides(shape: dict[int, tuple[int, int]], step: int) -> list[int]:
    """Hole rows of the holes, no ends of their columns, that have no neighbour on a side (`step` 1 right)."""
    rows = []
    for x, (top, bottom) in shape.items():
        first, last = shape.get(x + step, (0, -1))
        rows += [y for y in range(top + 1, bottom) if not first <= y <= last]
    return sorted(rows)


def _sleeve_edges(piece: Piece, thread: Thread) -> Iterator[FinishStitch]:
    """Top and bottom all the way round, through both layers at the overlap; a sleeve has no corners."""
    bars = 1 + piece.finish.kept_rows
    single, double = (edge_mm(piece, thread, bars, layers) for layers in (1, 2))
    for edge in ("top", "bottom"):
        for hole in range(1, piece.columns + piece.finish.overlap + 1):
            yield _edge(piece, edge, hole, 1, double if hole > piece.columns else single)  # type: ignore[arg-type]


def _bar_seam(piece: Piece, thread: Thread) -> Iterator[FinishStitch]:
    """One stitch in each hole row, kept rows too."""
    one, kept = seam_mm(piece, thread), piece.finish.kept_rows
    for hole in range(1 - kept, piece.rows + kept + 1):
        yield FinishStitch(piece.key, "seam", "left", hole, piece.finish.colour, 1, one)


def _edge(piece: Piece, edge: Edge, hole: int, count: int, one: float) -> FinishStitch:
    return FinishStitch(piece.key, "edge", edge, hole, piece.finish.colour, count, mm2(count * one))


def runs(stitches: tuple[FinishStitch, ...], colour: str) -> list[list[int]]:
    """Lengths in hundredths of a mm, one run for each seam, each edge and each time that a join is sewn.

    From one edge of a piece the needle goes on to the next beside it, but not to one that it does not meet.
    """
    mine = [each for each in stitches if each.colour == colour]
    found: list[list[int]] = []
    for kind in ("seam", "edge", "join"):
        rows = [each for each in mine if each.kind == kind]
        parts = [list(group) for _, group in groupby(rows, key=lambda each: (each.piece, each.edge))]
        found += _join_runs(parts) if kind == "join" else _edge_runs(parts)
    return found


def _edge_runs(parts: list[list[FinishStitch]]) -> list[list[int]]:
    """Edges of one piece in the order of work; those that meet at a corner in one run."""
    found: list[list[int]] = []
    last = ""
    for rows in parts:
        lengths = [length for each in rows for length in _lengths(each)]
        if found and rows[0].edge in _NEXT.get(last, ()):
            found[-1] += lengths
        else:
            found.append(lengths)
        last = rows[0].edge
    if len(found) > 1 and last == "left" and parts[0][0].edge == "top" and _meets_left(parts):
        found[0] = found.pop() + found[0]
    return found


def _meets_left(parts: list[list[FinishStitch]]) -> bool:
    """Whether a run that ends along the left edge goes on along the top."""
    return {rows[0].edge for rows in parts} >= {"left", "top"}


def _join_runs(parts: list[list[FinishStitch]]) -> list[list[int]]:
    """Each time of each join: a join begins at its first hole."""
    found: list[list[int]] = []
    for rows in parts:
        begins = [at for at, each in enumerate(rows) if each.hole == 1] + [len(rows)]
        for start, end in pairwise(begins):
            sewn = [_lengths(each) for each in rows[start:end]]
            found += [[lengths[time] for lengths in sewn] for time in range(rows[start].stitches)]
    return found


def _lengths(each: FinishStitch) -> list[int]:
    """The stitches of one hole, singly."""
    total, count = hundredths(each.mm), each.stitches
    return [total // count + (at < total % count) for at in range(count)]
