"""`fit`: which sizes of a piece's pattern fit an object, best first, and writing one into the spec."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from kitbuild.base.problem import InputProblems, Problem
from kitbuild.pattern.expand import expand
from kitbuild.pattern.line import profile
from kitbuild.quantity.fits import (
    Choice,
    Room,
    Shape,
    flat_choices,
    nearest_sleeve,
    row_choices,
    sleeve_choices,
)
from kitbuild.quantity.sizes import sizes, walls_mm
from kitbuild.spec.columns import MOST, Layout, layout_of
from kitbuild.spec.lines import zigzags
from kitbuild.spec.outlines import SHAPES
from kitbuild.spec.piece import Line, Piece
from kitbuild.spec.piece_rules import MOST_HOLES
from kitbuild.spec.records import Kit
from kitbuild.spec.source import Path

ROWS_BACK = 5
"""How many hole rows below the tallest are looked through for a size without stitches over 1."""
MOST_TRIED = 24
"""So many of the best sizes that meet alike at the seam are stitched, to see what is over 1."""
_MEETINGS = (("closed", "open"), ("unbroken",), ("broken",))


@dataclass(frozen=True, slots=True)
class Answer:
    """One size of a piece that fits: its columns, rows, line, and what comes out.

    `groups` counts the groups down (and up) where the line is a zigzag of another depth than the spec's, else
    0. `height_mm` is the finished height, `over_one` the stitches over 1 that it leaves.
    """

    choice: Choice
    rows: int
    height_mm: float
    over_one: int
    groups: int


@dataclass(frozen=True, slots=True)
class _Candidate:
    """A number of columns that fits, for one line."""

    groups: int
    line: Line
    choice: Choice


def answers(kit: Kit, piece: Piece, across: Room, height_mm: float | None, most: int = 3) -> list[Answer]:
    """The best sizes of a piece for an object; InputProblems with the nearest size when none fits."""
    _must_have_sizes(piece)
    rows = _rows(kit, piece, height_mm)
    found = [
        _Candidate(groups, line, choice)
        for groups, line in _lines(piece)
        for choice in _choices(kit, piece, line, across)
        if choice.columns <= MOST and choice.columns * rows[-1] <= MOST_HOLES
    ]
    if not found:
        raise InputProblems([_nothing(kit, piece, across)])

    def rank(each: _Candidate) -> tuple[bool, bool, float]:
        whole = each.choice.left == each.choice.right == 0
        off_mm = abs(each.choice.size_mm - across.aim_mm)
        return (bool(each.groups), not whole and each.choice.meeting == "open", off_mm)

    best: list[Answer] = []
    for meetings in _MEETINGS:
        alike = sorted((each for each in found if each.choice.meeting in meetings), key=rank)[:MOST_TRIED]
        best += sorted((_answer(kit, piece, each, rows) for each in alike), key=lambda one: one.over_one > 0)
        if len(best) >= most:
            break
    return best[:most]


def changes(piece: Piece, answer: Answer) -> dict[Path, str | None]:
    """What to write into the spec so that the piece has this size; ends follow from a centre."""
    at = ("pieces", piece.key)
    choice = answer.choice
    written: dict[Path, str | None] = {}
    if not piece.pattern.centre:
        written[*at, "pattern", "repeats"] = str(choice.repeats)
        written[*at, "pattern", "ends"] = f"{{left: {choice.left}, right: {choice.right}}}"
    written[*at, "columns"] = str(choice.columns)
    written[*at, "rows"] = str(answer.rows)
    if answer.groups:
        written |= {(*at, "pattern", "line", way): str(answer.groups) for way in ("down", "up")}
    return written


def _must_have_sizes(piece: Piece) -> None:
    """InputProblems for a piece that has one size only, or whose sizes are no matter of repeats."""
    why = ""
    if piece.pattern.line is None:
        why = "charted work has one size only"
    elif piece.pattern.family == "four-way":
        why = "four-way work has no repeats across"
    elif piece.outline and not _named_shape(piece):
        why = "an outline of spans has one size only"
    if why:
        cure = "write another size by hand, or fit a piece whose line repeats across"
        raise InputProblems([Problem(piece.at("pattern"), "KB513", why, cure)])


def _named_shape(piece: Piece) -> str:
    """The name of a piece's shape; "" for a rectangle, and for spans."""
    if (*piece.at.path, "outline", "spans") in piece.at.source.values:
        return ""
    alike = (name for name, shape in SHAPES.items() if shape(piece.columns, piece.rows) == piece.outline)
    return next(alike, "")


def _lines(piece: Piece) -> Iterator[tuple[int, Line]]:
    """The piece's line, and for a zigzag the same with one or two groups more or fewer each way.

    The lengths of Hungarian point go by groups, so that its line stays as it is.
    """
    if piece.pattern.line is not None:
        yield 0, piece.pattern.line
        if not piece.pattern.lengths:
            yield from zigzags(piece.pattern.line)


