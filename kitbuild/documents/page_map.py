"""A small map before the chart pages of a piece: which part of it stands on which page."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from kitbuild.base.blocks import Block, Figure, Grid, Heading, Mark, Paragraph, PolygonMark, TextMark
from kitbuild.base.colour import BLACK
from kitbuild.documents.chart_pages import whole_tiling
from kitbuild.documents.chart_type import MM
from kitbuild.documents.job import Job
from kitbuild.documents.tiles import Tiling
from kitbuild.pattern.panel import Panel
from kitbuild.quantity.amounts import PieceAmounts

WIDE_MM: Final = 70.0
HIGH_MM: Final = 44.0
"""A map is no higher, so that the line and its words find room below it."""
LINES: Final = 2.0
"""But a page on it is never lower than so many lines of its number."""


def map_blocks(job: Job, each: PieceAmounts) -> Iterator[Block]:
    """Which part of a piece stands on which chart page; nothing for a chart of one page."""
    panel, say, plan = each.panel, job.say, whole_tiling(job, each.panel)
    if len(plan.tiles) > 1:
        yield Heading(2, say("whole.map.heading", piece=job.own(panel.piece.title)))
        words = say(
            "whole.map.text", pages=len(plan.tiles), columns=panel.cover.columns, rows=panel.cover.rows
        )
        yield Grid((0.5, 0.5), ((page_map(job, panel, plan),), (Paragraph(words),)))


def page_map(job: Job, panel: Panel, plan: Tiling) -> Figure:
    """A small map: which part of the piece stands on which chart page."""
    size = max(14, job.chart_sizes.number_pt)
    high = max(HIGH_MM, size * MM * LINES * plan.down)
    scale = min(WIDE_MM / panel.cover.columns, high / panel.cover.rows)
    marks: list[Mark] = []
    for tile in plan.tiles:
        left, top = (
            (tile.left - 1 + tile.repeated_columns) * scale,
            (tile.top - 1 + tile.repeated_rows) * scale,
        )
        right, bottom = tile.right * scale, tile.bottom * scale
        marks.append(
            PolygonMark(
                ((left, top), (right, top), (right, bottom), (left, bottom)), outline=BLACK, pen_mm=0.3
            )
        )
        marks.append(
            TextMark((left + right) / 2, (top + bottom) / 2 + 2, str(tile.number), size, "middle", bold=True)
        )
    rows = [[tile.number for tile in plan.tiles if tile.down == down] for down in range(plan.down)]
    return Figure(
        job.say("whole.map.alt", piece=job.own(panel.piece.title), rows=rows),
        panel.cover.columns * scale,
        panel.cover.rows * scale,
        tuple(marks),
    )
