"""How charts are laid out on this job's paper: which columns, on which pages, under which brackets."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from kitbuild.documents.brackets import Span, bracket_lines
from kitbuild.documents.chart import room_mm
from kitbuild.documents.chart_key import Key, strip_lines, strip_mm, type_mm
from kitbuild.documents.chart_type import USUAL, ChartType, for_numbers
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


@dataclass(frozen=True, slots=True)
class Holes:
    """How large the holes of a chart may be, and the height in mm that words above it leave to others."""

    above_mm: float
    least_mm: float
    most_mm: float


def planned(
    job: Job, panel: Panel, columns: Ints, rows: tuple[int, int], spans: tuple[Span, ...], holes: Holes
) -> Plan:
    """The pages of a chart, with room for as many lines over its brackets as their words need.

    Where it stands on one page, its sides are no wider than its numbers.
    """
    narrow = for_numbers(job.chart_sizes, rows[1])
    plan = _planned(job, panel, columns, rows, spans, holes, narrow)
    return plan if len(plan.tiling.tiles) == 1 else _planned(job, panel, columns, rows, spans, holes)


def _planned(
    job: Job,
    panel: Panel,
    columns: Ints,
    rows: tuple[int, int],
    spans: tuple[Span, ...],
    holes: Holes,
    sizes: ChartType | None = None,
) -> Plan:
    high, sizes = rows[1] - rows[0] + 1, sizes or job.chart_sizes
    plan = Plan(columns, rows[0], Tiling(0, ()))
    for lines in range(bool(spans), len(spans) + 2):
        width, height = _room(job, panel, lines, len(columns), holes, sizes)
        pages = tiling(len(columns), high, width, height, sizes, holes.least_mm)
        plan = Plan(columns, rows[0], pages, spans, lines, sizes)
        if plan.needed() <= lines:
            break
    return plan


def whole(job: Job, panel: Panel) -> Plan:
    """The whole chart; brackets stand over it where there is one page and one repeat."""
    columns, rows = np.arange(1, panel.cover.columns + 1), (1, panel.cover.rows)
    spans = compressed_columns(job, panel)[1] if panel.repeat.count == 1 else ()
    one, several = (read(job, _whole_words_mm(job, panel, pages)) for pages in (1, 99))
    plan = planned(job, panel, columns, rows, spans, one)
    return plan if len(plan.tiling.tiles) == 1 else planned(job, panel, columns, rows, (), several)


def read(job: Job, above_mm: float) -> Holes:
    """Holes of a chart whose symbols are read, below words so high."""
    sizes = job.chart_sizes
    return Holes(above_mm, sizes.readable_hole_mm, sizes.largest_hole_mm)


def _whole_words_mm(job: Job, panel: Panel, pages: int) -> float:
    """Height of the heading of a whole chart; in large print it stands alone."""
    tile = Tile(pages, 0, 0, 1, panel.cover.columns, 1, panel.cover.rows, 0, 0)
    title = job.say("whole.heading", piece=job.own(panel.piece.title), tile=tile, pages=pages)
    return words_mm(job, title) + (0 if job.edition.large else 3 * job.chart_sizes.note[1])


def words_mm(job: Job, title: str, text: str = "") -> float:
    """A generous height of a heading, and of a text below it, above a chart."""
    sizes, height = job.chart_sizes, 0.0
    for words, (size, line), spread in ((title, sizes.title, 1.15), (text, sizes.text, 1.0)):
        if words:
            lines = math.ceil(type_mm(words, size) * spread / job.sheet.frame_width_mm)
            height += (lines + 0.5) * line
    return height


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
    used, sizes, inks = np.flatnonzero(np.bincount(stitches.colour)).tolist(), job.chart_sizes, job.inks
    colours = tuple((inks[index], job.own(job.kit.palette[index].name)) for index in used)
    wide = sizes.least_strip_mm
    high = strip_lines(colours, wide, sizes) * sizes.strip_line_mm
    fits = high <= STRIP_SHARE * job.sheet.frame_height_mm and strip_mm(colours, wide, sizes) <= wide
    return colours if fits else ()


def _room(
    job: Job, panel: Panel, lines: int, columns: int, holes: Holes, sizes: ChartType
) -> tuple[float, float]:
    """Width and height for the grid: what a page leaves to it; on a screen what these columns take."""
    if job.sheet.endless:
        return columns * SCREEN_HOLE_MM, math.inf
    height = job.sheet.frame_height_mm - holes.above_mm
    strip = key(job, panel.stitches)
    wide, high = room_mm(job.sheet.frame_width_mm, height, strip, lines, sizes, scaled=True)
    return min(wide, columns * holes.most_mm), high


def _inside(span: Span, tile: Tile) -> Span:
    """A bracket in a tile's own columns, cut off at its edges."""
    return Span(
        max(span.first, tile.left) - tile.left + 1, min(span.last, tile.right) - tile.left + 1, span.text
    )