def _rows(kit: Kit, piece: Piece, height_mm: float | None) -> list[int]:
    """Hole rows to try, the tallest first: those of the piece where no height is asked for."""
    if height_mm is None:
        return [piece.rows]
    pitch, extra = piece.canvas.pitch_mm, _extra_mm(kit, piece, high=True)
    found = row_choices(0.0, min(height_mm, MOST * pitch + extra), pitch, extra)
    if not found:
        message = f"3 hole rows are {3 * pitch + extra:.1f} mm high, more than {height_mm:.1f} mm"
        raise InputProblems([Problem(piece.at("pattern"), "KB512", message, "allow more height")])
    return found[-ROWS_BACK:][::-1]


def _choices(kit: Kit, piece: Piece, line: Line, across: Room) -> list[Choice]:
    shape, pitch = _shape(piece, line), piece.canvas.pitch_mm
    across = replace(across, most_mm=min(across.most_mm, 2 * MOST * pitch))
    if piece.finish.kind == "sleeve":
        found = sleeve_choices(shape, across, pitch, walls_mm(kit, piece), piece.finish.overlap)
    else:
        found = flat_choices(shape, across, pitch, _extra_mm(kit, piece, high=False))
    if not piece.pattern.centre:
        return found
    return [each for choice in found for each in _centred(piece, line, shape, choice)]


def _centred(piece: Piece, line: Line, shape: Shape, choice: Choice) -> Iterator[Choice]:
    """The choice with the ends that the piece's centre asks for; none where it cannot be met."""
    pattern = {"centre": piece.pattern.centre, "ends": {"left": 0, "right": 0}}
    layout = layout_of({"columns": choice.columns, "pattern": pattern}, line.groups)
    if not isinstance(layout, Layout):
        return
    left, meeting = layout.left, choice.meeting
    if meeting in ("unbroken", "broken"):
        first, last = -left % shape.columns, (choice.around - left) % shape.columns
        meeting = "unbroken" if shape.depth[first] == shape.depth[last] else "broken"
    repeats = max(0, choice.columns - left) // shape.columns
    yield replace(choice, repeats=repeats, left=left, right=layout.right, meeting=meeting)


def _shape(piece: Piece, line: Line) -> Shape:
    return Shape(tuple(profile(line).tolist()), piece.pattern.over)


def _extra_mm(kit: Kit, piece: Piece, *, high: bool) -> float:
    """What bar, kept rows and edges add to the pitches of the finished width or height."""
    done = sizes(kit, piece).finished
    if high:
        return done.height_mm - piece.rows * piece.canvas.pitch_mm
    return done.width_mm - piece.columns * piece.canvas.pitch_mm


def _answer(kit: Kit, piece: Piece, each: _Candidate, tallest: list[int]) -> Answer:
    """A candidate with the tallest hole rows that leave no stitch over 1, else with the tallest."""
    choice = each.choice
    pattern = replace(
        piece.pattern, line=each.line, repeats=choice.repeats, left=choice.left, right=choice.right
    )
    sized = replace(piece, columns=choice.columns, pattern=pattern)
    counted = []
    for rows in tallest:
        counted.append((_over_one(kit, _of_height(piece, sized, rows)), rows))
        if not counted[-1][0]:
            break
    short, rows = counted[-1] if not counted[-1][0] else counted[0]
    height_mm = rows * piece.canvas.pitch_mm + _extra_mm(kit, piece, high=True)
    return Answer(choice, rows, height_mm, short, each.groups)


def _of_height(piece: Piece, sized: Piece, rows: int) -> Piece:
    """The piece in its new size, its named shape drawn anew."""
    shape = SHAPES.get(_named_shape(piece)) if piece.outline else None
    return replace(sized, rows=rows, outline=shape(sized.columns, rows) if shape else ())


def _over_one(kit: Kit, piece: Piece) -> int:
    return int(np.count_nonzero(expand(kit, piece).stitches.length() == 1))


def _nothing(kit: Kit, piece: Piece, across: Room) -> Problem:
    message = f"no whole number of columns fits {across.least_mm:.1f} to {across.most_mm:.1f} mm"
    cure = f"widen the tolerance; a piece has {MOST} columns and a kit {MOST_HOLES} holes at most"
    if piece.finish.kind == "sleeve" and piece.pattern.line:
        walls = walls_mm(kit, piece)
        shape = _shape(piece, piece.pattern.line)
        near = nearest_sleeve(shape, across, piece.canvas.pitch_mm, walls, piece.finish.overlap)
        if near.columns <= MOST:
            size = f"{near.columns} columns, {near.size_mm:.1f} mm inside"
            cure = f"the nearest is {size}: widen the tolerance"
    return Problem(piece.at("pattern"), "KB512", message, cure)
