"""The packer's lists of a run: by bin for the walk through the store, by kit for the table."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from kitbuild.base.blocks import Block, Cell, Grid, Heading, PageBreak, Paragraph, Steps, Table, TickBox
from kitbuild.base.document import Document
from kitbuild.documents.pick_sheet import packing_order, small_pictures
from kitbuild.documents.run_job import RunJob, lot_text
from kitbuild.documents.unit_words import Unit
from kitbuild.documents.weigh_words import weigh_lines
from kitbuild.documents.words import holes_text, unit_of
from kitbuild.production.packing import packing, spans
from kitbuild.production.run_records import PickLine

MANY = 60
"""So many of one thing are easily miscounted: the list says to count them twice."""


def run_pick_sheet(job: RunJob) -> Document:
    """The pick list by bin."""
    return job.document("pick-list", "pick", _by_bin(job), wide=True)


def run_kit_sheet(job: RunJob) -> Document:
    """The pick list by kit."""
    return job.document("pick-list-by-kit", "kits", _by_kit(job))


def _by_bin(job: RunJob) -> Iterator[Block]:
    say, run = job.say, job.run
    yield Heading(1, say("run.pick.heading", run=run.name))
    boxes = sum(each.boxes for each in run.served)
    yield Paragraph(say("run.pick.lead", boxes=boxes, kits=len(run.kits), lines=len(run.lines)), "lead")
    if watch := tuple(_watch(job)):
        yield Heading(2, say("pick.watch.heading"))
        yield Steps(watch, "dot")
    names = (
        "line",
        "bin",
        "what",
        "colour",
        "lot",
        "kit",
        "quantity",
        "boxes",
        "picked",
        "short",
        "by",
        "again",
    )
    header = tuple(say(f"run.pick.column.{name}") for name in names)
    rows = tuple(_row(job, at, line) for at, line in enumerate(run.lines, 1))
    widths = (0.06, 0.06, 0.26, 0.13, 0.07, 0.07, 0.055, 0.1, 0.075, 0.05, 0.04, 0.03)
    yield Table(header, rows, widths, "llllllrlllll", say("run.pick.caption"), "big", (1, 6))
    yield Paragraph(say("run.pick.totals", totals=_totals(job)))
    if boxes := _boxes(job):
        yield Paragraph(say("run.pick.boxes", boxes=boxes))
    yield Paragraph(say("pick.sign"))


def _row(job: RunJob, at: int, line: PickLine) -> tuple[Cell, ...]:
    unit = job.unit(line.kit, line.pick, line.quantity)
    return (
        TickBox(str(at)),
        line.bin,
        job.what(line.kit, line.pick),
        job.colour(line.kit, line.pick),
        job.lot(line),
        line.kit,
        str(line.quantity),
        job.say("run.times", each=line.pick.quantity, boxes=line.boxes, unit=unit),
        "",
        "",
        "",
        TickBox(),
    )


def _totals(job: RunJob) -> str:
    """How many of each unit are picked in all."""
    sums: Counter[Unit] = Counter()
    for line in job.run.lines:
        sums[unit_of(line.pick)] += line.quantity
    parts = sorted((unit.word(job.say), unit.counted(job.say, total)) for unit, total in sums.items())
    return job.say("list.joiner").join(counted for _, counted in parts)


def _boxes(job: RunJob) -> str:
    """How many boxes of each type are needed, "" where no kit names one."""
    sums: Counter[str] = Counter()
    for code in job.run.kits:
        if box := job.jobs[code].kit.box:
            sums[job.own(box.title)] += job.run.boxes(code)
    parts = [job.say("run.total_of", unit=title, total=total) for title, total in sorted(sums.items())]
    return job.say("list.joiner").join(parts)


def _watch(job: RunJob) -> Iterator[str]:
    """Exceptions: boxes of one kit from several lots, large numbers, orders that wait."""
    say, run = job.say, job.run
    lots: dict[tuple[str, str], list[PickLine]] = {}
    for line in run.lines:
        if line.pick.kind in ("thread", "bundle"):
            lots.setdefault((line.kit, line.pick.item), []).append(line)
    filled = _filled(job)
    for (kit, item), lines in sorted(lots.items()):
        shares = [_share(job, line, filled) for line in lines]
        if lines[0].pick.kind == "bundle":
            yield say("run.watch.bundles", kit=kit, shares=say("list.joiner").join(shares))
        elif len(lines) > 1:
            yield say("run.watch.lots", kit=kit, item=item, shares=say("list.joiner").join(shares))
    for at, line in enumerate(run.lines, 1):
        if line.quantity >= MANY:
            yield say("run.watch.many", line=at, quantity=line.quantity, bin=line.bin)
    for each in run.served:
        if each.waits:
            yield say("run.watch.waits", served=each, lacks=say("list.comma").join(each.lacks))


def _filled(job: RunJob) -> dict[int, tuple[int, int]]:
    """The first and the last box that each line of thread fills, by the line's identity."""
    found = spans(packing(job.run))
    return {id(line): found[at] for at, line in enumerate(job.run.lines, 1) if at in found}


