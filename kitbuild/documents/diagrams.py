"""Diagrams of hand movements, drawn from the model: the same holes and counts as the order of work."""

from __future__ import annotations

import math

import numpy as np

from kitbuild.base.blocks import Figure, Floats, LineMarks, Mark, PolygonMark, StitchMarks, TextMark
from kitbuild.base.colour import BLACK, WHITE, Rgb
from kitbuild.base.units import up
from kitbuild.documents.job import Job
from kitbuild.quantity.amounts import PieceAmounts
from kitbuild.quantity.order import Order

BAR: Rgb = (205, 205, 205)
BACK: Rgb = (90, 90, 90)
SHADE: Rgb = (225, 225, 225)
_HOLE_MM = 8.0


def one_stitch(job: Job, over: int) -> Figure:
    """One stitch over `over` bars on this chart's grid, its holes counted, both ends included."""
    columns, rows, hole = 3, over + 3, 6.5
    marks: list[Mark] = [LineMarks(_grid(columns, rows, hole), 0.2, BAR)]
    marks.append(_stitches(job, [(2, 2, 2, over + 2)], [0], hole, symbols=False))
    for at in range(over + 1):
        y = (at + 1.5) * hole
        marks.append(TextMark(2 * hole + 1.5, y + 1.2, str(at + 1), 9))
    return Figure(
        job.say("diagram.one_stitch.alt", over=over), (columns + 1) * hole, rows * hole, tuple(marks)
    )


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


def needle_path(job: Job, each: PieceAmounts) -> Figure:
    """The first stitches of the order of work: up at odd numbers, down at even ones, back runs dashed."""
    order = each.thread.works["right"].order
    shown = shown_stitches(order)
    up_x, up_y, down_x, down_y = (array[:shown].tolist() for array in order.holes())
    left, top = min(up_x + down_x) - 1, min(up_y + down_y) - 1
    ends = [
        (a - left + 1, b - top + 1, c - left + 1, d - top + 1)
        for a, b, c, d in zip(up_x, up_y, down_x, down_y, strict=True)
    ]
    columns = max(up_x + down_x) - left + 2
    rows = max(up_y + down_y) - top + 2
    hole = min(_HOLE_MM, 150 / columns, 80 / rows)
    colours = each.panel.stitches.colour[order.stitch[:shown]].tolist()
    upright = [(min(a, c), min(b, d), max(a, c), max(b, d)) for a, b, c, d in ends]
    marks: list[Mark] = [
        LineMarks(_grid(columns, rows, hole), 0.2, BAR),
        _stitches(job, upright, colours, hole, 0.45),
    ]
    runs = _back_runs(ends, order.previous[:shown].tolist(), hole)
    marks.append(LineMarks(runs, 0.5, BACK, (1.2, 0.9)))
    for at, (x1, y1, x2, y2) in enumerate(ends):
        for number, (x, y) in ((2 * at + 1, (x1, y1)), (2 * at + 2, (x2, y2))):
            marks += _numbered_hole(x, y, number, hole)
    alt = job.say(
        "diagram.needle_path.alt",
        moves=[
            (2 * at + 1, a, b, 2 * at + 2, c, d)
            for at, (a, b, c, d) in enumerate(zip(up_x, up_y, down_x, down_y, strict=True))
        ],
    )
    return Figure(
        alt,
        columns * hole,
        rows * hole,
        tuple(marks),
        job.say(
            "diagram.needle_path.caption", stitches=shown, anew=bool((order.previous[1:shown] < 0).any())
        ),
    )


