"""The order of areas as a table: turn by turn, which row, in which colour, from which hole."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from kitbuild.base.blocks import Cell, Table
from kitbuild.documents.job import Job
from kitbuild.documents.words import is_sideways, line_kind, patch
from kitbuild.pattern.panel import Panel
from kitbuild.quantity.amounts import PieceAmounts
from kitbuild.quantity.finishing import runs
from kitbuild.quantity.needle import Work, finishing_needlefuls

QUARTERS: Final = ("upper", "right", "lower", "left")
"""The quarters of four-way work in the order in which their rows are laid."""

NARROW: Final = (0.05, 0.3, 0.2, 0.13, 0.12, 0.09, 0.11)
WIDE: Final = (0.05, 0.3, 0.16, 0.13, 0.16, 0.09, 0.11)
"""Widths of the table's columns, and those where some stitches lie sideways."""


@dataclass(frozen=True, slots=True)
class Turn:
    """Stitches of one course and colour worked without another between, from `first` to `last`.

    These are columns, or hole rows where the stitches lie `sideways`. `x` and `y` are the hole in which the
    needle first comes up; `needlefuls` are those first cut for it.
    """

    course: int
    row: int
    colour: int
    stitches: int
    x: int
    y: int
    first: int
    last: int
    needlefuls: int
    sideways: bool


def turns(work: Work) -> tuple[Turn, ...]:
    """The work of one copy in order, course by course, and colour by colour where a course has several."""
    order = work.order
    stitch = order.panel.stitches.take(order.stitch)
    up_x, up_y, _, _ = order.holes()
    fresh = np.zeros(len(order.stitch), dtype=bool)
    fresh[np.unique(work.needleful, return_index=True)[1]] = True
    sideways = stitch.x1 != stitch.x2
    along = np.where(sideways, stitch.y1, stitch.x1)
    other = np.diff(stitch.course, prepend=-1) | np.diff(stitch.colour, prepend=-1)
    begins = np.flatnonzero(other).tolist()
    ends = [*begins[1:], len(order.stitch)]
    return tuple(
        Turn(
            course=int(stitch.course[a]),
            row=int(stitch.row[a]),
            colour=int(stitch.colour[a]),
            stitches=b - a,
            x=int(up_x[a]),
            y=int(up_y[a]),
            first=int(along[a]),
            last=int(along[b - 1]),
            needlefuls=int(fresh[a:b].sum()),
            sideways=bool(sideways[a]),
        )
        for a, b in zip(begins, ends, strict=True)
    )


def order_table(job: Job, each: PieceAmounts) -> Table:
    """The right-handed order of work of one copy as a table, its seam and edge last."""
    say = job.say
    across = is_sideways(each.panel.stitches)
    along = "columns_or_rows" if across else "columns"
    names = ("number", "row", "colour", "start", along, "stitches", "needlefuls")
    rings = _rings(each.panel) if each.panel.counted == "rings" else None
    rows = [
        (
            str(at),
            _ring_name(job, rings, turn) if rings else _row_name(job, each.panel, turn),
            patch(job, job.kit.palette[turn.colour].key),
            say("order.hole", x=turn.x, y=turn.y),
            say("order.from_to", first=turn.first, last=turn.last, across=across, rows=turn.sideways),
            str(turn.stitches),
            str(turn.needlefuls),
        )
        for at, turn in enumerate(turns(each.thread.works["right"]), 1)
    ]
    if each.thread.finish:
        rows.append(_finish_row(job, each, len(rows) + 1))
    caption = say("order.caption", piece=each.panel.piece.title, copies=each.panel.piece.copies)
    header = tuple(say(f"order.{name}") for name in names)
    widths = WIDE if across else NARROW
    return Table(header, tuple(rows), widths, "rlllrrr", caption)


def _row_name(job: Job, panel: Panel, turn: Turn) -> str:
    """A row by its place from the line; in four-way work with its quarter."""
    if line_kind(panel) == "four-way":
        quarter = job.say(f"quarter.{QUARTERS[turn.course % 4]}")
        return job.say("order.quarter", row=turn.row, quarter=quarter)
    return job.say("order.rows", row=turn.row, charted=line_kind(panel) == "charted", sideways=turn.sideways)


def _ring_name(job: Job, rings: Rings, turn: Turn) -> str:
    """A line by its number from the top; a ring by the lines that it lies between, and its half."""
    if turn.row == 0:
        number = rings.lines.index(turn.course) + 1
        return job.say("order.ring_line", number=number, lines=len(rings.lines))
    above, half = rings.above[turn.course], rings.halves.get(turn.course, "")
    place = "top" if not above else "bottom" if above == len(rings.lines) else "between"
    return job.say("order.ring", ring=turn.row, place=place, above=above, lines=len(rings.lines), half=half)


@dataclass(frozen=True, slots=True)
class Rings:
    """Where the courses of a ring pattern lie, by their numbers.

    `lines` are the courses of lines, the uppermost first; `above` is how many of them lie above a ring;
    `halves` says upper or lower of those rings that have two halves between the same lines.
    """

    lines: tuple[int, ...]
    above: dict[int, int]
    halves: dict[int, str]


def _rings(panel: Panel) -> Rings:
    """Every course of a ring pattern in its place, found in one walk over the stitches."""
    work, columns = panel.stitches, panel.cover.columns + 1
    order = np.argsort(work.course, kind="stable")
    parts = np.split(order, np.flatnonzero(np.diff(work.course[order])) + 1)
    middles = {int(work.course[part[0]]): float((work.y1 + work.y2)[part].mean()) for part in parts}
    lines = sorted(
        (int(work.course[part[0]]) for part in parts if not work.row[part[0]]), key=middles.__getitem__
    )
    number = {line: at for at, line in enumerate(lines)}
    bottoms = np.full((len(lines), columns), panel.cover.rows + 2)
    for part in parts:
        if int(work.course[part[0]]) in number:
            bottoms[number[int(work.course[part[0]])], work.x1[part]] = work.y2[part]
    above: dict[int, int] = {}
    alike: dict[tuple[int, int], list[int]] = {}
    for part in parts:
        course, row = int(work.course[part[0]]), int(work.row[part[0]])
        if row:
            lying = (bottoms[:, work.x1[part]] <= work.y1[part]).any(axis=1)
            above[course] = int(np.flatnonzero(lying).max(initial=-1)) + 1
            alike.setdefault((above[course], row), []).append(course)
    pairs = [sorted(courses, key=middles.__getitem__) for courses in alike.values() if len(courses) > 1]
    halves = {course: "upper" if course == pair[0] else "lower" for pair in pairs for course in pair}
    return Rings(tuple(lines), above, halves)


def _finish_row(job: Job, each: PieceAmounts, number: int) -> tuple[Cell, ...]:
    """Seam and edge, which are worked last."""
    finish, key = each.thread.finish, each.panel.piece.finish.colour
    count = finishing_needlefuls(runs(finish, key), job.kit.house.thread)
    name = job.say(f"order.finish.{each.panel.piece.finish.kind}")
    total = str(sum(row.stitches for row in finish))
    return (str(number), name, patch(job, key), "", "", total, str(count))
