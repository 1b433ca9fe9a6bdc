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
    course_name = _ring_name if each.panel.counted == "rings" else _row_name
    rows = [
        (
            str(at),
            course_name(job, each.panel, turn),
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


def _ring_name(job: Job, panel: Panel, turn: Turn) -> str:
    """A line by its number from the top; a ring by the lines that it lies between, and its half."""
    lines = _lines_from_top(panel)
    if turn.row == 0:
        return job.say("order.ring_line", number=lines.index(turn.course) + 1, lines=len(lines))
    above = _lines_above(panel, turn.course, lines)
    place = "top" if not above else "bottom" if above == len(lines) else "between"
    half = _half(panel, turn, lines, above)
    return job.say("order.ring", ring=turn.row, place=place, above=above, lines=len(lines), half=half)


def _lines_from_top(panel: Panel) -> list[int]:
    """Courses of the lines, the uppermost first."""
    work = panel.stitches
    courses = np.unique(work.course[work.row == 0]).tolist()
    return sorted(courses, key=lambda course: float((work.y1 + work.y2)[work.course == course].mean()))


def _lines_above(panel: Panel, course: int, lines: list[int]) -> int:
    """How many lines lie above a course, in the columns that show it."""
    work = panel.stitches
    mine = work.take(work.course == course)
    top = np.full(panel.cover.columns + 1, panel.cover.rows + 1)
    np.minimum.at(top, mine.x1, mine.y1)
    found = 0
    for number, line in enumerate(lines, 1):
        other = work.take(work.course == line)
        if (other.y2 <= top[other.x1])[top[other.x1] <= panel.cover.rows].any():
            found = number
    return found


def _half(panel: Panel, turn: Turn, lines: list[int], above: int) -> str:
    """Upper or lower, where a ring has two halves in these shapes; else nothing."""
    work = panel.stitches
    same = np.unique(work.course[work.row == turn.row]).tolist()
    here = [course for course in same if _lines_above(panel, course, lines) == above]
    if len(here) < 2:
        return ""
    return "upper" if turn.course == min(here) else "lower"


def _finish_row(job: Job, each: PieceAmounts, number: int) -> tuple[Cell, ...]:
    """Seam and edge, which are worked last."""
    finish, key = each.thread.finish, each.panel.piece.finish.colour
    count = finishing_needlefuls(runs(finish, key), job.kit.house.thread)
    name = job.say(f"order.finish.{each.panel.piece.finish.kind}")
    total = str(sum(row.stitches for row in finish))
    return (str(number), name, patch(job, key), "", "", total, str(count))
