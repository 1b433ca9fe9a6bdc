"""The written-out chart: every stitch of a piece in words, for ears and for those who count by reading."""

from __future__ import annotations

from collections.abc import Iterator

from kitbuild.base.blocks import Block, Heading, Paragraph, Steps
from kitbuild.documents.job import Job
from kitbuild.documents.spoken import Entry, Part, Round, Run, Told, flat, sideways, upright
from kitbuild.quantity.amounts import PieceAmounts


def spoken_chart(job: Job, each: PieceAmounts) -> Iterator[Block]:
    """One piece column by column, then hole row by hole row where stitches lie sideways."""
    say, panel = job.say, each.panel
    told = ((False, upright(panel)), (True, sideways(panel)))
    ways = [(across, entries) for across, entries in told if entries]
    yield Heading(2, say("spoken.heading", piece=job.own(panel.piece.title)))
    parts = [
        part for _, entries in ways for entry in entries if isinstance(entry, Told) for part in entry.parts
    ]
    rounds = any(isinstance(part, Round) for part in parts)
    colour = job.own(job.kit.palette[int(panel.stitches.colour[0])].name) if len(panel.stitches) else ""
    gaps = any(run.colour is None for run in flat(parts))
    yield Paragraph(say("spoken.text", rounds=rounds, gaps=gaps, colour=colour))
    for across, entries in ways:
        if len(ways) > 1:
            yield Heading(3, say("spoken.part", across=across))
        yield Paragraph(say("spoken.way", across=across))
        yield Steps(tuple(entry_text(job, entry, across) for entry in entries), "dot")


def entry_text(job: Job, entry: Entry, across: bool) -> str:
    """One entry as a sentence; `across` for hole rows."""
    say = job.say
    lanes = say("spoken.lanes", across=across, first=entry.first, last=entry.last, begins=True)
    if isinstance(entry, Told):
        parts = say("list.joiner").join(_part(job, part) for part in entry.parts)
        several = entry.last > entry.first
        return say("spoken.told", lanes=lanes, across=across, several=several, start=entry.start, parts=parts)
    like = say("spoken.lanes", across=across, first=entry.like_first, last=entry.like_last, begins=False)
    return say("spoken.alike", lanes=lanes, like=like, times=entry.times)


def _part(job: Job, part: Part) -> str:
    if isinstance(part, Round):
        runs = job.say("list.joiner").join(_run(job, run) for run in part.runs)
        return job.say("spoken.round", times=part.times, count=len(part.runs), runs=runs)
    return _run(job, part)


def _run(job: Job, run: Run) -> str:
    if run.colour is None:
        return job.say("spoken.bare", bars=run.over)
    name = job.own(job.kit.palette[run.colour].name)
    return job.say("spoken.run", colour=name, over=run.over, times=run.times)
