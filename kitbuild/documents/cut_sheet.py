"""The cutter's sheet: each sheet of canvas drawn with its blanks, and how to cut."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from kitbuild.base.blocks import (
    Block,
    Figure,
    Heading,
    LineMarks,
    Mark,
    Paragraph,
    PolygonMark,
    Steps,
    Table,
    TextMark,
)
from kitbuild.base.colour import BLACK, Rgb
from kitbuild.base.document import Document
from kitbuild.documents.job import Job
from kitbuild.documents.words import cautions
from kitbuild.production.cutting import CutSheet, Placed, size_mm

WASTE: Rgb = (235, 235, 235)
BLANK: Rgb = (255, 255, 255)


def cut_sheet(job: Job, suffix: str = "") -> Document:
    """The cut list of one kit."""
    return job.document("cut-list", "cut", _blocks(job), suffix)


def _blocks(job: Job) -> Iterator[Block]:
    say, kit, plan = job.say, job.kit, job.cut_plan
    yield Heading(1, say("cut.heading", title=job.own(kit.title)))
    yield Paragraph(say("cut.lead", code=kit.code, edition=kit.edition), "lead")
    yield from cautions(job, ("plastic_stubs",))
    yield Steps(tuple(_how(job)), "dot")
    yield _table(job)
    for sheet in plan.sheets:
        yield Heading(2, say("cut.sheet.heading", sheet=sheet))
        yield Paragraph(say("cut.sheet.text", sheet=sheet, blanks=len(sheet.placed)))
        yield sheet_figure(job, sheet)


def _how(job: Job) -> Iterator[str]:
    yield job.say("cut.how.count")
    for canvas in sorted({(s.canvas.weave, s.canvas.kerf) for s in job.cut_plan.sheets}):
        yield job.say(f"cut.how.{canvas[0]}", kerf=canvas[1])
    yield job.say("cut.how.top")


def _table(job: Job) -> Table:
    say = job.say
    header = tuple(say(f"cut.column.{name}") for name in ("sheet", "piece", "holes", "size", "at"))
    rows = tuple(
        (
            str(sheet.number),
            job.own(placed.blank.piece.title),
            say(
                "cut.holes_of",
                columns=placed.blank.columns,
                rows=placed.blank.rows,
                turned=placed.turned,
            ),
            say("cut.check", width=size_mm(placed)[0], height=size_mm(placed)[1]),
            say("cut.at", x=placed.x, y=placed.y),
        )
        for sheet in job.cut_plan.sheets
        for placed in sheet.placed
    )
    return Table(header, rows, (0.08, 0.22, 0.3, 0.2, 0.2), "rllll", say("cut.caption"))


def sheet_figure(job: Job, sheet: CutSheet) -> Figure:
    """One sheet to scale: blanks white, waste grey, sizes in holes, an arrow to each blank's top."""
    scale = min(150 / sheet.columns, 115 / sheet.rows)
    left, top = 12.0, 5.0
    width, height = sheet.columns * scale, sheet.rows * scale
    marks: list[Mark] = [_box(left, top, width, height, WASTE, 0.5)]
    for placed in sheet.placed:
        marks += _placed_marks(job, placed, left, top, scale)
    marks.append(TextMark(left + width / 2, top - 1.3, say_holes(job, sheet.columns), 8, "middle"))
    marks.append(TextMark(left - 2, top + height / 2, say_holes(job, sheet.rows), 8, "middle", turned=True))
    alt = job.say("cut.sheet.alt", sheet=sheet, blanks=len(sheet.placed))
    return Figure(alt, left + width + 2, top + height + 2, tuple(marks))


def say_holes(job: Job, holes: int) -> str:
    """A count of holes beside a drawing."""
    return job.say("cut.holes", holes=holes)


def _placed_marks(job: Job, placed: Placed, left: float, top: float, scale: float) -> list[Mark]:
    x, y = left + placed.x * scale, top + placed.y * scale
    width, height = placed.columns * scale, placed.rows * scale
    size_pt = 9.0
    middle = x + width / 2
    marks: list[Mark] = [_box(x, y, width, height, BLANK, 0.4)]
    if height >= 12:
        marks.append(
            TextMark(
                middle, y + height / 2 - 0.5, job.own(placed.blank.piece.title), size_pt, "middle", bold=True
            )
        )
    words = job.say("size.holes", columns=placed.columns, rows=placed.rows)
    marks.append(TextMark(middle, y + height / 2 + size_pt * 0.4, words, size_pt * 0.85, "middle"))
    return [*marks, *_top_arrow(placed, x, y, width, height)]


def _top_arrow(placed: Placed, x: float, y: float, width: float, height: float) -> list[Mark]:
    """An arrow to the blank's own top edge: upwards, or to the left when it lies turned."""
    if placed.turned:
        tip = (x + 1.0, y + height / 2)
        ends = (tip[0] + 3, tip[1] - 1.4), (tip[0] + 3, tip[1] + 1.4)
        shaft = (tip[0] + 3, tip[1], tip[0] + 5.5, tip[1])
    else:
        tip = (x + width / 2, y + 1.0)
        ends = (tip[0] - 1.4, tip[1] + 3), (tip[0] + 1.4, tip[1] + 3)
        shaft = (tip[0], tip[1] + 3, tip[0], tip[1] + 5.5)
    return [PolygonMark((tip, *ends), fill=BLACK), LineMarks(np.array([shaft]), 0.5, BLACK)]


def _box(left: float, top: float, width: float, height: float, fill: Rgb, pen_mm: float) -> PolygonMark:
    corners = ((left, top), (left + width, top), (left + width, top + height), (left, top + height))
    return PolygonMark(corners, fill=fill, outline=BLACK, pen_mm=pen_mm)
