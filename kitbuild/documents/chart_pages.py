"""The chart pages of one piece: one repeat with its ends, the line alone, the map, the whole piece."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from kitbuild.base.blocks import (
    Block,
    Figure,
    Heading,
    Mark,
    PageBreak,
    Paragraph,
    Steps,
    TextMark,
)
from kitbuild.documents.chart import chart, paper_behind, visible
from kitbuild.documents.chart_edges import SIDES, Side, page_names, seam_marks, trim_marks
from kitbuild.documents.chart_plan import Holes, Plan, compressed_columns, key, planned, read, whole, words_mm
from kitbuild.documents.chart_type import MM
from kitbuild.documents.job import Job
from kitbuild.documents.line_groups import groups_of, turnings
from kitbuild.documents.line_words import line_words
from kitbuild.documents.shape_marks import shape_marks
from kitbuild.documents.tiles import Tile, Tiling
from kitbuild.documents.turn_marks import turn_marks
from kitbuild.documents.window import Window
from kitbuild.documents.words import (
    bars_text,
    is_sideways,
    line_kind,
    line_stitches,
    lines_together,
)
from kitbuild.pattern.panel import Ints, Panel, Stitches
from kitbuild.quantity.amounts import PieceAmounts

ROOM_FOR_COUNTS = 2
"""Hole rows below the line that its chart shows, for the counts of the lowest groups."""


def repeat_pages(job: Job, each: PieceAmounts) -> Iterator[Block]:
    """One repeat between its ends, with brackets that say how often to work it."""
    panel, say = each.panel, job.say
    rows = _repeat_rows(panel)
    words = say("repeat.text", repeat=panel.repeat, columns=panel.cover.columns)
    if rows != (1, panel.cover.rows):
        words += " " + say("repeat.rows", bars=panel.repeat.bars, top=rows[0], bottom=rows[1])
    yield Paragraph(words)
    yield from _compressed(job, each, panel.stitches, _repeat_plan(job, panel, rows, words), "repeat")


def _repeat_plan(job: Job, panel: Panel, rows: tuple[int, int], words: str) -> Plan:
    """The fewest pages of a repeat: below its words, or on its own, each part below a heading."""
    title = job.say("repeat.heading", piece=job.own(panel.piece.title))
    columns, spans = compressed_columns(job, panel)
    below, bare, headed = (
        planned(job, panel, columns, rows, spans, read(job, above_mm))
        for above_mm in (words_mm(job, title, words), 0.0, words_mm(job, title))
    )
    alone = bare if len(bare.tiling.tiles) == 1 else headed
    return min(below, alone, key=lambda plan: len(plan.tiling.tiles))


def line_pages(job: Job, each: PieceAmounts) -> Iterator[Block]:
    """The line alone with the counts of its groups."""
    panel, line = each.panel, line_stitches(each.panel)
    cut = _cut_short(panel, line)
    lines, together = len(np.unique(panel.stitches.course[panel.stitches.row == 0])), lines_together(panel)
    parts = line_words(job, each)
    overs = panel.piece.pattern.overs
    values = {"cut": cut, "lines": lines, "together": together, "left": job.left}
    yield Paragraph(
        job.say(
            f"line.text.{line_kind(panel)}",
            overs=overs,
            bars=bars_text(job, overs),
            sideways=is_sideways(line),
            **values,
        )
    )
    yield Steps(parts, "dot")
    if turnings(groups_of(panel, job.hand)):
        yield Paragraph(job.say("line.turns"))
    yield from line_charts(job, each)


def line_charts(job: Job, each: PieceAmounts) -> Iterator[Block]:
    """The line alone, drawn with the counts of its groups."""
    panel, line = each.panel, line_stitches(each.panel)
    lowest = min(int(line.y2.max()) + ROOM_FOR_COUNTS, panel.cover.rows)
    columns, spans = compressed_columns(job, panel)
    columns = columns if spans else _columns_of(line, panel.cover.columns)
    sizes = job.chart_sizes
    holes = Holes(sizes.line_words_mm, sizes.least_hole_mm, sizes.line_hole_mm)
    plan = planned(job, panel, columns, (int(line.y1.min()), lowest), spans, holes)
    yield from _compressed(job, each, line, plan, "line")


def _cut_short(panel: Panel, line: Stitches) -> int:
    """How many stitches of the line an edge cuts short; 0 where lengths are mixed or drawn."""
    overs = panel.piece.pattern.overs
    return int(np.count_nonzero(line.length() != overs[0])) if len(overs) == 1 else 0


def whole_pages(job: Job, each: PieceAmounts) -> Iterator[Block]:
    """The whole piece, page by page; in large print what its edges tell is not said again above it."""
    panel, say = each.panel, job.say
    plan, title = whole(job, panel), job.own(panel.piece.title)
    tiles = plan.tiling.tiles
    yield PageBreak()
    for tile in tiles:
        beside = _neighbours_text(job, plan.tiling, tile)
        yield Heading(2, say("whole.heading", piece=title, tile=tile, pages=len(tiles)))
        if not job.edition.large:
            yield Paragraph(say("whole.text", tile=tile, neighbours=beside), style="small")
        yield _tile_figure(job, each, plan, tile)


def whole_tiling(job: Job, panel: Panel) -> Tiling:
    """How the whole piece is divided over this job's paper."""
    return whole(job, panel).tiling


