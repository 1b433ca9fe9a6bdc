"""The groups of the line that is laid first, in order of work, and the points at which it turns."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby, pairwise
from typing import Literal

from kitbuild.documents.words import is_sideways, line_stitches
from kitbuild.pattern.panel import Panel, Stitches
from kitbuild.spec.records import Hand


@dataclass(frozen=True, slots=True)
class Group:
    """Stitches side by side at one height: their columns in order of work, upper and lower hole row.

    `height` is the hole row of their upper ends, also where an edge cuts them short: counted from the other.
    """

    columns: tuple[int, ...]
    top: int
    bottom: int
    colour: int
    height: int


@dataclass(frozen=True, slots=True)
class Turning:
    """A peak or a valley: `groups` and `stitches` are those worked up to it, its own group included."""

    kind: Literal["peak", "valley"]
    group: Group
    before: Group
    after: Group
    groups: int
    stitches: int


def groups_of(panel: Panel, hand: Hand, course: int | None = None) -> tuple[Group, ...]:
    """The groups of the line, or of that of another course, from the side at which the hand begins.

    () where the line has sideways stitches, is no single string over all its columns, or is drawn or worked
    in mixed lengths: heights would say little there.
    """
    overs = panel.piece.pattern.overs
    work = panel.stitches
    line = line_stitches(panel) if course is None else work.take(work.course == course)
    if len(overs) > 1 or not _strung(panel, line):
        return ()
    tops = [first for first, _ in panel.piece.outline] or [1] * panel.cover.columns
    stitches = zip(*(part.tolist() for part in (line.x1, line.y1, line.y2, line.colour)), strict=True)
    ends = {x: (y1, y2, colour, y2 - overs[0] if y1 == tops[x - 1] else y1) for x, y1, y2, colour in stitches}
    return tuple(_grouped(_ordered(line, hand), ends))


def mixed_groups_of(panel: Panel, hand: Hand) -> tuple[Group, ...]:
    """The groups of a line of mixed lengths, in which upper and lower ends are alike, in order of work.

    () where all its stitches are to be of one length, and where `groups_of` would have none either.
    """
    line = line_stitches(panel)
    if len(panel.piece.pattern.overs) < 2 or not _strung(panel, line):
        return ()
    stitches = zip(*(part.tolist() for part in (line.x1, line.y1, line.y2, line.colour)), strict=True)
    ends = {x: (y1, y2, colour) for x, y1, y2, colour in stitches}
    alike = [tuple(same) for _, same in groupby(_ordered(line, hand), key=lambda column: ends[column][:2])]
    return tuple(Group(same, *ends[same[0]], ends[same[0]][0]) for same in alike)


def _strung(panel: Panel, line: Stitches) -> bool:
    """Whether a line is a single string of upright stitches over all its columns, and not drawn."""
    columns = sorted(line.x1.tolist())
    whole = columns == list(range(columns[0], columns[0] + len(columns)))
    return whole and not is_sideways(line) and panel.piece.pattern.family != "charted"


def _ordered(line: Stitches, hand: Hand) -> list[int]:
    """Its columns in order of work."""
    return sorted(line.x1.tolist(), reverse=hand == "left")


def _grouped(columns: list[int], ends: dict[int, tuple[int, int, int, int]]) -> Iterator[Group]:
    current = [columns[0]]
    for before, column in pairwise(columns):
        if ends[column][3] != ends[before][3]:
            yield Group(tuple(current), *ends[before])
            current = []
        current.append(column)
    yield Group(tuple(current), *ends[columns[-1]])


def turnings(groups: tuple[Group, ...]) -> tuple[Turning, ...]:
    """Every point at which the line turns, in order of work."""
    found, stitches = [], len(groups[0].columns) if groups else 0
    for at in range(1, len(groups) - 1):
        before, here, after = groups[at - 1 : at + 2]
        stitches += len(here.columns)
        if (here.height < before.height) == (here.height < after.height):
            kind: Literal["peak", "valley"] = "peak" if here.height < before.height else "valley"
            found.append(Turning(kind, here, before, after, at + 1, stitches))
    return tuple(found)
