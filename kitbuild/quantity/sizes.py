"""Blank, trimmed and finished sizes, and how a sleeve fits its object."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from kitbuild.base.units import down, mm2, up
from kitbuild.pattern.line import depths
from kitbuild.spec.piece import Piece
from kitbuild.spec.records import Kit


@dataclass(frozen=True, slots=True)
class Size:
    """Width and height: in holes where canvas is counted, 0 where only a rule measures it, and in mm."""

    columns: int
    rows: int
    width_mm: float
    height_mm: float


@dataclass(frozen=True, slots=True)
class Sizes:
    """A piece from the sheet to the finished thing.

    `stitched` is the worked area; `blank` is cut from the sheet; `trimmed` is cut to before finishing;
    `finished` is flat for all but sleeves, for which it is the way round and the height.
    `border` is the bare hole rows and columns on each side of the stitched area of the blank, left and top.
    """

    piece: Piece
    stitched: Size
    blank: Size
    trimmed: Size
    finished: Size
    border: tuple[int, int]


@dataclass(frozen=True, slots=True)
class SleeveFit:
    """A sleeve against its object, in mm. It fits when `least_mm` <= `inside_mm` <= `most_mm`.

    `closed`: whole repeats round the seam; `unbroken`: the line runs on, but not whole; else `broken`.
    """

    piece: Piece
    circumference_mm: float
    inside_mm: float
    least_mm: float
    most_mm: float
    pattern: Literal["closed", "unbroken", "broken"]

    @property
    def fits(self) -> bool:
        """Whether the sleeve goes on, and does not hang loose."""
        return self.least_mm <= self.inside_mm <= self.most_mm


def sizes(kit: Kit, piece: Piece) -> Sizes:
    """All sizes of one copy of a piece (derived from its holes, its canvas and its finish)."""
    border = _border_holes(piece)
    stitched = _size(piece, piece.columns, piece.rows)
    blank = _cut(piece, piece.columns + 2 * border[0], piece.rows + 2 * border[1])
    if piece.finish.kind in ("cushion", "framed"):
        allowance = 2 * piece.finish.allowance_mm
        trimmed = Size(0, 0, mm2(stitched.width_mm + allowance), mm2(stitched.height_mm + allowance))
        return Sizes(piece, stitched, blank, trimmed, stitched, border)
    kept = piece.finish.kept_rows
    trimmed = _cut(piece, piece.columns + 2 * piece.finish.overlap, piece.rows + 2 * kept)
    return Sizes(piece, stitched, blank, trimmed, _finished(kit, piece, trimmed), border)


def fit(kit: Kit, piece: Piece, repeat: int) -> SleeveFit | None:
    """How a sleeve fits the object that it goes round; None for a piece that goes round nothing.

    `repeat` is the columns after which the pattern comes again. The inside is the circumference over pi,
    less the canvas and the thread on its back, both sides (derived).
    """
    around = piece.goes_round
    if around is None or piece.finish.kind != "sleeve":
        return None
    circumference = (piece.columns + piece.finish.overlap) * piece.canvas.pitch_mm
    inside = circumference / math.pi - walls_mm(kit, piece)
    least = around.diameter_mm + around.ease_mm
    most = least + around.tolerance_mm
    return SleeveFit(
        piece, mm2(circumference), mm2(inside), mm2(least), mm2(most), _round_the_seam(piece, repeat)
    )


def _round_the_seam(piece: Piece, repeat: int) -> Literal["closed", "unbroken", "broken"]:
    """Whether the first column carries on where the overlap ends."""
    line, columns = piece.pattern.line, piece.columns + piece.finish.overlap
    if columns % repeat == 0 and not (line and line.drift):
        return "closed"
    if line is None:
        return "broken"
    depth = depths(line, columns + 1, piece.pattern.left)
    return "unbroken" if depth[0] == depth[-1] else "broken"


def columns_that_fit(kit: Kit, fit: SleeveFit) -> tuple[int, int]:
    """The fewest and the most columns of stitched area with which the sleeve would fit; may be none."""
    canvas = fit.piece.canvas
    extra = walls_mm(kit, fit.piece)
    around = [(limit + extra) * math.pi / canvas.pitch_mm for limit in (fit.least_mm, fit.most_mm)]
    overlap = fit.piece.finish.overlap
    return up(around[0]) - overlap, down(around[1]) - overlap


def walls_mm(kit: Kit, piece: Piece) -> float:
    """What canvas and the thickest thread on its back, on both sides, take from the diameter."""
    pattern = piece.pattern
    thread = max(colour.thread.thickness_mm for colour in kit.palette if colour.key in pattern.colours)
    return piece.canvas.thickness_mm + 2 * thread


def _border_holes(piece: Piece) -> tuple[int, int]:
    """Bare columns at each side and bare rows above and below, in the blank."""
    bare = up(piece.finish.border_mm / piece.canvas.pitch_mm)
    return piece.finish.overlap + bare, piece.finish.kept_rows + bare


def _size(piece: Piece, columns: int, rows: int) -> Size:
    """The worked area: threads fill the columns' whole width, stitches run from first hole to last."""
    pitch = piece.canvas.pitch_mm
    return Size(columns, rows, mm2(columns * pitch), mm2((rows - 1) * pitch))


def _cut(piece: Piece, columns: int, rows: int) -> Size:
    """A piece of canvas: so many holes and the bar that closes the last."""
    canvas = piece.canvas
    return Size(
        columns,
        rows,
        mm2(columns * canvas.pitch_mm + canvas.bar_mm),
        mm2(rows * canvas.pitch_mm + canvas.bar_mm),
    )


def _finished(kit: Kit, piece: Piece, trimmed: Size) -> Size:
    """The trimmed canvas with the thread that lies over its edges (derived)."""
    edging = [colour.thread.thickness_mm for colour in kit.palette if colour.key == piece.finish.colour]
    thread = 2 * sum(edging)
    if piece.finish.kind == "sleeve":
        around = (piece.columns + piece.finish.overlap) * piece.canvas.pitch_mm
        return Size(
            piece.columns + piece.finish.overlap, trimmed.rows, mm2(around), mm2(trimmed.height_mm + thread)
        )
    return Size(
        trimmed.columns, trimmed.rows, mm2(trimmed.width_mm + thread), mm2(trimmed.height_mm + thread)
    )
