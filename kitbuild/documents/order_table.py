"""The order of areas as a table: turn by turn, which row, in which colour, from which hole to which."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from kitbuild.base.blocks import Cell, Table
from kitbuild.documents.job import Job
from kitbuild.documents.words import line_kind, patch
from kitbuild.pattern.panel import Bools, Panel, Stitches
from kitbuild.quantity.amounts import PieceAmounts
from kitbuild.quantity.finishing import runs
from kitbuild.quantity.needle import Work, finishing_needlefuls
from kitbuild.quantity.order import Order

QUARTERS: Final = ("upper", "right", "lower", "left")
"""The quarters of four-way work in the order in which their rows are laid."""

WIDTHS: Final = (0.05, 0.19, 0.15, 0.31, 0.12, 0.08, 0.1)
"""Widths of the table's columns, as shares."""
MOST_AREAS: Final = 24
"""Areas of a turn up to which each is told; of more the first are told, and the last."""


@dataclass(frozen=True, slots=True)
class Area:
    """Stitches side by side: the hole (x, y) in which the needle first comes up, and the last column.

    The last hole row where they lie sideways. `stitches` counts them; the first goes down in hole `down`,
    and `against` the policy where that is said.
    """

    x: int
    y: int
    last: int
    stitches: int
    down: tuple[int, int]
    against: bool


@dataclass(frozen=True, slots=True)
class Turn:
    """Stitches of one colour worked without another between, area by area; all or none lie `sideways`.

    `down` is the hole in which the needle last goes down, `against` the policy where that is said;
    `needlefuls` are those first cut for it. `courses` are the strings of stitches that it holds, `rows` their
    rows or rings.
    """

    courses: tuple[int, ...]
    rows: tuple[int, ...]
    colour: int
    areas: tuple[Area, ...]
    down: tuple[int, int]
    against: bool
    needlefuls: int
    sideways: bool

    @property
    def stitches(self) -> int:
        """All of them."""
        return sum(area.stitches for area in self.areas)


def turns(work: Work) -> tuple[Turn, ...]:
    """The work of one copy in order, turn by turn; upright and sideways stitches apart."""
    order = work.order
    stitch = order.panel.stitches.take(order.stitch)
    fresh = np.zeros(len(order.stitch), dtype=bool)
    fresh[np.unique(work.needleful, return_index=True)[1]] = True
    sideways = stitch.x1 != stitch.x2
    other = np.diff(order.turn, prepend=-1) != 0
    other[1:] |= sideways[1:] != sideways[:-1]
    begins = np.flatnonzero(other).tolist()
    ends = [*begins[1:], len(order.stitch)]
    return tuple(_turn(order, stitch, fresh, a, b) for a, b in zip(begins, ends, strict=True))


def _turn(order: Order, stitch: Stitches, fresh: Bools, a: int, b: int) -> Turn:
    """The stitches from place `a` of the order to before `b`."""
    part = stitch.take(np.arange(a, b))
    up_x, up_y, down_x, down_y = (hole[a:b] for hole in order.holes())
    against = order.against[a:b]
    sideways = bool(part.x1[0] != part.x2[0])
    along = part.y1 if sideways else part.x1
    jumps = (np.abs(np.diff(along)) != 1) | (np.diff(part.course) != 0)
    firsts = [0, *(np.flatnonzero(jumps) + 1).tolist()]
    ends = [*firsts[1:], b - a]
    return Turn(
        courses=tuple(sorted(set(part.course.tolist()))),
        rows=tuple(sorted(set(part.row.tolist()))),
        colour=int(part.colour[0]),
        areas=tuple(
            Area(
                int(up_x[at]),
                int(up_y[at]),
                int(along[end - 1]),
                end - at,
                (int(down_x[at]), int(down_y[at])),
                bool(against[at]),
            )
            for at, end in zip(firsts, ends, strict=True)
        ),
        down=(int(down_x[-1]), int(down_y[-1])),
        against=bool(against[-1]) and b - a > firsts[-1] + 1,
        needlefuls=int(fresh[a:b].sum()),
        sideways=sideways,
    )