def fasten_off(job: Job, each: PieceAmounts) -> Figure:
    """The back of a row: the thread run under so many finished stitches, its end trimmed flush."""
    under = run_under_stitches(job, each)
    shown, over = under + 3, 4
    wide = min(6.0, 160 / (shown + 2))
    high = over * 4.0
    ends = np.array([((at + 1.5) * wide, 3.0, (at + 1.5) * wide, 3.0 + high) for at in range(shown)])
    middle = 3.0 + high / 2
    run = np.array([(1.5 * wide, middle, (under + 1.5) * wide + 2, middle)])
    marks: list[Mark] = [
        LineMarks(run, 1.1, BLACK),
        LineMarks(ends, wide * 0.62, BACK),
        LineMarks(ends, wide * 0.5, SHADE),
        LineMarks(run, 0.3, BLACK, (0.8, 1.0)),
        TextMark(
            (shown + 2) * wide / 2,
            high + 8.5,
            job.say("diagram.fasten_off.words", stitches=under),
            8,
            "middle",
        ),
    ]
    alt = job.say("diagram.fasten_off.alt", stitches=under)
    return Figure(alt, (shown + 2) * wide, high + 11, tuple(marks))


def run_under_stitches(job: Job, each: PieceAmounts) -> int:
    """Under how many finished stitches, side by side, the thread is run: its length in pitches, whole."""
    return up(job.kit.house.thread.run_under_mm / each.panel.piece.canvas.pitch_mm)


def seam(job: Job, each: PieceAmounts) -> Figure:
    """The overlap of a sleeve from above: the two ends hole on hole, a bar-seam stitch in each row."""
    overlap, hole, rows = each.panel.piece.finish.overlap, 6.5, 5
    columns = overlap + 6
    first = 3
    last = first + overlap + 1
    top = 6.0
    corner = (
        ((first + 0.0) * hole, top),
        ((last - 1.0) * hole, top),
        ((last - 1.0) * hole, top + rows * hole),
        ((first + 0.0) * hole, top + rows * hole),
    )
    marks: list[Mark] = [PolygonMark(corner, fill=SHADE)]
    grid = _grid(columns, rows, hole)
    marks.append(LineMarks(grid + np.array([0, top, 0, top]), 0.2, BAR))
    colour = job.kit.colour_index(each.panel.piece.finish.colour)
    ends = [(first, row, last, row) for row in range(1, rows - 1)]
    marks.append(_stitches(job, ends, [colour] * len(ends), hole, 0.5, origin=(-hole / 2, top - hole / 2)))
    marks.append(
        TextMark(
            (first + last - 1) * hole / 2,
            top - 1.8,
            job.say("diagram.seam.words", overlap=overlap),
            8,
            "middle",
        )
    )
    alt = job.say("diagram.seam.alt", overlap=overlap, over=overlap + 1)
    return Figure(alt, columns * hole, top + rows * hole + 1, tuple(marks))


def edge(job: Job, each: PieceAmounts) -> Figure:
    """Overcast stitches along the top edge, and in an outside corner where there is one."""
    piece = each.panel.piece
    bars = 1 + piece.finish.kept_rows
    corner = piece.finish.corner if piece.finish.kind == "flat" else 0
    hole, columns, rows = 6.5, 9, bars + 2
    left, top = 6.0, 6.0
    marks: list[Mark] = [LineMarks(_grid(columns, rows, hole) + np.array([left, top, left, top]), 0.2, BAR)]
    cut = [(left, top, left + columns * hole, top), (left, top, left, top + rows * hole)]
    marks.append(LineMarks(np.array(cut[: 2 if corner else 1]), 0.8, BLACK))
    rgb = job.ink(piece.finish.colour).rgb
    loops = [
        (left + (at + 0.5) * hole, top + (bars - 0.5) * hole, left + (at + 0.85) * hole, top - 1.6)
        for at in range(bool(corner), columns)
    ]
    marks += [LineMarks(np.array(loops), 2.6, BLACK), LineMarks(np.array(loops), 2.2, rgb)]
    if corner:
        turns = np.array([_corner_end(left, top, hole, at, corner) for at in range(corner)])
        marks += [LineMarks(turns, 2.2, BLACK), LineMarks(turns, 1.8, rgb)]
    alt = job.say("diagram.edge.alt", bars=bars, corner=corner)
    return Figure(alt, left + columns * hole + 2, top + rows * hole + 1, tuple(marks))


