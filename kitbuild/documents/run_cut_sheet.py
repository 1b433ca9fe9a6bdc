"""The cutter's sheet of a run: every different sheet once, its cuts in order, and how often it is cut so."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

from kitbuild.base.blocks import Block, Heading, Paragraph, Steps, Table
from kitbuild.base.document import Document
from kitbuild.documents.cut_sheet import sheet_figure
from kitbuild.documents.run_job import RunJob
from kitbuild.production.cut_records import Layout
from kitbuild.production.cutting import CutSheet
from kitbuild.production.run_cuts import CanvasCut


def run_cut_sheet(job: RunJob) -> Document:
    """The cut plan of all canvases."""
    return job.document("cut-list", "cut", _blocks(job))


def _blocks(job: RunJob) -> Iterator[Block]:
    say = job.say
    yield Heading(1, say("run.cut.heading", run=job.run.name))
    how = [say("cut.how.count")]
    for canvas in sorted({(cut.canvas.weave, cut.canvas.kerf) for cut in job.run.cuts}):
        how.append(say(f"cut.how.{canvas[0]}", kerf=canvas[1]))
    yield Steps((*how, say("cut.how.top")), "dot")
    number = 1
    for cut in job.run.cuts:
        yield from _canvas(job, cut, number)
        number += len(cut.sheets)


def _canvas(job: RunJob, cut: CanvasCut, number: int) -> Iterator[Block]:
    say, currency = job.say, job.house.currency
    money = say.speech.money
    plan = cut.cutting
    yield Heading(2, job.own(cut.canvas.title))
    yield Paragraph(
        say(
            "run.cut.lead",
            sheets=plan.sheets,
            cost=money(_up(plan.cost), currency),
            bound=money(_up(plan.bound), currency),
            waste=money(_up(cut.waste), currency),
            method=plan.method,
            ended=plan.ended,
        )
    )
    header = tuple(say(f"run.cut.column.{name}") for name in ("stock", "bin", "lot", "take"))
    rows = tuple(
        (
            draw.lot.item,
            draw.lot.bin,
            draw.lot.lot,
            job.measured(job.items[draw.lot.item], draw.quantity),
        )
        for draw in cut.draws
    )
    yield Table(header, rows, (0.3, 0.2, 0.3, 0.2), "lllr", say("run.cut.take"))
    yield _blanks(job, cut)
    for layout, sheet in cut.layouts:
        yield from _layout(job, cut, layout, sheet, number)
        number += layout.count


def _blanks(job: RunJob, cut: CanvasCut) -> Table:
    """How many blanks of each piece come off this canvas, for all boxes of its kit."""
    laid = Counter(placed.blank for sheet in cut.sheets for placed in sheet.placed)
    pieces = Counter[tuple[str, str, int, int]]()
    for blank, many in laid.items():
        pieces[blank.kit, job.own(blank.piece.title), blank.columns, blank.rows] += many
    say = job.say
    header = (
        say("run.check.column.kit"),
        say("cut.column.piece"),
        say("cut.column.holes"),
        say("run.check.column.blanks"),
    )
    rows = tuple(
        (kit, title, say("size.holes", columns=columns, rows=rows), str(many))
        for (kit, title, columns, rows), many in sorted(pieces.items())
    )
    return Table(header, rows, (0.2, 0.4, 0.25, 0.15), "lllr", say("run.cut.blanks"))


def _layout(job: RunJob, cut: CanvasCut, layout: Layout, sheet: CutSheet, number: int) -> Iterator[Block]:
    say = job.say
    last, roll = number + layout.count - 1, sheet.stock.form == "roll"
    yield Heading(3, say("run.cut.layout", first=number, last=last, layout=layout, roll=roll))
    kit = sheet.placed[0].blank.kit
    yield sheet_figure(job.jobs[kit], replace(sheet, number=number))
    yield Paragraph(say("run.cut.layout.text", layout=layout, title=job.own(sheet.stock.title), roll=roll))
    if layout.cuts:
        yield Paragraph(say("run.cut.cuts", cuts=len(layout.cuts)))
    yield Steps(tuple(say("run.cut.cut", cut=each, kerf=cut.canvas.kerf) for each in layout.cuts))
    keep = Counter((each.columns, each.rows) for each in layout.offcuts)
    for (columns, rows), many in sorted(keep.items()):
        yield Paragraph(say("run.cut.keep", columns=columns, rows=rows, many=many * layout.count))


def _up(amount: object) -> int:
    return -(-amount // 1)  # type: ignore[operator, no-any-return]