def first_stitch(job: Job, each: PieceAmounts) -> tuple[int, int, int, int]:
    """x1, y1, x2, y2 of the stitch that the order of work begins with."""
    work, at = each.panel.stitches, int(job.order(each).stitch[0])
    return int(work.x1[at]), int(work.y1[at]), int(work.x2[at]), int(work.y2[at])


def _tile_figure(job: Job, each: PieceAmounts, plan: Plan, tile: Tile) -> Figure:
    panel, window, say = each.panel, plan.window(tile), job.say
    names = {
        side: (number, say("whole.edge", number=number))
        for side, number in neighbours(plan.tiling, tile).items()
    }
    edges = (
        *trim_marks(window, panel),
        *(shape_marks(window, panel, first_stitch(job, each)) if panel.piece.outline else ()),
        *seam_marks(window, panel, say("whole.seam")),
        *page_names(window, names),
    )
    return chart(
        say("whole.alt", piece=job.own(panel.piece.title), tile=tile),
        window,
        panel.stitches,
        job.inks,
        (panel.cover.columns, panel.cover.rows),
        first_stitch=first_stitch(job, each),
        spans=plan.spans_on(tile),
        notes=edges,
        key=key(job, panel.stitches),
        scale=_scale_words(job),
    )


def _scale_words(job: Job) -> str:
    """What stands beside the bar to measure; a screen has none, since it shows things in any size."""
    return "" if job.sheet.endless else job.say("scale.words")


def neighbours(plan: Tiling, tile: Tile) -> dict[Side, int]:
    """The numbers of the pages that carry on at the sides of a tile."""
    at = {(each.across, each.down): each.number for each in plan.tiles}
    places = {side: (tile.across + dx, tile.down + dy) for side, (dx, dy) in SIDES.items()}
    return {side: at[place] for side, place in places.items() if place in at}


def _neighbours_text(job: Job, plan: Tiling, tile: Tile) -> str:
    """Which pages carry on at the sides of a tile, in words."""
    beside = neighbours(plan, tile).items()
    return job.say("list.joiner").join(
        job.say(f"whole.neighbour.{side}", number=number) for side, number in beside
    )


def _repeat_rows(panel: Panel) -> tuple[int, int]:
    """Rows that show the whole picture once, from the line's top on; all rows where that saves little."""
    rows, bars = panel.cover.rows, panel.repeat.bars
    line = panel.stitches.take(panel.stitches.course == 0)
    depth = int(line.y1.max()) - int(line.y1.min())
    top = max(1, int(line.y1.min()))
    bottom = top + bars + depth
    if rows <= 1.5 * (bars + depth):
        return 1, rows
    shift = max(0, bottom - rows)
    return max(1, top - shift), min(rows, bottom - shift)


