"""The check of packed boxes: each order counted, and counted again by another."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from kitbuild.base.blocks import Block, Heading, Paragraph, Table, TickBox
from kitbuild.base.document import Document
from kitbuild.documents.run_job import RunJob
from kitbuild.documents.weigh_words import unseen, unweighed
from kitbuild.production.weights import Weighed, weighed


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
    yield from _weights(job)
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


def _weights(job: RunJob) -> Iterator[Block]:
    """What a packed box of each kit weighs, where a weight is stated, and what the scale does not tell."""
    found = [(code, weighed(job.run.boxed[code].kit, job.run.boxed[code].picks)) for code in job.run.kits]
    rows = [_weight_row(job, code, each) for code, each in found if each]
    if not rows:
        return
    say = job.say
    yield Heading(2, say("run.check.weights"))
    header = tuple(say(f"run.check.column.{name}") for name in ("kit", "box", "weight", "right", "unseen"))
    yield Table(header, tuple(rows), (0.19, 0.15, 0.12, 0.2, 0.34), "llrrl", say("run.check.weigh"), "big")


def _weight_row(job: RunJob, code: str, each: Weighed) -> tuple[str, ...]:
    one, say = job.jobs[code], job.say
    kit = say("run.kit", code=code, edition=one.kit.edition)
    box = job.own(one.kit.box.title) if one.kit.box else ""
    if each.total_mg is None:
        return kit, box, "", "", say("weigh.unknown", things=say("list.joiner").join(unweighed(one, each)))
    limits = [milligrams / 1000 for milligrams in each.limits_mg or ()]
    right = say("weigh.range", least=limits[0], most=limits[1]) if limits else ""
    return kit, box, say("weigh.grams", grams=each.total_mg / 1000), right, unseen(one, each)


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
