"""The packing list of a class: one box that holds every kit, what is spare, and the teacher's papers."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from kitbuild.base.blocks import Block, Cell, Grid, Heading, Paragraph, Steps, Table, TickBox
from kitbuild.base.document import Column, Document, Listing
from kitbuild.documents.class_job import ClassJob
from kitbuild.documents.words import holes_text, patch, pick_counted, pick_description, pick_unit
from kitbuild.production.class_box import ClassLine
from kitbuild.production.cost import whole
from kitbuild.production.run_records import in_stock_units

PAPERS = ("wall", "times")
"""Papers of the class itself, one of each in the box."""
_WIDTHS = (0.065, 0.075, 0.345, 0.13, 0.075, 0.085, 0.14, 0.085)


def packing_list(made: ClassJob) -> Document:
    """The packing list of a class's box."""
    return made.document("packing-list", _blocks(made))


def _blocks(made: ClassJob) -> Iterator[Block]:
    job, lesson = made.job, made.lesson
    say = job.say
    yield Heading(1, say("class.packing.heading", title=job.own(lesson.title)))
    values = {"code": job.kit.code, "edition": job.kit.edition, "date": lesson.date}
    yield Paragraph(
        say("class.packing.lead", learners=lesson.learners, teachers=lesson.teachers, **values), "lead"
    )
    names = ("tick", "bin", "what", "colour", "each", "spare", "all", "lot")
    header = tuple(say(f"class.packing.column.{name}") for name in names)
    rows = (*(_row(made, line) for line in made.lines), *(_paper(made, name) for name in PAPERS))
    yield Table(header, rows, _WIDTHS, "llllrrll", say("class.packing.caption", kits=lesson.kits), "big")
    order = tuple(say(f"class.packing.order.{at}", kits=lesson.kits) for at in range(1, 5))
    watch = (Heading(2, say("pick.watch.heading")), Steps(tuple(_watch(made)), "dot"))
    pack = (Heading(2, say("class.packing.order.heading")), Steps(order, "tick"))
    yield Grid((0.5, 0.5), (watch, pack))
    yield Paragraph(say("pick.sign"))


def _row(made: ClassJob, line: ClassLine) -> tuple[Cell, ...]:
    job, pick = made.job, line.pick
    bins = job.say("list.comma").join(dict.fromkeys(take.lot.bin for take in line.takes)) or pick.bin
    return (
        TickBox(),
        bins,
        pick_description(job, line.per_kit),
        patch(job, pick.colour.key) if pick.colour else "",
        str(line.per_kit.quantity),
        str(line.spare or ""),
        pick_counted(job, pick, pick.quantity),
        job.say("class.packing.short") if line.short else job.say("list.comma").join(line.lots),
    )


def _paper(made: ClassJob, name: str) -> tuple[Cell, ...]:
    say = made.job.say
    what = say(f"class.packing.{name}")
    return (TickBox(), "", what, "", "", "", say("class.packing.paper"), "")


def _watch(made: ClassJob) -> Iterator[str]:
    """What is short, and what is easily packed wrong."""
    job, say = made.job, made.job.say
    for line in made.lines:
        if line.short:
            what = pick_description(job, line.per_kit)
            yield say(
                "class.packing.watch.short",
                what=what,
                bin=line.pick.bin,
                thread=line.pick.kind == "thread",
            )
    yield say("class.packing.watch.lot")
    yield say("pick.watch.edition", code=job.kit.code, edition=job.kit.edition)
    for each in job.amounts.pieces:
        piece, blank = each.sizes.piece, each.sizes.blank
        yield say(
            "pick.watch.blank",
            piece=job.own(piece.title),
            copies=piece.copies * made.lesson.kits,
            holes=holes_text(job, blank),
            size=blank,
        )


def packing_listing(made: ClassJob) -> Listing:
    """The packing list as CSV, with the columns of a pick list and `spare` and `short`, in its unit."""
    job, lines = made.job, made.lines
    places = range(1, len(lines) + 1)
    bins = [" ".join(dict.fromkeys(take.lot.bin for take in line.takes)) or line.pick.bin for line in lines]
    return Listing(
        "packing-list.csv",
        (
            Column("line", list(places)),
            Column("bin", bins),
            Column("item", [line.pick.item for line in lines]),
            Column("description", [pick_description(job, line.per_kit) for line in lines]),
            Column("colour", [line.pick.colour.key if line.pick.colour else "" for line in lines]),
            Column("lot", [" ".join(line.lots) for line in lines]),
            Column("per_kit", [line.per_kit.quantity for line in lines]),
            Column("quantity", [line.pick.quantity for line in lines]),
            Column("unit", [pick_unit(job, line.pick) for line in lines]),
            Column("run", [made.run for _ in lines]),
            Column("kit", [job.kit.code for _ in lines]),
            Column("edition", [job.kit.edition for _ in lines]),
            Column("spare", [line.spare for line in lines]),
            Column("short", ["yes" if line.short else "no" for line in lines]),
        ),
    )


def needs_listing(made: ClassJob) -> Listing:
    """One row an item of the stock: what the class takes of it, and what is short, in units of the stock."""
    lines = [line for line in made.lines if line.takes or line.short]
    needs = [Fraction(in_stock_units(line.pick)) for line in lines]
    return Listing(
        "needs.csv",
        (
            Column("item", [line.pick.item for line in lines]),
            Column("need", [whole(need) for need in needs]),
            Column("spare", [line.spare for line in lines]),
            Column("short", [whole(Fraction(line.short)) for line in lines]),
        ),
    )
