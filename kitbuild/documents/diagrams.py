"""Diagrams of hand movements, drawn from the model: the same holes and counts as the order of work."""

from __future__ import annotations

import math

import numpy as np

from kitbuild.base.blocks import Figure, LineMarks, Mark, PolygonMark, TextMark
from kitbuild.base.colour import BLACK, WHITE
from kitbuild.base.units import up
from kitbuild.documents.drawing import BACK, BAR, SHADE, for_hand, grid, mirrored, stitches
from kitbuild.documents.job import Job
from kitbuild.quantity.amounts import PieceAmounts


def one_stitch(job: Job, over: int) -> Figure:
    """One stitch over `over` bars on this chart's grid, its holes counted, both ends included."""
    columns, rows, hole = 3, over + 3, 6.5
    marks: list[Mark] = [LineMarks(grid(columns, rows, hole), 0.2, BAR)]
    marks.append(stitches(job, [(2, 2, 2, over + 2)], [0], hole, symbols=False))
    for at in range(over + 1):
        y = (at + 1.5) * hole
        marks.append(TextMark(2 * hole + 1.5, y + 1.2, str(at + 1), 9))
    return Figure(
        job.say("diagram.one_stitch.alt", over=over), (columns + 1) * hole, rows * hole, tuple(marks)
    )


def threader(job: Job) -> Figure:
    """A strip of paper folded over the thread's end, its fold pushed through the needle's eye."""
    say = job.say
    turn = [math.tau * at / 40 for at in range(41)]
    eye = [(34 + 10 * math.cos(a), 14 + 3.6 * math.sin(a)) for a in turn[:-1]]
    back = [(34 + 15 * math.cos(a), 14 + 6.4 * math.sin(a)) for a in turn if math.cos(a) >= -0.5]
    back = sorted(back, key=lambda at: math.atan2(at[1] - 14, at[0] - 34))
    needle = ((2.0, 14.0), (14.0, 12.4), *back, (14.0, 15.6))
    strip = ((29.0, 12.4), (70.0, 11.0), (70.0, 17.0), (29.0, 15.6))
    fold = np.array([(29.0, 12.4, 29.0, 15.6)])
    thread = np.array([(33.0, 14.0, 78.0, 14.0), (78.0, 14.0, 92.0, 18.0)])
    leaders = np.array(
        [
            (22.0, 23.5, 25.5, 15.6),
            (38.0, 23.5, 29.2, 15.4),
            (60.0, 23.5, 60.0, 16.4),
            (84.0, 23.5, 84.0, 16.2),
        ]
    )
    marks: tuple[Mark, ...] = (
        PolygonMark(needle, fill=SHADE, outline=BLACK, pen_mm=0.3),
        PolygonMark(tuple(eye), fill=WHITE, outline=BLACK, pen_mm=0.3),
        PolygonMark(strip, fill=WHITE, outline=BLACK, pen_mm=0.3),
        LineMarks(thread, 1.2, BACK, (1.4, 0.7)),
        LineMarks(fold, 0.8, BLACK),
        LineMarks(leaders, 0.25, BLACK),
        TextMark(20.0, 26.8, say("diagram.threader.needle"), 8, "middle"),
        TextMark(38.0, 26.8, say("diagram.threader.fold"), 8, "middle"),
        TextMark(60.0, 26.8, say("diagram.threader.paper"), 8, "middle"),
        TextMark(84.0, 26.8, say("diagram.threader.thread"), 8, "middle"),
    )
    return for_hand(job, Figure(say("diagram.threader.alt"), 98.0, 29.0, marks))


def fasten_off(job: Job, each: PieceAmounts) -> Figure:
    """The back of a row: the thread run under so many finished stitches, its end trimmed flush."""
    return _under(job, each, "fasten_off")


def fasten_on(job: Job, each: PieceAmounts) -> Figure:
    """The back of a row: a new thread run under it from the far side, out where the work goes on."""
    return _under(job, each, "fasten_on")


