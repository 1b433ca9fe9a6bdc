"""The line that is laid first in words and numbers, for paper and ears: told from its very stitches.

Where the line is one that the kit states, in stitches of one length, it is told so (`stated_line`).
Any other is told string by string, each stitch by its upper end and how many bars it is over; in sideways
strings the left end is the upper one.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise

import numpy as np

from kitbuild.documents.job import Job
from kitbuild.documents.order_table import QUARTERS, turns
from kitbuild.documents.spoken import round_at
from kitbuild.documents.stated_line import line_parts
from kitbuild.documents.words import line_kind, line_stitches
from kitbuild.pattern.panel import Bools, Panel, Stitches
from kitbuild.quantity.amounts import PieceAmounts

LONGEST_ROUND = 24
"""Groups that are told as one round at most: a line is read beside its chart."""

Place = tuple[int, int, int]
"""Lane, upper hole and lower hole of a stitch: column and hole rows, or hole row and columns."""


@dataclass(frozen=True, slots=True)
class LineGroup:
    """Stitches side by side, each over so many bars, `rise` bars above those before; below where negative."""

    stitches: int
    over: int
    rise: int


def line_words(job: Job, each: PieceAmounts) -> tuple[str, ...]:
    """The line from the hand's side on, a sentence for each stretch of it."""
    panel = each.panel
    if is_as_stated(job, panel):
        return line_parts(job, panel)
    if line_kind(panel) == "charted":
        return tuple(_strings(job, *_first_area(job, each)))
    strings = _first_strings(panel)
    told = list(_strings(job, strings[0], quarter=QUARTERS[0] if len(strings) > 1 else ""))
    size = panel.cover.columns + 1
    for turned, string in enumerate(strings[1:], 1):
        quarter = QUARTERS[turned] if len(strings) == len(QUARTERS) else ""
        if quarter and _ends(string) == _ends(strings[0], size, turned):
            told.append(_turned_text(job, string, quarter))
        else:
            told += _strings(job, string, quarter=quarter)
    return tuple(told)


def is_as_stated(job: Job, panel: Panel) -> bool:
    """Whether the line is told as the kit states it: then all of its stitches are of the stated length."""
    lengths = set(line_stitches(panel).length().tolist())
    return lengths == set(panel.piece.pattern.overs) and len(lengths) == 1 and bool(line_parts(job, panel))


def _first_strings(panel: Panel) -> list[Stitches]:
    """The strings that are laid first: in ring patterns the first line, else all of its row."""
    work, line = panel.stitches, line_stitches(panel)
    first = line if panel.counted == "rings" else work.take(work.row == line.row[0])
    return [first.take(first.course == course) for course in np.unique(first.course)]


def _first_area(job: Job, each: PieceAmounts) -> tuple[Stitches, str]:
    """Charted work: the stitches side by side that are worked first, and their colour's name."""
    area = turns(job.work(each))[0].areas[0]
    work = each.panel.stitches.take(job.order(each).stitch[: area.stitches])
    return work, job.own(job.kit.palette[int(work.colour[0])].name)


def _ends(work: Stitches, size: int = 0, turned: int = 0) -> set[tuple[tuple[int, int], ...]]:
    """Both ends of each stitch, turned so many quarters clockwise in a square of `size` - 1 holes."""
    ends = []
    for x, y in ((work.x1, work.y1), (work.x2, work.y2)):
        for _ in range(turned):
            x, y = size - y, x
        ends.append(list(zip(x.tolist(), y.tolist(), strict=True)))
    return {tuple(sorted(pair)) for pair in zip(*ends, strict=True)}


def _turned_text(job: Job, string: Stitches, quarter: str) -> str:
    """A string that is the first one again, once the piece is turned with this quarter's edge to the top."""
    backwards = job.left != (quarter in ("lower", "left"))
    along = string.x1 if quarter == "lower" else string.y1
    first = string.take(np.array([int(along.argmax() if backwards else along.argmin())]))
    x = int((first.x2 if quarter == "right" else first.x1)[0])
    y = int((first.y2 if quarter == "lower" else first.y1)[0])
    name = job.say(f"quarter.{quarter}")
    return job.say("line.turned", quarter=name, edge=quarter, x=x, y=y, stitches=len(string))


def _strings(job: Job, work: Stitches, colour: str = "", quarter: str = "") -> Iterator[str]:
    """Each unbroken stretch of a string in words."""
    sideways = bool(work.x1[0] != work.x2[0])
    for places in _stretches(work, backwards=job.left and not sideways):
        lane, upper, _ = places[0]
        groups = list(_groups(places))
        usual = int(np.bincount([low - high for _, high, low in places]).argmax())
        yield job.say(
            "line.string",
            quarter=job.say(f"quarter.{quarter}") if quarter else "",
            colour=colour,
            x=upper if sideways else lane,
            y=lane if sideways else upper,
            way="down" if sideways else "left" if job.left else "right",
            stitches=len(places),
            usual=usual,
            mixed=any(group.over != usual for group in groups),
            groups=job.say("list.joiner").join(_told(job, groups, usual, sideways=sideways)),
        )


def _stretches(work: Stitches, *, backwards: bool) -> Iterator[list[Place]]:
    """The stitches in the order of their lanes, parted where a lane has none."""
    upright: Bools = work.x1 == work.x2
    lane, top, bottom = (
        np.where(upright, *pair) for pair in ((work.x1, work.y1), (work.y1, work.x1), (work.y2, work.x2))
    )
    places = sorted(zip(lane.tolist(), top.tolist(), bottom.tolist(), strict=True), reverse=backwards)
    stretch = [places[0]]
    for before, place in pairwise(places):
        if abs(place[0] - before[0]) != 1:
            yield stretch
            stretch = []
        stretch.append(place)
    yield stretch


def _groups(places: Sequence[Place]) -> Iterator[LineGroup]:
    before = places[0][1]
    for (upper, lower), same in groupby(places, lambda place: place[1:]):
        yield LineGroup(len(list(same)), lower - upper, before - upper)
        before = upper


def _told(job: Job, groups: list[LineGroup], usual: int, *, sideways: bool) -> Iterator[str]:
    """The first group, and the others in runs and rounds of like groups."""
    yield _group(job, groups[0], 1, usual, sideways=sideways, first=True)
    row = [(group, len(list(same))) for group, same in groupby(groups[1:])]
    at = 0
    while at < len(row):
        wide, times = round_at(row, at, LONGEST_ROUND)
        words = [
            _group(job, group, count, usual, sideways=sideways)
            for group, count in row[at : at + max(wide, 1)]
        ]
        told = job.say("list.joiner").join(words)
        yield job.say("spoken.round", times=times, count=wide, runs=told) if wide else told
        at += max(wide * times, 1)


def _group(
    job: Job, group: LineGroup, groups: int, usual: int, *, sideways: bool, first: bool = False
) -> str:
    return job.say(
        "line.group",
        groups=groups,
        stitches=group.stitches,
        over=0 if group.over == usual else group.over,
        rise=abs(group.rise),
        way="up" if group.rise > 0 else "down",
        sideways=sideways,
        first=first,
    )