def _share(job: RunJob, line: PickLine, filled: Mapping[int, tuple[int, int]]) -> str:
    """A lot with the boxes that it is for: by their numbers where each box is of one lot."""
    if id(line) not in filled:
        return job.say("run.lot_share", lot=job.lot(line), boxes=line.boxes)
    first, last = filled[id(line)]
    return job.say("run.lot_boxes", lot=lot_text(line), first=first, last=last)


def _by_kit(job: RunJob) -> Iterator[Block]:
    yield Heading(1, job.say("run.kits.heading", run=job.run.name))
    yield Paragraph(job.say("run.kits.lead"), "lead")
    lines: dict[str, list[PickLine]] = {}
    for line in job.run.lines:
        lines.setdefault(line.kit, []).append(line)
    for at, code in enumerate(job.run.kits):
        if at:
            yield PageBreak()
        yield from _one_kit(job, code, lines[code])


def _one_kit(job: RunJob, code: str, lines: list[PickLine]) -> Iterator[Block]:
    say, one = job.say, job.jobs[code]
    boxed, boxes = job.run.boxed[code], job.run.boxes(code)
    yield Heading(
        2, say("run.kits.kit", title=job.own(boxed.kit.title), code=code, edition=boxed.kit.edition)
    )
    yield Paragraph(
        say("run.kits.boxes", boxes=boxes, things=sum(pick.quantity for pick in boxed.picks)), "lead"
    )
    header = tuple(
        say(f"run.pick.column.{name}")
        for name in ("tick", "bin", "what", "colour", "each", "quantity", "lot")
    )
    picks = _by_pick(lines)
    rows = tuple(_kit_row(job, code, same) for same in picks)
    lot = 0.26 if any(len(same) > 1 for same in picks) else 0.16
    widths = (0.06, 0.09, 0.55 - lot, 0.14, 0.07, 0.09, lot)
    yield Table(header, rows, widths, "llllrrl", "", "big", (1, 5))
    yield Steps(tuple(_kit_watch(job, code)), "dot")
    yield Heading(3, say("pick.order.heading"))
    yield Grid((0.55, 0.45), ((Steps(tuple(packing_order(one)), "tick"),), tuple(small_pictures(one))))
    yield Paragraph(say("pick.sign"))


def _by_pick(lines: list[PickLine]) -> list[list[PickLine]]:
    """The lines of one kit, those of one item of its box together."""
    found: dict[int, list[PickLine]] = {}
    for line in lines:
        found.setdefault(id(line.pick), []).append(line)
    return list(found.values())


def _kit_row(job: RunJob, code: str, lines: list[PickLine]) -> tuple[Cell, ...]:
    pick = lines[0].pick
    filled = _filled(job) if len(lines) > 1 else {}
    shares = [_share(job, line, filled) if len(lines) > 1 else job.lot(line) for line in lines]
    bins = job.say("list.comma").join(dict.fromkeys(line.bin for line in lines))
    return (
        TickBox(),
        bins,
        job.what(code, pick),
        job.colour(code, pick),
        str(pick.quantity),
        str(sum(line.quantity for line in lines)),
        "\n".join(shares),
    )


def _kit_watch(job: RunJob, code: str) -> Iterator[str]:
    """What is easily packed wrong in a box of this kit."""
    say, one = job.say, job.jobs[code]
    yield say("pick.watch.edition", code=code, edition=one.kit.edition)
    for each in one.amounts.pieces:
        piece, blank = each.sizes.piece, each.sizes.blank
        yield say(
            "pick.watch.blank",
            piece=job.own(piece.title),
            copies=piece.copies,
            holes=holes_text(one, blank),
            size=blank,
        )
    yield say("run.watch.top")
    yield say("pick.watch.needles", needles=sum(packed.quantity for packed in one.kit.needles))
    yield from weigh_lines(one)
