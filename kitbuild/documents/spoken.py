"""A chart told in runs: column by column, and hole row by hole row where stitches lie sideways.

These are the data that the written-out chart says in words; they hold every stitch, so that
`stitches_told` gives back the whole piece. A lane is a column with its upright stitches, or a hole row with
its sideways ones.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

import numpy as np

from kitbuild.pattern.panel import Ints, Panel, Stitches

LEAST_ALIKE = 4
"""Fewer lanes that were told before are told again, since looking back takes longer than hearing them."""
LONGEST_ROUND = 12
"""More runs than these cannot be kept in mind as one round."""


@dataclass(frozen=True, slots=True)
class Run:
    """Stitches one after the other, each over so many bars; a `colour` of None leaves these bars bare."""

    colour: int | None
    over: int
    times: int = 1


@dataclass(frozen=True, slots=True)
class Round:
    """Runs that are worked in turn, so many times."""

    runs: tuple[Run, ...]
    times: int


Part = Run | Round


@dataclass(frozen=True, slots=True)
class Told:
    """Lanes `first` to `last`, which are alike: their first hole, and their parts; none for bare ones."""

    first: int
    last: int
    start: int
    parts: tuple[Part, ...]


@dataclass(frozen=True, slots=True)
class Alike:
    """Lanes `first` to `last`, which are those from `like_first` to `like_last`, so many times over."""

    first: int
    last: int
    like_first: int
    like_last: int
    times: int


Entry = Told | Alike
_Lane = tuple[int, tuple[Run, ...]]
"""First hole, and single stitches and gaps in order."""


def upright(panel: Panel) -> tuple[Entry, ...]:
    """The columns from the left, each from the top; () where no stitch is upright.

    Where the panel repeats, everything up to the end of its first repeat is told in full.
    """
    work = panel.stitches
    lanes = _lanes(work.take(work.x1 == work.x2), panel.cover.columns)
    repeat = panel.repeat
    return _entries(lanes, repeat.left + repeat.columns if repeat.count > 1 else 0)


def sideways(panel: Panel) -> tuple[Entry, ...]:
    """The hole rows from the top, each from the left; () where no stitch lies sideways."""
    work = panel.stitches
    return _entries(_lanes(work.take(work.x1 != work.x2).transposed(), panel.cover.rows), 0)


def stitches_told(entries: Sequence[Entry]) -> list[tuple[int, int, int, int]]:
    """(lane, first hole, last hole, colour) of each stitch that the entries tell, in their order."""
    lanes: dict[int, list[tuple[int, int, int]]] = {}
    for entry in entries:
        for lane in range(entry.first, entry.last + 1):
            if isinstance(entry, Told):
                lanes[lane] = list(_holes(entry))
            else:
                wide = entry.like_last - entry.like_first + 1
                lanes[lane] = lanes[entry.like_first + (lane - entry.first) % wide]
    return [(lane, *stitch) for lane, stitches in sorted(lanes.items()) for stitch in stitches]


def _holes(told: Told) -> Iterator[tuple[int, int, int]]:
    """First hole, last hole and colour of each stitch of a lane."""
    hole = told.start
    for run in flat(told.parts):
        for _ in range(run.times):
            if run.colour is not None:
                yield hole, hole + run.over, run.colour
            hole += run.over


def flat(parts: Sequence[Part]) -> Iterator[Run]:
    """The runs of all parts, each round as often as it is worked."""
    for part in parts:
        if isinstance(part, Run):
            yield part
        else:
            yield from part.runs * part.times


def _lanes(work: Stitches, count: int) -> list[_Lane]:
    """Every lane of upright `work`, 1 to `count`; [] when there is no stitch."""
    if not len(work):
        return []
    at = np.lexsort((work.y1, work.x1))
    stitches = zip(*(each[at].tolist() for each in (work.x1, work.y1, work.y2, work.colour)), strict=True)
    found = {
        lane: _lane([each[1:] for each in same]) for lane, same in groupby(stitches, lambda each: each[0])
    }
    return [found.get(lane, (1, ())) for lane in range(1, count + 1)]


def _lane(stitches: list[tuple[int, int, int]]) -> _Lane:
    """A lane of (first hole, last hole, colour) from its first stitch on."""
    runs, hole = [], stitches[0][0]
    for first, last, colour in stitches:
        if first > hole:
            runs.append(Run(None, first - hole))
        runs.append(Run(colour, last - first))
        hole = last
    return stitches[0][0], tuple(runs)


def _entries(lanes: list[_Lane], in_full: int) -> tuple[Entry, ...]:
    """The lanes told one after the other; after the first `in_full`, blocks that were told are named."""
    number = {lane: at for at, lane in enumerate(dict.fromkeys(lanes))}
    ids = np.array([number[lane] for lane in lanes], dtype=np.int64)
    seen, block = _told_before(ids)
    entries: list[Entry] = []
    at = 0
    while at < len(lanes):
        if at >= in_full and seen[at] >= LEAST_ALIKE:
            entry, at = _alike(at, int(seen[at]), int(block[at])), at + int(seen[at])
        else:
            stop = next((to for to in range(at, len(lanes)) if ids[to] != ids[at]), len(lanes))
            stop = min(stop, in_full) if at < in_full else stop
            start, runs = lanes[at]
            entry, at = Told(at + 1, stop, start, tuple(_folded(runs))), stop
        entries.append(entry)
    return tuple(entries)


def _alike(at: int, count: int, back: int) -> Alike:
    """`count` lanes from place `at` on, which stood `back` lanes before: once, or as whole blocks."""
    wide = min(back, count)
    first = at - back + 1
    return Alike(at + 1, at + count, first, first + wide - 1, count // wide)


def _told_before(ids: Ints) -> tuple[Ints, Ints]:
    """For each place how many lanes from there on were told before, and how many places back they begin.

    Where they reach into themselves they are whole blocks; single lanes again and again are no block. Of the
    longest the smallest block is taken that comes several times, else the one that was told first.
    """
    count = len(ids)
    seen, back = np.zeros(count, dtype=np.int64), np.zeros(count, dtype=np.int64)
    match = np.zeros(count + 1, dtype=np.int64)
    for at in range(count - 1, 1, -1):
        match = np.where(ids[:at] == ids[at], match[1 : at + 1] + 1, 0)
        far = np.arange(at, 0, -1)
        length = np.where(match >= far, match // far * far, match)
        length[-1] = 0
        first, nearest = int(length.argmax()), at - 1 - int(length[::-1].argmax())
        best = nearest if length[nearest] >= 2 * far[nearest] else first
        seen[at], back[at] = length[best], at - best
    return seen, back


def _folded(runs: tuple[Run, ...]) -> Iterator[Part]:
    """Like stitches joined to runs, and runs that return joined to rounds."""
    row = [Run(run.colour, run.over, len(list(same))) for run, same in groupby(runs)]
    at = 0
    while at < len(row):
        wide, times = _round_at(row, at)
        if wide:
            yield Round(tuple(row[at : at + wide]), times)
        else:
            yield row[at]
        at += max(wide * times, 1)


def _round_at(row: list[Run], at: int) -> tuple[int, int]:
    """Runs and times of the round that holds most from place `at` on; (0, 0) if none is worth its words."""
    best = (0, 0)
    for wide in range(2, min(LONGEST_ROUND, (len(row) - at) // 2) + 1):
        times = 1
        while row[at + times * wide : at + (times + 1) * wide] == row[at : at + wide]:
            times += 1
        if times > 1 and wide * times >= 6 and wide * times > best[0] * best[1]:
            best = (wide, times)
    return best