def _compressed(job: Job, each: PieceAmounts, stitches: Stitches, plan: Plan, kind: str) -> Iterator[Block]:
    """Left end, one repeat and right end side by side, on as many figures as a plan has."""
    panel = each.panel
    groups: list[Group] = []
    if kind == "line" and not is_sideways(stitches):
        groups = line_groups(stitches, plan.columns, frozenset(span.first for span in plan.spans[1:]))
    for tile in plan.tiling.tiles:
        window = plan.window(tile)
        if kind == "line" and not shows_news(window, stitches):
            continue
        first, last = int(window.columns[0]), int(window.columns[-1])
        if kind == "repeat":
            yield from _part_heading(job, panel, plan.tiling, tile)
        yield chart(
            job.say(f"{kind}.alt", piece=job.own(panel.piece.title), first=first, last=last),
            window,
            stitches,
            job.inks,
            (panel.cover.columns, panel.cover.rows),
            first_stitch=first_stitch(job, each),
            spans=plan.spans_on(tile),
            notes=(
                *_group_counts(window, groups),
                *(turn_marks(job, panel, window) if groups else ()),
                *(page_names(window, _parts_beside(job, plan.tiling, tile)) if kind == "repeat" else ()),
            ),
            key=key(job, stitches),
            scale=_scale_words(job),
        )


def shows_news(window: Window, stitches: Stitches) -> bool:
    """Whether any stitch stands in a window with its middle where no page before showed it."""
    _, x, y = visible(window, stitches)
    fresh = (x > window.repeated_columns + 0.5) & (y > window.top + window.repeated_rows - 0.5)
    return bool(fresh.any())


def _part_heading(job: Job, panel: Panel, plan: Tiling, tile: Tile) -> Iterator[Heading]:
    """Which part of a divided repeat follows; nothing for one in a single piece."""
    if len(plan.tiles) > 1:
        piece = job.own(panel.piece.title)
        yield Heading(3, job.say("repeat.part", piece=piece, tile=tile, pages=len(plan.tiles)))


def _parts_beside(job: Job, plan: Tiling, tile: Tile) -> dict[Side, tuple[int, str]]:
    """The parts of a divided repeat that carry on at the sides of a tile."""
    beside = neighbours(plan, tile).items()
    return {side: (number, job.say("repeat.edge", number=number)) for side, number in beside}


def _columns_of(stitches: Stitches, columns: int) -> Ints:
    """The columns in which these stitches stand, with one more at each side where there is one."""
    return np.arange(max(1, int(stitches.x1.min()) - 1), min(columns, int(stitches.x2.max()) + 1) + 1)


def _group_counts(window: Window, groups: list[Group]) -> Iterator[Mark]:
    """The number of stitches under each group of the line that has its middle in the window, on white."""
    place = {column: at for at, column in enumerate(window.columns.tolist(), 1)}
    for group in groups:
        middle = [place[column] for column in group.columns if column in place]
        shown = middle and window.top <= group.bottom <= window.bottom
        if shown and group.columns[len(group.columns) // 2] in place:
            x = window.x_mm((middle[0] + middle[-1]) / 2)
            size = window.sizes.number_pt
            y = window.y_mm(group.bottom) + window.hole_mm * 0.5 + 0.9 + size * MM
            text = str(len(group.columns))
            yield paper_behind(x, y, text, size)
            yield TextMark(x, y, text, size, "middle", bold=True)


@dataclass(frozen=True, slots=True)
class Group:
    """Stitches of the line side by side at one height, by their columns; `bottom` is their lower hole row."""

    columns: tuple[int, ...]
    bottom: int


def line_groups(line: Stitches, columns: Ints, breaks: frozenset[int]) -> list[Group]:
    """The groups of a line as a chart of `columns` shows them; none reaches over a break (display column)."""
    ends = {
        x: (y1, y2) for x, y1, y2 in zip(line.x1.tolist(), line.y1.tolist(), line.y2.tolist(), strict=True)
    }
    groups: list[Group] = []
    current: list[int] = []
    for at, column in enumerate(columns.tolist(), 1):
        before = current[-1] if current else None
        joins = before == column - 1 and at not in breaks and ends.get(column) == ends.get(before)
        if current and not joins:
            groups.append(Group(tuple(current), ends[current[-1]][1]))
            current = []
        if column in ends:
            current.append(column)
    return [*groups, Group(tuple(current), ends[current[-1]][1])] if current else groups
