"""The instruction sheet: what hands do, in the order in which they need it, with this kit's own numbers."""

from __future__ import annotations

from collections.abc import Iterator

from kitbuild.base.blocks import Block, Heading, Paragraph, Steps, Table
from kitbuild.base.document import Document
from kitbuild.documents.begin_steps import begin, canvas_steps, exercise, needle_steps
from kitbuild.documents.diagrams import threader
from kitbuild.documents.finish_steps import finish, joins
from kitbuild.documents.job import Job
from kitbuild.documents.numbering import Numbers
from kitbuild.documents.order_table import order_table
from kitbuild.documents.row_steps import change, next_colour, row_steps
from kitbuild.documents.words import cautions, contents, line_count, listed
from kitbuild.quantity.amounts import PieceAmounts

LATER = ("no_heat", "hot_pans", "bleed", "wool", "moth", "nickel")
"""Notes on the finished work and its care, which stand after it; all others come before the work."""
TROUBLES = ("count", "bare", "twist", "pull", "short")
QUESTIONS = ("share", "second", "tight", "edge")


def instructions(job: Job, suffix: str = "") -> Document:
    """The instruction sheet of one kit."""
    numbers, say = Numbers(), job.say
    blocks: list[Block] = [Heading(1, say("instructions.title", title=job.own(job.kit.title)))]
    blocks.append(Paragraph(say("instructions.lead", left=job.left), "lead"))
    blocks += [
        Heading(2, say("contents.heading")),
        Paragraph(say("contents.text", contact=job.kit.house.contact)),
        contents(job),
        *_notes(job, later=False),
        Heading(2, say("also.heading")),
        Steps(tuple(_also_needed(job)), "tick"),
    ]
    for each in job.amounts.pieces:
        blocks += _piece(job, each, numbers)
    if job.kit.joins:
        blocks += joins(job, numbers)
    blocks += _after(job)
    return job.document("instructions", "instructions", blocks, suffix)


def _needle(job: Job, numbers: Numbers) -> Iterator[Block]:
    """A needleful cut and threaded, with the picture of how."""
    steps = needle_steps(job)
    yield Heading(2, job.say("needle.heading"))
    yield numbers.steps({kind: steps.pop(kind) for kind in ("cut", "thread")})
    yield threader(job)
    yield numbers.steps(steps)


def _notes(job: Job, *, later: bool) -> tuple[Block, ...]:
    """The kit's notes: those to know before the work, or those on its care."""
    ids = tuple(note.id for note in job.notes if (note.id in LATER) == later)
    return cautions(job, ids) if ids else ()


def _piece(job: Job, each: PieceAmounts, numbers: Numbers) -> Iterator[Block]:
    """One piece; what is alike for all pieces is told in the first, and later ones refer to it."""
    say, piece, first = job.say, each.panel.piece, each is job.amounts.pieces[0]
    if len(job.amounts.pieces) > 1:
        yield Heading(1, say("piece.heading", piece=job.own(piece.title), copies=piece.copies))
    yield Heading(2, say("canvas.heading"))
    yield numbers.steps(canvas_steps(job, each))
    if first:
        yield from _needle(job, numbers)
        yield from exercise(job, each, numbers)
    yield from begin(job, each, numbers, first=first)
    if first:
        yield from change(job, each, numbers)
    yield Heading(2, say("rows.heading"))
    yield numbers.steps(row_steps(job, each, numbers, first=first))
    if first:
        yield from next_colour(job, each, numbers)
    yield order_table(job, each)
    yield from finish(job, each, numbers)


def _also_needed(job: Job) -> Iterator[str]:
    """Tools that no box holds."""
    kinds = {piece.finish.kind for piece in job.kit.pieces}
    yield job.say("also.scissors")
    yield job.say("also.paper")
    if any(piece.canvas.weave == "woven" for piece in job.kit.pieces):
        yield job.say("also.tape")
    for kind in ("cushion", "framed", "ornament"):
        if kind in kinds:
            yield job.say(f"also.{kind}")


def _after(job: Job) -> Iterator[Block]:
    """Care, the notes on it, questions and troubles, and the closing line."""
    say, kit = job.say, job.kit
    weaves = {piece.canvas.weave for piece in kit.pieces}
    yield Heading(2, say("care.heading"))
    yield Paragraph(job.own(kit.care) or say("care.plastic" if "plastic" in weaves else "care.woven"))
    yield from _notes(job, later=True)
    contact = {"contact": kit.house.contact}
    credit = f" {job.own(kit.licence.credit)}" if kit.licence else ""
    yield Paragraph(say("closing", name=kit.house.name, **contact) + credit, "small")
    edged = listed(job, tuple(dict.fromkeys(_edge_colours(job))))
    yield Heading(2, say("question.heading"))
    names = [name for name in QUESTIONS if name != "edge" or edged]
    lines = any(line_count(each.panel) > 1 for each in job.amounts.pieces)
    asked = {"edged": edged, "lines": lines, "joined": bool(kit.joins)}
    rows = tuple((say(f"question.{name}.what"), say(f"question.{name}.answer", **asked)) for name in names)
    yield Table((say("question.what"), say("question.answer")), rows, (0.32, 0.68), "ll")
    yield Heading(2, say("trouble.heading"))
    rows = tuple((say(f"trouble.{name}.what"), say(f"trouble.{name}.cure", **contact)) for name in TROUBLES)
    yield Table((say("trouble.what"), say("trouble.cure")), rows, (0.32, 0.68), "ll")


def _edge_colours(job: Job) -> Iterator[str]:
    """The colours that edges are overcast in, piece by piece."""
    for piece in job.kit.pieces:
        if piece.finish.colour:
            yield job.own(job.kit.palette[job.kit.colour_index(piece.finish.colour)].name)
