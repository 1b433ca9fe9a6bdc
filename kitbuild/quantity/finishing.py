"""Edges and seams, hole by hole: the stitches that come after the pattern.

Edge: one overcast stitch a hole, 2 to 3 in an outside corner (published). Bar seam: sideways stitches, one a
hole row, over the overlap and one bar more (common practice). Lengths are derived from the canvas.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

from kitbuild.base.units import mm2
from kitbuild.quantity.needle import hundredths
from kitbuild.spec.records import Kit, Piece, Thread


@dataclass(frozen=True, slots=True)
class FinishStitch:
    """The finishing stitches of one hole of one copy: `mm` is for all `stitches` of the hole.

    `kind` is edge or seam; `edge` is top, bottom, left or right, and for a seam left or right: the end that
    lies on top, left. A kept row is hole 0 and rows + 1; overlap columns come after the last column.
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
    thread = {colour.key: colour.thread for colour in kit.palette}
    finish = piece.finish
    if finish.kind == "flat":
        return tuple(_flat_edges(piece, thread[finish.colour]))
    if finish.kind == "sleeve":
        return (*_bar_seam(piece, thread[finish.colour]), *_sleeve_edges(piece, thread[finish.colour]))
    return ()


def edge_mm(piece: Piece, thread: Thread, bars: int = 1) -> float:
    """Thread of one overcast stitch over `bars` bars: a turn of a helix round the edge of the canvas.

    Half a pitch and half a bar lie between the last hole's middle and the cut edge; each further bar adds a
    pitch. The turn goes twice over that and twice through the thickness, moves on one hole, and bends.
    """
    canvas = piece.canvas
    deep = (bars - 0.5) * canvas.pitch_mm + canvas.bar_mm / 2
    turn = 2 * deep + 2 * canvas.thickness_mm
    return mm2(math.hypot(turn, canvas.pitch_mm) + thread.bend_mm)


def seam_mm(piece: Piece, thread: Thread) -> float:
    """Thread of one bar-seam stitch: front over the overlap and a bar, back to the next row, two layers."""
    canvas, bars = piece.canvas, piece.finish.overlap + 1
    run = math.hypot(bars, 1)
    return mm2((bars + run) * canvas.pitch_mm + 4 * canvas.thickness_mm + thread.bend_mm)


def edge_stitch_count(columns: int, rows: int, corner: int) -> int:
    """Overcast stitches round a flat piece: 2(w + h) - 4 + 4(c - 1) (derived)."""
    return 2 * (columns + rows) - 4 + 4 * (corner - 1)


def _flat_edges(piece: Piece, thread: Thread) -> Iterator[FinishStitch]:
    """Round the piece from its first hole: top and bottom with their corners, right and left without."""
    one = edge_mm(piece, thread)
    across, down = range(1, piece.columns + 1), range(2, piece.rows)
    for edge, holes in (("top", across), ("right", down), ("bottom", across[::-1]), ("left", down[::-1])):
        for hole in holes:
            corner = edge in ("top", "bottom") and hole in (1, piece.columns)
            yield _edge(piece, edge, hole, piece.finish.corner if corner else 1, one)


def _sleeve_edges(piece: Piece, thread: Thread) -> Iterator[FinishStitch]:
    """Top and bottom all the way round, through both layers at the overlap; a sleeve has no corners."""
    one = edge_mm(piece, thread, bars=1 + piece.finish.kept_rows)
    for edge in ("top", "bottom"):
        for hole in range(1, piece.columns + piece.finish.overlap + 1):
            yield _edge(piece, edge, hole, 1, one)


def _bar_seam(piece: Piece, thread: Thread) -> Iterator[FinishStitch]:
    """One stitch in each hole row, kept rows too."""
    one, kept = seam_mm(piece, thread), piece.finish.kept_rows
    for hole in range(1 - kept, piece.rows + kept + 1):
        yield FinishStitch(piece.key, "seam", "left", hole, piece.finish.colour, 1, one)


def _edge(piece: Piece, edge: str, hole: int, count: int, one: float) -> FinishStitch:
    return FinishStitch(piece.key, "edge", edge, hole, piece.finish.colour, count, mm2(count * one))


def runs(stitches: tuple[FinishStitch, ...], colour: str) -> list[list[int]]:
    """Lengths in hundredths of a mm, one run for each seam and each edge of a colour.

    Round a flat piece the needle goes on from edge to edge; from a sleeve's top to its bottom it cannot.
    """
    mine = [each for each in stitches if each.colour == colour]
    round_about = any(each.kind == "edge" and each.edge in ("left", "right") for each in mine)
    kinds = groupby(mine, key=lambda each: each.kind if round_about else (each.kind, each.edge))
    return [[length for each in group for length in _lengths(each)] for _, group in kinds]


def _lengths(each: FinishStitch) -> list[int]:
    """The stitches of one hole, singly."""
    total, count = hundredths(each.mm), each.stitches
    return [total // count + (at < total % count) for at in range(count)]
