"""The written-out chart: every stitch of a piece in words, for ears and for those who count by reading."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

import numpy as np

from kitbuild.base.blocks import Block, Heading, Paragraph, Steps
from kitbuild.documents.job import Job
from kitbuild.documents.spoken import Alike, Entry, Part, Round, Run, Told, Way, flat
from kitbuild.documents.spoken_parts import Section, sections
from kitbuild.pattern.panel import Panel

LONGEST_LIST = 12
"""A longer list is divided under headings, one for about ten lanes, so that ears can leap to a place."""


def spoken_chart(job: Job, panel: Panel) -> Iterator[Block]:
    """One piece in words: what they mean and how many stitches there are, then part by part, ten by ten."""
    told, piece, usual = sections(panel, job.hand), job.own(panel.piece.title), usual_over(panel)
    yield Heading(2, job.say("spoken.heading", piece=piece))
    yield Paragraph(_meaning(job, panel, told, usual))
    for section in told:
        several = len(told) > 1
        if several:
            part = _part_name(job, section.way)
            yield Heading(2, job.say("spoken.section", piece=piece, part=part, stitches=section.stitches))
        if section.like:
            yield Paragraph(_like_part(job, section, section.like))
        else:
            yield from _listed(job, section, usual, several=several)


def usual_over(panel: Panel) -> int:
    """Over how many bars most stitches are; 1 where there is none."""
    return int(np.bincount(panel.stitches.length()).argmax()) if len(panel.stitches) else 1


def _meaning(job: Job, panel: Panel, told: Sequence[Section], usual: int) -> str:
    """What the words of this chart mean, and how many stitches of each colour there are."""
    listed = [entry for section in told for entry in section.entries]
    parts = [part for entry in listed if isinstance(entry, Told) for part in entry.parts]
    work = panel.stitches
    counted = np.bincount(work.colour, minlength=len(job.kit.palette)).tolist()
    names = [job.own(colour.name) for colour in job.kit.palette]
    back = next((entry for entry in listed if isinstance(entry, Alike) and entry.back), None)
    other = next((over for over in work.length().tolist() if over != usual), 0)
    return job.say(
        "spoken.text",
        stitches=len(work),
        shares=[(count, name) for count, name in zip(counted, names, strict=True) if count],
        colour=names[int(work.colour[0])] if len(work) else "",
        usual=usual,
        other=other,
        rounds=any(isinstance(part, Round) for part in parts),
        jumps=any(isinstance(part, Run) and part.colour is None for part in parts),
        back=_counted_back(back) if back else (),
    )


def _counted_back(alike: Alike) -> tuple[int, int, int]:
    """The first, the second and the last of the lanes that are told backwards."""
    step = 1 if alike.like_last > alike.like_first else -1
    return alike.like_first, alike.like_first + step, alike.like_last


def _like_part(job: Job, section: Section, like: Way) -> str:
    """A part that is the same as one that was told."""
    lanes, others = (
        job.say(
            "spoken.lanes",
            across=way.across,
            first=way.lane(0),
            last=way.lane(way.lanes - 1),
            begins=begins,
            back=False,
        )
        for way, begins in ((section.way, True), (like, False))
    )
    return job.say("spoken.like_part", lanes=lanes, like=others, part=like.part, side=_side(section.way))


def _part_name(job: Job, way: Way) -> str:
    if way.part in ("upright", "sideways"):
        return job.say("spoken.part", across=way.across)
    return job.say(f"quarter.{way.part}")


def _side(way: Way) -> str:
    """The edge at which the lanes of a way are begun."""
    if way.across:
        return "right" if way.holes_back else "left"
    return "bottom" if way.holes_back else "top"


def _listed(job: Job, section: Section, usual: int, *, several: bool) -> Iterator[Block]:
    """The entries of a part, under headings where they are many."""
    way = section.way
    yield Paragraph(
        job.say("spoken.way", across=way.across, lanes_back=way.lanes_back, side=_side(way), hole=way.hole(1))
    )
    if len(section.entries) <= LONGEST_LIST:
        yield Steps(tuple(entry_text(job, way, each, usual) for each in section.entries), "dot")
        return
    part = _part_name(job, way) if several else ""
    for _, same in groupby(section.entries, lambda entry: ((entry.first - 1) // 10, _is_wide(entry))):
        ten = list(same)
        stitches = sum(entry.stitches for entry in ten)
        ends = {"first": ten[0].first, "last": ten[-1].last}
        lanes = job.say("spoken.lanes", across=way.across, **ends, begins=True, back=False)
        yield Heading(3, job.say("spoken.ten", part=part, lanes=lanes, stitches=stitches))
        yield Steps(tuple(entry_text(job, way, each, usual) for each in ten), "dot")


def _is_wide(entry: Entry) -> bool:
    """Whether it reaches over more lanes than a heading should hold."""
    return abs(entry.last - entry.first) >= 10


def entry_text(job: Job, way: Way, entry: Entry, usual: int) -> str:
    """One entry as a sentence; stitches over `usual` bars go without a number."""
    say, across = job.say, way.across
    lanes = say("spoken.lanes", across=across, first=entry.first, last=entry.last, begins=True, back=False)
    if isinstance(entry, Told):
        parts = say("list.joiner").join(_parts(job, way, entry, usual))
        return say(
            "spoken.told",
            lanes=lanes,
            across=across,
            several=entry.lanes > 1,
            start=0 if entry.start == way.hole(1) else entry.start,
            stitches=entry.stitches // entry.lanes,
            parts=parts,
        )
    ends = {"first": entry.like_first, "last": entry.like_last, "back": entry.back}
    like = say("spoken.lanes", across=across, **ends, begins=False)
    one = entry.like_first == entry.like_last
    return say(
        "spoken.alike",
        lanes=lanes,
        like=like,
        across=across,
        times=entry.times,
        one=one,
        stitches=entry.stitches,
    )


def _parts(job: Job, way: Way, told: Told, usual: int) -> Iterator[str]:
    """The parts of a lane; bare bars between them are told by the hole in which the work goes on."""
    hole, step = told.start, -1 if way.holes_back else 1
    for part in told.parts:
        hole += step * sum(run.over * run.times for run in flat((part,)))
        if isinstance(part, Run) and part.colour is None:
            yield job.say("spoken.on", across=way.across, hole=hole)
        else:
            yield _part(job, part, usual)


def _part(job: Job, part: Part, usual: int) -> str:
    if isinstance(part, Round):
        runs = job.say("list.joiner").join(_run(job, run, usual) for run in part.runs)
        return job.say("spoken.round", times=part.times, count=len(part.runs), runs=runs)
    return _run(job, part, usual)


def _run(job: Job, run: Run, usual: int) -> str:
    assert run.colour is not None, "bare bars stand in no round"
    name = job.own(job.kit.palette[run.colour].name)
    return job.say("spoken.run", colour=name, over=0 if run.over == usual else run.over, times=run.times)
