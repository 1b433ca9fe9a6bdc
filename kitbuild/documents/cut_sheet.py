"""The cutter's sheet: each sheet of canvas drawn with its blanks, and how to cut."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

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
from kitbuild.documents.chart_key import type_mm
from kitbuild.documents.job import Job
from kitbuild.documents.words import cautions
from kitbuild.production.cutting import CutSheet, Placed, size_mm

WASTE: Rgb = (235, 235, 235)
BLANK: Rgb = (255, 255, 255)
TITLE_PT: Final = 9.0
SIZE_PT: Final = 7.65
TITLED_MM: Final = 12.0
"""Lower blanks bear their size alone."""
AIR_MM: Final = 0.6
"""Between words and the edge of a blank."""
ARROW_MM: Final = 6.5
"""What the arrow to a blank's top edge takes of it."""


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
    title = job.own(placed.blank.piece.title) if height >= TITLED_MM else ""
    size = job.say("size.holes", columns=placed.columns, rows=placed.rows)
    arrow = _top_arrow(placed, x, y, width, height)
    return [_box(x, y, width, height, BLANK, 0.4), *_words(title, size, (x, y, width, height)), *arrow]


def _words(title: str, size: str, box: tuple[float, float, float, float]) -> Iterator[TextMark]:
    """What a blank is, in its middle: as large as its width allows, or upright where that is larger."""
    x, y, width, height = box
    middle_x, middle_y = x + width / 2, y + height / 2
    flat, upright = width - 2 * AIR_MM, height - 2 * (AIR_MM + ARROW_MM)
    lines = [(title, TITLE_PT), (size, SIZE_PT)]
    turned = all(_fitting(text, pt, upright) > _fitting(text, pt, flat) for text, pt in lines if text)
    for (text, pt), step in zip(lines, (-0.5, 0.4 * TITLE_PT), strict=True):
        if not text:
            continue
        fitted, bold = _fitting(text, pt, upright if turned else flat), pt == TITLE_PT
        if turned:
            yield TextMark(middle_x + step, middle_y, text, fitted, "middle", bold=bold, turned=True)
        else:
            yield TextMark(middle_x, middle_y + step, text, fitted, "middle", bold=bold)


def _fitting(text: str, size_pt: float, room_mm: float) -> float:
    """The type size in which words are no longer than a room: at most `size_pt`, at least a fifth of it."""
    return max(min(1.0, room_mm / type_mm(text, size_pt)), 0.2) * size_pt


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
