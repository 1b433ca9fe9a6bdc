"""The check of packed boxes: each order counted, and counted again by another."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from kitbuild.base.blocks import Block, Heading, Paragraph, Table, TickBox
from kitbuild.base.document import Document
from kitbuild.documents.run_job import RunJob


def run_check_sheet(job: RunJob) -> Document:
    """Orders with their boxes, then what one box of each kit holds."""
    return job.document("check-sheet", "check", _blocks(job))


def _blocks(job: RunJob) -> Iterator[Block]:
    say, run = job.say, job.run
    yield Heading(1, say("run.check.heading", run=run.name))
    yield Paragraph(say("run.check.lead"), "lead")
    yield Heading(2, say("run.check.holds"))
    names = ("kit", "boxes", "things", "blanks", "needles", "first", "again")
    header = tuple(say(f"run.check.column.{name}") for name in names)
    rows = tuple(_kit_row(job, code) for code in run.kits)
    yield Table(header, rows, (0.2, 0.1, 0.14, 0.12, 0.12, 0.16, 0.16), "lrrrrll", "", "big")
    yield Heading(2, say("run.check.orders"))
    names = ("order", "due", "kit", "numbers", "planned", "waits", "first", "again")
    header = tuple(say(f"run.check.column.{name}") for name in names)
    yield Table(
        header,
        tuple(_order_rows(job)),
        (0.14, 0.15, 0.18, 0.16, 0.09, 0.08, 0.1, 0.1),
        "llllrrll",
        "",
        "big",
    )
    yield Paragraph(say("run.check.sign"))


def _kit_row(job: RunJob, code: str) -> tuple[str | TickBox, ...]:
    boxed = job.run.boxed[code]
    needles = sum(pick.quantity for pick in boxed.picks if pick.kind == "needle")
    things = sum(pick.quantity for pick in boxed.picks)
    return (
        job.say("run.kit", code=code, edition=boxed.kit.edition),
        str(job.run.boxes(code)),
        str(things),
        str(len(boxed.blanks)),
        str(needles),
        TickBox(),
        TickBox(),
    )


def _order_rows(job: RunJob) -> Iterator[tuple[str | TickBox, ...]]:
    """Each order with the numbers of its boxes, which count through the orders of a kit."""
    packed: Counter[str] = Counter()
    for each in job.run.served:
        order, before = each.order, packed[each.order.kit]
        packed[order.kit] += each.boxes
        first, last = before + 1, packed[order.kit]
        numbers = job.say("run.numbers", first=f"{first:03}", last=f"{last:03}") if each.boxes else ""
        kit = job.say("run.kit", code=order.kit, edition=job.run.boxed[order.kit].kit.edition)
        yield order.order, order.due, kit, numbers, str(each.boxes), str(each.waits), TickBox(), TickBox()
