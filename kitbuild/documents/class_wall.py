"""The large chart of the line for the wall of a class: one sheet, or sheets to be joined."""

from __future__ import annotations

from collections.abc import Iterator

from kitbuild.base.blocks import Block, Figure, Heading, PageBreak, Paragraph
from kitbuild.base.document import Document
from kitbuild.documents.chart_pages import line_charts
from kitbuild.documents.class_job import ClassJob


def wall_chart(made: ClassJob) -> Document:
    """The line of the piece that is begun in class; `made` is on the sheet for the wall."""
    return made.document("wall-chart", _blocks(made))


def _blocks(made: ClassJob) -> Iterator[Block]:
    job, piece = made.job, made.piece
    title = job.own(piece.panel.piece.title)
    charts = [block for block in line_charts(job, piece) if isinstance(block, Figure)]
    for at, chart in enumerate(charts, 1):
        if at > 1:
            yield PageBreak()
        yield Heading(1 if at == 1 else 2, job.say("class.wall.heading", piece=title, at=at, of=len(charts)))
        if len(charts) > 1 and at == 1:
            yield Paragraph(job.say("class.wall.join", sheets=len(charts)))
        yield chart