def _under(job: Job, each: PieceAmounts, way: str) -> Figure:
    """The thread under a row of stitches, seen from the back, with the end that leads to the needle.

    What the right hand has finished lies to the right there, since the canvas is turned over.
    """
    under = run_under_stitches(job, each)
    shown, over = under + 3, 4
    wide = min(6.0, 160 / (shown + 4))
    high, first = over * 4.0, 2 * wide
    ends = np.array([(first + at * wide, 3.0, first + at * wide, 3.0 + high) for at in range(shown)])
    middle, near = 3.0 + high / 2, first + (under - 0.5) * wide
    off = way == "fasten_off"
    run = np.array([(first - 0.5 * wide - (1 if off else 2), middle, near, middle)])
    free = np.array([(near, middle, near + 2.2 * wide, 3.0 if off else 3.0 + high)])
    arrow = _arrow(first - 0.5 * wide, middle, -1) if off else _arrow(*free[0, 2:].tolist(), 1)
    marks: list[Mark] = [
        LineMarks(run, 1.1, BLACK),
        LineMarks(ends, wide * 0.62, BACK),
        LineMarks(ends, wide * 0.5, SHADE),
        LineMarks(run, 0.3, BLACK, (0.8, 1.0)),
        LineMarks(free, 1.1, BLACK),
        arrow,
    ]
    width = (shown + 4) * wide
    words = job.say(f"diagram.{way}.words", stitches=under)
    marks.append(TextMark(width / 2, high + 8.5, words, 8, "middle"))
    alt = job.say(f"diagram.{way}.alt", stitches=under)
    figure = Figure(alt, width, high + 11, tuple(marks))
    return figure if job.left else mirrored(figure)


def _arrow(x: float, y: float, way: int) -> PolygonMark:
    """An arrow head whose tip points right (1) or left (-1)."""
    return PolygonMark(((x + 2.6 * way, y), (x, y - 1.5), (x, y + 1.5)), fill=BLACK)


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
    marks.append(LineMarks(grid(columns, rows, hole) + np.array([0, top, 0, top]), 0.2, BAR))
    colour = job.kit.colour_index(each.panel.piece.finish.colour)
    ends = [(first, row, last, row) for row in range(1, rows - 1)]
    marks.append(stitches(job, ends, [colour] * len(ends), hole, 0.5, origin=(-hole / 2, top - hole / 2)))
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
    return for_hand(job, Figure(alt, columns * hole, top + rows * hole + 1, tuple(marks)))


def edge(job: Job, each: PieceAmounts) -> Figure:
    """Overcast stitches along the top edge, and in an outside corner where there is one."""
    piece = each.panel.piece
    bars = 1 + piece.finish.kept_rows
    corner = piece.finish.corner if piece.finish.kind == "flat" else 0
    hole, columns, rows = 6.5, 9, bars + 2
    left, top = 6.0, 6.0
    marks: list[Mark] = [LineMarks(grid(columns, rows, hole) + np.array([left, top, left, top]), 0.2, BAR)]
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
    return for_hand(job, Figure(alt, left + columns * hole + 2, top + rows * hole + 1, tuple(marks)))


def join(job: Job) -> Figure:
    """Two edges side by side from the front, hole beside hole, an overcast stitch over both bars in each."""
    hole, columns, rows = 6.5, 8, 3
    top = (rows - 0.0) * hole
    grids = [grid(columns, rows, hole), grid(columns, rows, hole) + np.array([0, top, 0, top])]
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
    return for_hand(job, Figure(job.say("diagram.join.alt"), columns * hole, 2 * rows * hole, marks))


def _corner_end(
    left: float, top: float, hole: float, at: int, corner: int
) -> tuple[float, float, float, float]:
    """One of the corner's stitches: from the corner hole out over the corner, fanned."""
    angle = math.pi * (1.0 + 0.5 * (at + 0.5) / corner)
    x, y = left + hole / 2, top + hole / 2
    reach = hole * 0.5 + 3.2
    return (x, y, x + reach * math.cos(angle), y + reach * math.sin(angle))
