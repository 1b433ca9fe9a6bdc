"""The proof's part on cautions: each note with its source, and what the maker has to check."""

from __future__ import annotations

from collections.abc import Iterator

from kitbuild.base.blocks import Block, Heading, Paragraph, Steps
from kitbuild.documents.job import Job
from kitbuild.documents.words import listed, note_text
from kitbuild.production.ages import Check, checks
from kitbuild.production.cautions import Note


def note_blocks(job: Job) -> Iterator[Block]:
    """The notes that the sheet prints, the lines to check, and the closing line."""
    say = job.say
    yield Heading(2, say("proof.notes.heading"))
    yield Steps(tuple(_note(job, note) for note in job.notes), "dot")
    if due := checks(job.kit):
        yield Heading(3, say("proof.checks.heading"))
        yield Steps(tuple(_check(job, each) for each in due), "dot")
    yield Paragraph(say("proof.check"))


def _note(job: Job, note: Note) -> str:
    return job.say(
        "proof.notes.note",
        signal=job.say(f"signal.{note.severity}"),
        text=note_text(job, note),
        points=note.points,
        source=_source(job, note, note.checked),
    )


def _check(job: Job, each: Check) -> str:
    values = dict(each.values)
    if "names" in values:
        values["names"] = listed(job, values["names"])
    text, source = job.say(f"check.{each.id}", **values), _source(job, each, each.label == "recalled")
    return job.say("proof.checks.line", text=text, source=source)


def _source(job: Job, each: Note | Check, checked: bool) -> str:
    """Where a rule stands, how sure that is, and whether the maker has to look it up."""
    label = job.say(f"proof.notes.label.{each.label.replace(' ', '_')}")
    return job.say("proof.notes.source", citation=each.citation, label=label, check=checked)