def order_table(job: Job, each: PieceAmounts) -> Table:
    """The order of work of one copy as a table, its seam and edge last."""
    say = job.say
    names = ("number", "row", "colour", "way", "down", "stitches", "needlefuls")
    worked = turns(job.work(each))
    rows = [
        (
            str(at),
            name,
            patch(job, job.kit.palette[turn.colour].key),
            _way(job, turn),
            say("order.hole", x=turn.down[0], y=turn.down[1], against=turn.against),
            str(turn.stitches),
            str(turn.needlefuls),
        )
        for at, (turn, name) in enumerate(zip(worked, row_names(job, each.panel, worked), strict=True), 1)
    ]
    if each.thread.finish:
        rows.append(_finish_row(job, each, len(rows) + 1))
    caption = say(
        "order.caption", piece=job.own(each.panel.piece.title), copies=each.panel.piece.copies, left=job.left
    )
    header = tuple(say(f"order.{name}") for name in names)
    return Table(header, tuple(rows), WIDTHS, "rllllrr", caption)


def has_halves(job: Job, each: PieceAmounts) -> bool:
    """Whether the table names an upper or a lower half of a ring."""
    if each.panel.counted != "rings":
        return False
    halves = _rings(each.panel).halves
    return any(len(turn.courses) == 1 and turn.courses[0] in halves for turn in turns(job.work(each)))


def _way(job: Job, turn: Turn) -> str:
    """Area by area where the needle first comes up, and to which column or hole row it goes from there."""
    told = [job.say("order.area", area=area, sideways=turn.sideways) for area in turn.areas]
    left_out = len(told) - MOST_AREAS
    if left_out > 0:
        told[MOST_AREAS - 1 : -1] = [job.say("order.more_areas", areas=left_out)]
    return job.say("list.joiner").join(told)


def row_names(job: Job, panel: Panel, worked: Sequence[Turn]) -> list[str]:
    """The row of each turn by its place from the line, or its ring by the lines that it lies between."""
    rings = _rings(panel) if panel.counted == "rings" else None
    return [_ring_name(job, rings, turn) if rings else _row_name(job, panel, turn) for turn in worked]


def _row_name(job: Job, panel: Panel, turn: Turn) -> str:
    """A row by its place from the line; in four-way work with its quarter, or as a row of all of them."""
    if line_kind(panel) == "four-way":
        quarters = [job.say(f"quarter.{QUARTERS[at]}") for at in sorted({each % 4 for each in turn.courses})]
        return job.say("order.quarter", row=turn.rows[0], quarters=quarters)
    charted = line_kind(panel) == "charted"
    return job.say("order.rows", rows=turn.rows, charted=charted, sideways=turn.sideways)


def _ring_name(job: Job, rings: Rings, turn: Turn) -> str:
    """A line by its number from the top; a ring by the lines that it lies between, or as that of all shapes.

    Half a ring is named where the other half is worked in a turn of its own.
    """
    count = len(rings.lines)
    if turn.rows[0] == 0:
        return job.say("order.ring_line", number=rings.lines.index(turn.courses[0]) + 1, lines=count)
    gaps = {rings.above[course] for course in turn.courses}
    above = min(gaps)
    place = "all" if len(gaps) > 1 else "top" if not above else "bottom" if above == count else "between"
    half = rings.halves.get(turn.courses[0], "") if len(turn.courses) == 1 else ""
    return job.say("order.ring", ring=turn.rows[0], place=place, above=above, lines=count, half=half)


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
    upper = [middles[line] < panel.cover.rows / 2 for line in lines]
    bottoms = np.repeat(np.where(upper, 0, panel.cover.rows + 2), columns).reshape(len(lines), columns)
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
