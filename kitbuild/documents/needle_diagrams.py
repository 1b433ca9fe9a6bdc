"""The needle's way as pictures: the first stitches front and back, groups, a turn, a shared hole."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from kitbuild.base.blocks import Figure, LineMarks, Mark, PolygonMark, TextMark
from kitbuild.base.colour import BLACK
from kitbuild.documents.drawing import BACK, BAR, back_runs, grid, numbered_hole, stitches
from kitbuild.documents.job import Job
from kitbuild.documents.line_groups import Group, Turning
from kitbuild.pattern.panel import Stitches
from kitbuild.quantity.amounts import PieceAmounts
from kitbuild.quantity.order import Order

HOLE_MM = 7.0
MOST_HIGH_MM = 105.0
EXERCISE = 10
"""Stitches of the first exercise, where the work begins with as many in one go."""

Ends = tuple[int, int, int, int]


@dataclass(frozen=True, slots=True)
class Path:
    """The first stitches of an order as (up x, up y, down x, down y), and in a frame of their own.

    `before` is the place of the stitch before each in the same start, -1 at a start's first.
    """

    holes: tuple[Ends, ...]
    drawn: tuple[Ends, ...]
    before: tuple[int, ...]
    colours: tuple[int, ...]
    columns: int
    rows: int


def first_path(order: Order, count: int) -> Path:
    """The first `count` stitches of an order."""
    holes = tuple(zip(*(array[:count].tolist() for array in order.holes()), strict=True))
    xs, ys = [x for hole in holes for x in hole[::2]], [y for hole in holes for y in hole[1::2]]
    left, top = min(xs) - 2, min(ys) - 2
    drawn = tuple((a - left, b - top, c - left, d - top) for a, b, c, d in holes)
    colours = tuple(order.panel.stitches.colour[order.stitch[:count]].tolist())
    before = tuple(order.previous[:count].tolist())
    return Path(holes, drawn, before, colours, max(xs) - left + 1, max(ys) - top + 1)


def begun_together(order: Order, most: int) -> int:
    """How many stitches the work begins with in one go: of one colour, one course and one start."""
    work = order.panel.stitches.take(order.stitch[: most + 1])
    before = order.previous[: most + 1]
    other = (work.course != work.course[0]) | (work.colour != work.colour[0]) | (before < 0)
    breaks = np.flatnonzero(other[1:]) + 1
    return min(most, int(breaks[0]) if len(breaks) else len(work))


def exercise_front(job: Job, each: PieceAmounts) -> Figure:
    """The exercise from the front: up at odd numbers, down at even ones, runs on the back dashed."""
    return _front(job, each, begun_together(job.order(each), EXERCISE), "exercise_front", 82)


def exercise_back(job: Job, each: PieceAmounts) -> Figure:
    """The same stitches seen from the back: left and right exchanged, the runs and the tail lie on top."""
    path = first_path(job.order(each), begun_together(job.order(each), EXERCISE))
    hole = _hole_mm(path, 82)
    wide = path.columns + 1
    turned = [(wide - a, b, wide - c, d) for a, b, c, d in path.drawn]
    runs = back_runs(turned, list(path.before), hole)
    rgb = job.inks[path.colours[0]].rgb
    start = ((turned[0][0] - 0.5) * hole, (turned[0][1] - 0.5) * hole)
    middles = [((a + c) / 2, (b + d) / 2) for a, b, c, d in runs[:5].tolist()]
    tail = np.array([(*one, *other) for one, other in pairwise([start, *middles])]).reshape(-1, 4)
    marks: list[Mark] = [
        LineMarks(grid(path.columns, path.rows, hole), 0.2, BAR),
        LineMarks(tail, 1.0, BACK, (1.6, 0.8)),
        LineMarks(runs, 2.2, BLACK),
        LineMarks(runs, 1.7, rgb),
        *_numbers(turned, hole),
    ]
    say, count = job.say, len(path.holes)
    pairs = [(2 * at, 2 * at + 1) for at in range(1, count)]
    alt = say("diagram.exercise_back.alt", pairs=pairs)
    caption = say("diagram.exercise_back.caption", stitches=count)
    return Figure(alt, path.columns * hole, path.rows * hole, tuple(marks), caption)


def needle_path(job: Job, each: PieceAmounts) -> Figure:
    """The first stitches of the order of work, past the first change of direction where that comes soon."""
    return _front(job, each, shown_stitches(job.order(each)), "needle_path", 150)


def shown_stitches(order: Order, least: int = 6, most: int = 16) -> int:
    """How many stitches a needle diagram shows: past the first change of direction where that comes soon.

    They belong to the course and the colour that the work begins with.
    """
    work = order.panel.stitches.take(order.stitch[: most + 1])
    other = np.flatnonzero((work.course != work.course[0]) | (work.colour != work.colour[0]))
    most = min(most, int(other[0])) if len(other) else most
    changes = np.flatnonzero(np.diff(order.turned[:most])) + 1
    wanted = int(changes[0]) + 3 if len(changes) and changes[0] + 3 <= most else least
    return min(max(wanted, least), most, len(order.stitch))


def _from_corner(moves: Sequence[Ends]) -> list[Ends]:
    """Up and down holes counted from the left and the top of their picture, from 1."""
    left = min(min(a, c) for a, _, c, _ in moves) - 1
    top = min(min(b, d) for _, b, _, d in moves) - 1
    return [(a - left, b - top, c - left, d - top) for a, b, c, d in moves]


def _front(job: Job, each: PieceAmounts, count: int, name: str, wide_mm: float) -> Figure:
    path = first_path(job.order(each), count)
    hole = _hole_mm(path, wide_mm)
    laid = [(min(a, c), min(b, d), max(a, c), max(b, d)) for a, b, c, d in path.drawn]
    marks: list[Mark] = [
        LineMarks(grid(path.columns, path.rows, hole), 0.2, BAR),
        stitches(job, laid, list(path.colours), hole, 0.45),
        LineMarks(back_runs(list(path.drawn), list(path.before), hole), 0.5, BACK, (1.2, 0.9)),
        *_numbers(path.drawn, hole),
    ]
    moves = path.holes if name == "needle_path" else _from_corner(path.holes)
    alt = job.say(f"diagram.{name}.alt", moves=moves)
    anew = any(before < 0 for before in path.before[1:])
    caption = job.say(f"diagram.{name}.caption", stitches=len(path.holes), anew=anew)
    return Figure(alt, path.columns * hole, path.rows * hole, tuple(marks), caption)


def _hole_mm(path: Path, wide_mm: float) -> float:
    return min(HOLE_MM, wide_mm / path.columns, MOST_HIGH_MM / path.rows)


def _numbers(drawn: tuple[Ends, ...] | list[Ends], hole: float) -> list[Mark]:
    """Numbers at the holes in the order in which the needle meets them."""
    marks: list[Mark] = []
    for at, (x1, y1, x2, y2) in enumerate(drawn):
        for number, (x, y) in ((2 * at + 1, (x1, y1)), (2 * at + 2, (x2, y2))):
            marks += numbered_hole(x, y, number, hole)
    return marks


def two_groups(job: Job, each: PieceAmounts, groups: tuple[Group, ...]) -> Figure:
    """The first two groups of the line in order of work, with the stitches of each and the step between."""
    one, other = groups[:2]
    values = {
        "one": len(one.columns),
        "other": len(other.columns),
        "bars": abs(other.height - one.height),
        "way": "lower" if other.height > one.height else "higher",
        "columns": sorted([*one.columns, *other.columns]),
    }
    if len(each.panel.piece.pattern.overs) > 1:
        overs = {"one_over": one.bottom - one.top, "other_over": other.bottom - other.top}
        caption = job.say("diagram.mixed.caption", **values, **overs)
        return _grouped(job, each, groups[:2], job.say("diagram.mixed.alt"), caption)
    caption = job.say("diagram.groups.caption", **values)
    return _grouped(job, each, groups[:2], job.say("diagram.groups.alt"), caption)


def turn(job: Job, each: PieceAmounts, turning: Turning) -> Figure:
    """A turning point of the line with the groups before and after it."""
    values = {
        "kind": turning.kind,
        "groups": turning.groups,
        "stitches": len(turning.group.columns),
        "columns": turning.group.columns,
    }
    caption = job.say("diagram.turn.caption", **values)
    around = tuple(filter(None, (turning.before, turning.group, turning.after)))
    return _grouped(job, each, around, job.say("diagram.turn.alt"), caption)


def _grouped(job: Job, each: PieceAmounts, groups: tuple[Group, ...], alt: str, caption: str) -> Figure:
    """Groups of the line on a grid of their own, the number of stitches under each."""
    columns = [column for group in groups for column in group.columns]
    left, top = min(columns) - 2, min(group.top for group in groups) - 2
    wide, high = max(columns) - left + 1, max(group.bottom for group in groups) - top + 2
    hole = min(HOLE_MM, 82 / wide, 60 / high)
    ends = [(x - left, g.top - top, x - left, g.bottom - top) for g in groups for x in g.columns]
    colours = [g.colour for g in groups for _ in g.columns]
    marks: list[Mark] = [LineMarks(grid(wide, high, hole), 0.2, BAR), stitches(job, ends, colours, hole, 0.6)]
    for group in groups:
        middle = (min(group.columns) + max(group.columns)) / 2 - left - 0.5
        y = (group.bottom - top + 0.5) * hole
        marks.append(
            TextMark(middle * hole, y + min(4.0, hole), str(len(group.columns)), 9, "middle", bold=True)
        )
    return Figure(alt, wide * hole, high * hole, tuple(marks), caption)


@dataclass(frozen=True, slots=True)
class Shared:
    """Two stitches that meet in hole (x, y), the first worked before the second."""

    first: Ends
    second: Ends
    colours: tuple[int, int]
    x: int
    y: int


def shared_hole(order: Order) -> Shared | None:
    """The first stitch in order of work that ends where one worked in another course before it ends.

    One of another colour, where there is such a stitch.
    """
    work = order.panel.stitches.take(order.stitch)
    met: dict[tuple[int, int], int] = {}
    alike = None
    columns = (work.x1, work.y1, work.x2, work.y2)
    for at, ends in enumerate(zip(*(column.tolist() for column in columns), strict=True)):
        for hole in (ends[:2], ends[2:]):
            before = met.get(hole)
            if before is not None and work.course[before] != work.course[at] and _in_line(work, before, at):
                first = tuple(int(column[before]) for column in columns)
                colours = (int(work.colour[before]), int(work.colour[at]))
                found = Shared(first, ends, colours, *hole)  # type: ignore[arg-type]
                if colours[0] != colours[1]:
                    return found
                alike = alike or found
            met.setdefault(hole, at)
    return alike


def _in_line(work: Stitches, one: int, other: int) -> bool:
    """Whether two stitches lie in one column, or in one hole row."""
    return bool(
        work.x1[one] == work.x2[one] == work.x1[other] == work.x2[other]
        or work.y1[one] == work.y2[one] == work.y1[other] == work.y2[other]
    )


def sharing(job: Job, shared: Shared) -> Figure:
    """Two stitches in one hole, which is ringed."""
    ends = (shared.first, shared.second)
    xs, ys = [x for end in ends for x in end[::2]], [y for end in ends for y in end[1::2]]
    left, top = min(xs) - 2, min(ys) - 2
    wide, high = max(xs) - left + 1, max(ys) - top + 1
    hole = min(HOLE_MM, 60 / wide, 60 / high)
    drawn = [(a - left, b - top, c - left, d - top) for a, b, c, d in ends]
    x, y = (shared.x - left - 0.5) * hole, (shared.y - top - 0.5) * hole
    ring = tuple((x + 2.4 * np.cos(a), y + 2.4 * np.sin(a)) for a in np.linspace(0, 2 * np.pi, 25)[:-1])
    marks: list[Mark] = [
        LineMarks(grid(wide, high, hole), 0.2, BAR),
        stitches(job, drawn, list(shared.colours), hole, 0.6),
        PolygonMark(tuple((float(a), float(b)) for a, b in ring), outline=BLACK, pen_mm=0.6),
    ]
    names = [job.own(job.kit.palette[colour].name) for colour in shared.colours]
    values = {"x": shared.x, "y": shared.y, "first": names[0], "second": names[1]}
    caption = job.say("diagram.sharing.caption", **values)
    return Figure(job.say("diagram.sharing.alt"), wide * hole, high * hole, tuple(marks), caption)
