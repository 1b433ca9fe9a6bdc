"""The packer's sheet: what goes into one box, by bin, with the printed edition to pack."""

from __future__ import annotations

from collections.abc import Iterator

from kitbuild.base.blocks import Block, Cell, Grid, Heading, Paragraph, Steps, Table, TickBox
from kitbuild.base.document import Document
from kitbuild.documents.job import Job
from kitbuild.documents.picture import picture
from kitbuild.documents.weigh_words import weigh_lines
from kitbuild.documents.words import holes_text, patch, pick_description, pick_unit
from kitbuild.production.picks import Pick


def pick_sheet(job: Job, suffix: str = "") -> Document:
    """The pick list of one kit."""
    return job.document("pick-list", "pick", _blocks(job), suffix)


def _blocks(job: Job) -> Iterator[Block]:
    say, kit = job.say, job.kit
    yield Heading(1, say("pick.heading", title=job.own(kit.title)))
    yield Paragraph(say("pick.lead", code=kit.code, edition=kit.edition, date=kit.date), "lead")
    header = tuple(
        say(f"pick.column.{name}") for name in ("tick", "bin", "what", "colour", "quantity", "unit", "lot")
    )
    rows = tuple(_row(job, pick) for pick in job.picks)
    yield Table(
        header,
        rows,
        (0.055, 0.085, 0.46, 0.135, 0.07, 0.075, 0.12),
        "llllrll",
        say("pick.caption"),
        "big",
        (1, 4),
    )
    yield Paragraph(say("pick.total", lines=len(job.picks), things=sum(pick.quantity for pick in job.picks)))
    yield Heading(2, say("pick.watch.heading"))
    yield Steps(tuple(_watch(job)), "dot")
    yield Heading(2, say("pick.order.heading"))
    yield Grid((0.55, 0.45), ((Steps(tuple(packing_order(job)), "tick"),), tuple(small_pictures(job))))
    yield Paragraph(say("pick.sign"))


def _row(job: Job, pick: Pick) -> tuple[Cell, ...]:
    colour: Cell = patch(job, pick.colour.key) if pick.colour else ""
    lot = job.say("pick.write") if pick.kind == "thread" else ""
    what = pick_description(job, pick)
    return (TickBox(), pick.bin, what, colour, str(pick.quantity), pick_unit(job, pick, pick.quantity), lot)


def _watch(job: Job) -> Iterator[str]:
    """What is easily packed wrong: edition, blanks' sizes and which way up, needles, lots, box."""
    say, kit = job.say, job.kit
    yield say("pick.watch.edition", code=kit.code, edition=kit.edition)
    for each in job.amounts.pieces:
        piece, blank = each.sizes.piece, each.sizes.blank
        yield say(
            "pick.watch.blank",
            piece=job.own(piece.title),
            copies=piece.copies,
            holes=holes_text(job, blank),
            size=blank,
        )
    yield say("pick.watch.needles", needles=sum(packed.quantity for packed in kit.needles))
    yield say("pick.watch.lot")
    yield from weigh_lines(job)


def packing_order(job: Job) -> Iterator[str]:
    """From the bottom of the box up: only what this box holds."""
    say = job.say
    yield say("pick.order.canvas")
    for pick in job.picks:
        if pick.kind == "extra":
            yield say("pick.order.extra", what=pick_description(job, pick))
    yield say("pick.order.thread")
    yield say("pick.order.needle")
    yield say("pick.order.printed", code=job.kit.code, edition=job.kit.edition)


def small_pictures(job: Job) -> Iterator[Block]:
    """Each piece as it will look, small enough to stand beside the packing order."""
    width = job.sheet.frame_width_mm * 0.4
    for each in job.amounts.pieces:
        panel = each.panel
        alt = job.say(
            "picture.alt",
            piece=job.own(panel.piece.title),
            columns=panel.cover.columns,
            rows=panel.cover.rows,
        )
        caption = job.say("picture.caption", piece=job.own(panel.piece.title), edged=False)
        yield picture(alt, panel, job.inks, width, 22, caption)