def join(job: Job) -> Figure:
    """Two edges side by side from the front, hole beside hole, an overcast stitch over both bars in each."""
    hole, columns, rows = 6.5, 8, 3
    top = (rows - 0.0) * hole
    grids = [_grid(columns, rows, hole), _grid(columns, rows, hole) + np.array([0, top, 0, top])]
    seam = np.array([(0, top, columns * hole, top)])
    ends = [(at + 0.3, rows - 0.5, at + 0.7, rows + 0.5) for at in range(columns)]
    stitches = np.array(ends) * hole
    rgb = job.ink(job.kit.joins[0].colour).rgb
    marks: tuple[Mark, ...] = (
        *(LineMarks(grid, 0.2, BAR) for grid in grids),
        LineMarks(seam, 1.0, BLACK),
        LineMarks(stitches, 2.6, BLACK),
        LineMarks(stitches, 2.2, rgb),
    )
    return Figure(job.say("diagram.join.alt"), columns * hole, 2 * rows * hole, marks)


def _corner_end(
    left: float, top: float, hole: float, at: int, corner: int
) -> tuple[float, float, float, float]:
    """One of the corner's stitches: from the corner hole out over the corner, fanned."""
    angle = math.pi * (1.0 + 0.5 * (at + 0.5) / corner)
    x, y = left + hole / 2, top + hole / 2
    reach = hole * 0.5 + 3.2
    return (x, y, x + reach * math.cos(angle), y + reach * math.sin(angle))


def _grid(columns: int, rows: int, hole: float) -> Floats:
    """Bars of a small grid whose left upper corner is the figure's."""
    upright = [(at * hole, 0, at * hole, rows * hole) for at in range(columns + 1)]
    across = [(0, at * hole, columns * hole, at * hole) for at in range(rows + 1)]
    return np.array([*upright, *across], dtype=np.float64)


def _stitches(
    job: Job,
    ends: list[tuple[int, int, int, int]],
    colours: list[int],
    hole: float,
    width: float = 0.6,
    *,
    symbols: bool = False,
    origin: tuple[float, float] | None = None,
) -> StitchMarks:
    """Stitches on a small grid; hole 1 has its middle half a hole in."""
    x1, y1, x2, y2 = (np.array(each, dtype=np.float64) for each in zip(*ends, strict=True))
    start = origin or (-hole / 2, -hole / 2)
    return StitchMarks(x1, y1, x2, y2, np.array(colours), job.inks, start, hole, width, symbols)


def _back_runs(ends: list[tuple[int, int, int, int]], previous: list[int], hole: float) -> Floats:
    """Lines on the back: to each up hole from the down hole of the stitch before it in the same start."""
    pairs = [(ends[before], end) for before, end in zip(previous, ends, strict=True) if before >= 0]
    runs = [(a[2] - 0.5, a[3] - 0.5, b[0] - 0.5, b[1] - 0.5) for a, b in pairs]
    return np.array(runs, dtype=np.float64).reshape(-1, 4) * hole


def _numbered_hole(x: int, y: int, number: int, hole: float) -> list[Mark]:
    """A number on a white disc at a hole."""
    middle_x, middle_y, radius = (x - 0.5) * hole, (y - 0.5) * hole, min(2.1, hole * 0.36)
    turn = [math.tau * at / 24 for at in range(24)]
    disc = tuple((middle_x + radius * math.cos(a), middle_y + radius * math.sin(a)) for a in turn)
    return [
        PolygonMark(disc, fill=WHITE, outline=BLACK, pen_mm=0.25),
        TextMark(middle_x, middle_y + radius * 0.45, str(number), radius * 3.6, "middle", bold=True),
    ]
