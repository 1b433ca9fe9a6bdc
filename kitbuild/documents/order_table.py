"""The order of areas as a table: turn by turn, which row, in which colour, from which hole."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kitbuild.base.blocks import Cell, Table
from kitbuild.documents.job import Job
from kitbuild.documents.words import patch
from kitbuild.pattern.panel import Panel
from kitbuild.quantity.amounts import PieceAmounts
from kitbuild.quantity.finishing import runs
from kitbuild.quantity.needle import Work, finishing_needlefuls


@dataclass(frozen=True, slots=True)
class Turn:
    """Stitches of one course worked without another between, from column `first` to column `last`.

    `x` and `y` are the hole in which the needle first comes up; `needlefuls` are those first cut for it.
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


def turns(work: Work) -> tuple[Turn, ...]:
    """The work of one copy, course by course, in order."""
    order = work.order
    stitch = order.panel.stitches.take(order.stitch)
    up_x, up_y, _, _ = order.holes()
    fresh = np.zeros(len(order.stitch), dtype=bool)
    fresh[np.unique(work.needleful, return_index=True)[1]] = True
    begins = np.flatnonzero(np.diff(stitch.course, prepend=-1) != 0).tolist()
    ends = [*begins[1:], len(order.stitch)]
    return tuple(
        Turn(
            course=int(stitch.course[a]),
            row=int(stitch.row[a]),
            colour=int(stitch.colour[a]),
            stitches=b - a,
            x=int(up_x[a]),
            y=int(up_y[a]),
            first=int(stitch.x1[a]),
            last=int(stitch.x1[b - 1]),
            needlefuls=int(fresh[a:b].sum()),
        )
        for a, b in zip(begins, ends, strict=True)
    )


def order_table(job: Job, each: PieceAmounts) -> Table:
    """The right-handed order of work of one copy as a table, its seam and edge last."""
    say = job.say
    names = ("number", "row", "colour", "start", "columns", "stitches", "needlefuls")
    course_name = _ring_name if each.panel.counted == "rings" else _row_name
    rows = [
        (
            str(at),
            course_name(job, each.panel, turn),
            patch(job, job.kit.palette[turn.colour].key),
            say("order.hole", x=turn.x, y=turn.y),
            say("order.from_to", first=turn.first, last=turn.last),
            str(turn.stitches),
            str(turn.needlefuls),
        )
        for at, turn in enumerate(turns(each.thread.works["right"]), 1)
    ]
    if each.thread.finish:
        rows.append(_finish_row(job, each, len(rows) + 1))
    caption = say("order.caption", piece=each.panel.piece.title, copies=each.panel.piece.copies)
    header = tuple(say(f"order.{name}") for name in names)
    return Table(header, tuple(rows), (0.05, 0.3, 0.2, 0.13, 0.12, 0.09, 0.11), "rlllrrr", caption)


def _row_name(job: Job, panel: Panel, turn: Turn) -> str:
    return job.say("order.rows", row=turn.row)


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
