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
from kitbuild.spec.lines import zigzags
from kitbuild.spec.records import Kit, Line, Piece
from kitbuild.spec.source import Path

ROWS_BACK = 5
"""How many hole rows below the tallest are looked through for a size without stitches over 1."""


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


def answers(kit: Kit, piece: Piece, across: Room, height_mm: float | None, most: int = 3) -> list[Answer]:
    """The best sizes of a piece for an object; InputProblems with the nearest size when none fits."""
    found = [
        _answer(kit, piece, line, groups, choice, height_mm)
        for groups, line in _lines(piece)
        for choice in _choices(kit, piece, line, across)
    ]
    if not found:
        raise InputProblems([_nothing(kit, piece, across)])
    order = {"closed": 0, "open": 0, "unbroken": 1, "broken": 2}

    def rank(answer: Answer) -> tuple[int, bool, bool, bool, float]:
        choice = answer.choice
        whole = choice.left == choice.right == 0
        return (
            order[choice.meeting],
            answer.over_one > 0,
            bool(answer.groups),
            not whole and choice.meeting == "open",
            abs(choice.size_mm - across.aim_mm),
        )

    return sorted(found, key=rank)[:most]


def changes(piece: Piece, answer: Answer) -> dict[Path, str | None]:
    """What to write into the spec so that the piece has this size."""
    at = ("pieces", piece.key)
    choice = answer.choice
    written: dict[Path, str | None] = {
        (*at, "pattern", "repeats"): str(choice.repeats),
        (*at, "pattern", "ends"): f"{{left: {choice.left}, right: {choice.right}}}",
        (*at, "columns"): str(choice.columns),
        (*at, "rows"): str(answer.rows),
    }
    if answer.groups:
        written |= {(*at, "pattern", "line", way): str(answer.groups) for way in ("down", "up")}
    return written


def _lines(piece: Piece) -> Iterator[tuple[int, Line]]:
    """The piece's line, and for a zigzag the same with one or two groups more or fewer each way."""
    line = piece.pattern.line
    if line is None:
        cure = "fit works with a family that repeats a line"
        raise InputProblems([Problem(piece.at("pattern"), "KB513", "charted work has one size only", cure)])
    yield 0, line
    yield from zigzags(line)


def _choices(kit: Kit, piece: Piece, line: Line, across: Room) -> list[Choice]:
    shape = _shape(piece, line)
    pitch = piece.canvas.pitch_mm
    if piece.finish.kind == "sleeve":
        return sleeve_choices(shape, across, pitch, walls_mm(kit, piece), piece.finish.overlap)
    return flat_choices(shape, across, pitch, _extra_mm(kit, piece, high=False))


def _shape(piece: Piece, line: Line) -> Shape:
    return Shape(tuple(profile(line).tolist()), piece.pattern.over)


def _extra_mm(kit: Kit, piece: Piece, *, high: bool) -> float:
    """What bar, kept rows and edges add to the pitches of the finished width or height."""
    done = sizes(kit, piece).finished
    if high:
        return done.height_mm - piece.rows * piece.canvas.pitch_mm
    return done.width_mm - piece.columns * piece.canvas.pitch_mm


def _answer(
    kit: Kit, piece: Piece, line: Line, groups: int, choice: Choice, height_mm: float | None
) -> Answer:
    pattern = replace(piece.pattern, line=line, repeats=choice.repeats, left=choice.left, right=choice.right)
    sized = replace(piece, columns=choice.columns, pattern=pattern)
    extra = _extra_mm(kit, piece, high=True)
    tallest = [piece.rows]
    if height_mm is not None:
        tallest = row_choices(0.0, height_mm, piece.canvas.pitch_mm, extra)[-ROWS_BACK:][::-1] or [3]
    counted = [(_over_one(kit, replace(sized, rows=rows)), at, rows) for at, rows in enumerate(tallest)]
    short, _, rows = min(counted, key=lambda each: (each[0] > 0, each[1]))
    return Answer(choice, rows, rows * piece.canvas.pitch_mm + extra, short, groups)


def _over_one(kit: Kit, piece: Piece) -> int:
    return int(np.count_nonzero(expand(kit, piece).stitches.length() == 1))


def _nothing(kit: Kit, piece: Piece, across: Room) -> Problem:
    message = f"no whole number of columns fits {across.least_mm:.1f} to {across.most_mm:.1f} mm"
    cure = "widen the tolerance"
    if piece.finish.kind == "sleeve" and piece.pattern.line:
        walls = walls_mm(kit, piece)
        shape = _shape(piece, piece.pattern.line)
        near = nearest_sleeve(shape, across, piece.canvas.pitch_mm, walls, piece.finish.overlap)
        cure = f"the nearest is {near.columns} columns, {near.size_mm:.1f} mm inside: {cure}"
    return Problem(piece.at("pattern"), "KB512", message, cure)
