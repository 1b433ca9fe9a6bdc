"""The tester's sheet: how to measure a test stitch, tables to write in, and how the answers come back."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from kitbuild.base.blocks import Block, Heading, PageBreak, Paragraph, Steps, Table
from kitbuild.base.document import Document
from kitbuild.documents.job import Job
from kitbuild.documents.words import listed, patch
from kitbuild.quantity.amounts import PieceAmounts

LINES = 4


def trial_sheet(job: Job, suffix: str = "") -> Document:
    """The test-stitch sheet of one kit."""
    return job.document("test-sheet", "test", _blocks(job), suffix)


def _blocks(job: Job) -> Iterator[Block]:
    say, kit = job.say, job.kit
    yield Heading(1, say("test.heading", title=job.own(kit.title)))
    yield Paragraph(say("test.lead", code=kit.code, edition=kit.edition, date=kit.date), "lead")
    one = job.own(kit.pieces[0].title) if len(kit.pieces) == 1 else ""
    yield Paragraph(say("test.what", one=one, contact=kit.house.contact))
    yield Steps(tuple(_how(job)))
    for each in job.amounts.pieces:
        yield Heading(2, say("test.piece.heading", piece=job.own(each.panel.piece.title)))
        yield _answers(job, each)
        yield Paragraph(say("test.time"))
        yield Paragraph(say("test.who"))
    yield PageBreak()
    yield Heading(2, say("test.remarks.heading"))
    yield Paragraph(say("test.remarks"))
    for _ in range(LINES):
        yield Paragraph(say("test.lines"))
    yield Heading(2, say("test.maker.heading"))
    for at, each in enumerate(job.amounts.pieces):
        yield Paragraph(say("test.maker" if not at else "test.maker.further", file=_file(job, each)))
        yield _for_the_workshop(job, each, first=not at)


def _how(job: Job) -> Iterator[str]:
    say, needleful = job.say, job.kit.house.thread.needleful_mm
    worked = {key for each in job.amounts.pieces for key, _ in _counts(job, each)}
    colours = [colour for colour in job.kit.palette if colour.key in worked]
    cut = [job.own(colour.name) for colour in colours if colour.thread.packed == "needlefuls"]
    yield say("test.how.time")
    yield say("test.how.cut", needleful=needleful, cut=listed(job, cut), every=len(cut) == len(colours))
    yield say("test.how.ends")
    yield say("test.how.measure")
    yield say("test.how.used", needleful_m=f"{needleful / 1000:g}")


def _counts(job: Job, each: PieceAmounts) -> list[tuple[str, int]]:
    """The palette keys of one copy with their stitches."""
    found = np.bincount(each.panel.stitches.colour, minlength=len(job.kit.palette)).tolist()
    return [(colour.key, count) for colour, count in zip(job.kit.palette, found, strict=True) if count]


def _answers(job: Job, each: PieceAmounts) -> Table:
    """A row a colour with room to write."""
    say = job.say
    header = tuple(say(f"test.{name}") for name in ("colour", "stitches", "cut", "begun", "left", "used"))
    rows = tuple((patch(job, key), str(count), "", "", "", "") for key, count in _counts(job, each))
    widths = (0.22, 0.14, 0.18, 0.18, 0.14, 0.14)
    return Table(header, rows, widths, "lcllll", say("test.piece.caption"), "big")


def _file(job: Job, each: PieceAmounts) -> str:
    return f"{job.kit.code.lower()}-{each.panel.piece.key}-test.yaml"


def _for_the_workshop(job: Job, each: PieceAmounts, *, first: bool) -> Table:
    """What a test file of a piece holds, key by key; of further pieces what differs from the first."""
    say, kit = job.say, job.kit
    fixed = (("kind:", "test"), ("kit:", kit.code), ("edition:", str(kit.edition)))
    asked = ("date", "by", "hand", "minutes", "remarks") if first else ()
    rows = [*(fixed if first else ()), ("piece:", each.panel.piece.key)]
    rows += [(f"{name}:", say(f"test.maker.{name}")) for name in asked]
    rows.append((say("test.maker.thread"), say("test.maker.below")))
    rows += [
        (say("test.maker.colour", colour=key), say("test.maker.answer", stitches=count))
        for key, count in _counts(job, each)
    ]
    header = (say("test.maker.key"), say("test.maker.value"))
    return Table(header, tuple(rows), (0.3, 0.7), "ll")
