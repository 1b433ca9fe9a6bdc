"""How charts are laid out on this job's paper: which columns, on which pages, under which brackets."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from kitbuild.documents.brackets import Span, bracket_lines
from kitbuild.documents.chart import room_mm
from kitbuild.documents.chart_key import Key, strip_lines, strip_mm
from kitbuild.documents.chart_type import USUAL, ChartType
from kitbuild.documents.job import Job
from kitbuild.documents.tiles import Tile, Tiling, tiling
from kitbuild.documents.window import Window
from kitbuild.pattern.panel import Ints, Panel, Stitches

STRIP_SHARE = 0.25
"""The share of a page that the strip of colours below its chart may take, else the key has it alone."""
SCREEN_HOLE_MM = 4.5
"""Every chart on a screen has holes of this size: it is read as it is, or the whole page is enlarged."""


@dataclass(frozen=True, slots=True, eq=False)
class Plan:
    """A chart's columns and hole rows divided over pages, with the lines of words over its brackets."""

    columns: Ints
    top: int
    tiling: Tiling
    spans: tuple[Span, ...] = ()
    lines: int = 0
    sizes: ChartType = USUAL

    def window(self, tile: Tile) -> Window:
        """What one page shows."""
        inner = range(tile.left + 1, tile.right + 1)
        return Window(
            self.columns[tile.left - 1 : tile.right],
            self.top + tile.top - 1,
            self.top + tile.bottom - 1,
            self.tiling.hole_mm,
            breaks=tuple(span.first - tile.left + 1 for span in self.spans[1:] if span.first in inner),
            repeated_columns=tile.repeated_columns,
            repeated_rows=tile.repeated_rows,
            bracket_lines=self.lines,
            sizes=self.sizes,
        )

    def spans_on(self, tile: Tile) -> tuple[Span, ...]:
        """The brackets of one page, cut off at its edges."""
        shown = (span for span in self.spans if span.last >= tile.left and span.first <= tile.right)
        return tuple(_inside(span, tile) for span in shown)

    def needed(self) -> int:
        """Lines of words that the brackets of some page need."""
        tiles = self.tiling.tiles
        return max(bracket_lines(self.window(tile), self.spans_on(tile)) for tile in tiles)


def planned(
    job: Job,
    panel: Panel,
    columns: Ints,
    rows: tuple[int, int],
    spans: tuple[Span, ...],
    words_mm: float,
    hole_mm: float | None = None,
) -> Plan:
    """The pages of a chart, with room for as many lines over its brackets as their words need."""
    high, sizes = rows[1] - rows[0] + 1, job.chart_sizes
    hole_mm = hole_mm or sizes.largest_hole_mm
    plan = Plan(columns, rows[0], Tiling(0, ()))
    for lines in range(bool(spans), len(spans) + 2):
        width, height = _room(job, panel, lines, len(columns))
        width = min(width, len(columns) * hole_mm)
        pages = tiling(len(columns), high, width, height - words_mm, sizes)
        plan = Plan(columns, rows[0], pages, spans, lines, sizes)
        if plan.needed() <= lines:
            break
    return plan


def whole(job: Job, panel: Panel) -> Plan:
    """The whole chart; brackets stand over it where there is one page and one repeat."""
    columns, rows = np.arange(1, panel.cover.columns + 1), (1, panel.cover.rows)
    spans = compressed_columns(job, panel)[1] if panel.repeat.count == 1 else ()
    plan = planned(job, panel, columns, rows, spans, 0)
    if spans and len(plan.tiling.tiles) > 1:
        plan = planned(job, panel, columns, rows, (), 0)
    return plan


def compressed_columns(job: Job, panel: Panel) -> tuple[Ints, tuple[Span, ...]]:
    """The columns of left end, one repeat and right end, and a bracket for each part that there is.

    The repeat is the one that the hand works first.
    """
    repeat, wide = panel.repeat, panel.cover.columns
    if not repeat.count or (repeat.count == 1 and not repeat.left and not repeat.right):
        count = np.arange(1, wide + 1)
        return count, ()
    left = np.arange(1, repeat.left + 1)
    first = repeat.left + (repeat.columns * (repeat.count - 1) if job.left else 0) + 1
    middle = np.arange(first, first + repeat.columns)
    right = np.arange(wide - repeat.right + 1, wide + 1)
    spans = []
    start = 1
    for name, part in (("left", left), ("repeat", middle), ("right", right)):
        if len(part):
            words = job.say(f"span.{name}", columns=len(part), count=repeat.count)
            spans.append(Span(start, start + len(part) - 1, words))
            start += len(part)
    return np.concatenate([left, middle, right]), tuple(spans)


def key(job: Job, stitches: Stitches) -> Key:
    """The colours of stitches with their names, in order; () where they would fill the page, or be wider."""
    used, sizes = np.unique(stitches.colour).tolist(), job.chart_sizes
    colours = tuple((job.inks[index], job.own(job.kit.palette[index].name)) for index in used)
    wide = sizes.least_strip_mm
    high = strip_lines(colours, wide, sizes) * sizes.strip_line_mm
    fits = high <= STRIP_SHARE * job.sheet.frame_height_mm and strip_mm(colours, wide, sizes) <= wide
    return colours if fits else ()


def _room(job: Job, panel: Panel, lines: int, columns: int) -> tuple[float, float]:
    """Width and height for the grid: what a page leaves; on a screen what these columns take."""
    if job.sheet.endless:
        return columns * SCREEN_HOLE_MM, math.inf
    sizes = job.chart_sizes
    height = job.sheet.frame_height_mm - sizes.heading_mm
    return room_mm(job.sheet.frame_width_mm, height, key(job, panel.stitches), lines, sizes, scaled=True)


def _inside(span: Span, tile: Tile) -> Span:
    """A bracket in a tile's own columns, cut off at its edges."""
    return Span(
        max(span.first, tile.left) - tile.left + 1, min(span.last, tile.right) - tile.left + 1, span.text
    )
