"""A chart told in runs: lane by lane, a lane being a column with its upright stitches, or a hole row.

These are the data that the written-out chart says in words; they hold every stitch of the piece. Lanes, holes
and stitches are told in the order in which a hand meets them, their numbers are those of the chart.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

LEAST_WORTH = 7
"""Lanes and their parts that are heard when lanes are told again; for fewer, looking back takes longer."""
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
    """Lanes `first` to `last`, which are alike: their first hole, and their parts; none for bare ones.

    `stitches` are those of all these lanes together, `lanes` is how many these are.
    """

    first: int
    last: int
    start: int
    parts: tuple[Part, ...]
    stitches: int

    @property
    def lanes(self) -> int:
        """How many lanes it tells."""
        return abs(self.last - self.first) + 1


@dataclass(frozen=True, slots=True)
class Alike:
    """Lanes `first` to `last`, which are those from `like_first` to `like_last`, so many times over.

    The lanes that they are like were told in full, and are told backwards where `back` is true. `stitches`
    are those of all lanes `first` to `last`.
    """

    first: int
    last: int
    like_first: int
    like_last: int
    times: int
    back: bool
    stitches: int


Entry = Told | Alike
Lane = tuple[int, tuple[Run, ...]]
"""First hole, and single stitches and gaps in order, both counted from where the lane is begun."""


@dataclass(frozen=True, slots=True)
class Way:
    """In which order lanes and their holes are told: from the far end where `lanes_back`, `holes_back`.

    `part` is what of the piece is told so; `across` says that the lanes are hole rows.
    """

    part: str
    across: bool
    lanes_back: bool
    holes_back: bool
    lanes: int
    holes: int

    def lane(self, at: int) -> int:
        """The chart's number of the lane that is told at place `at`, from 0."""
        return self.lanes - at if self.lanes_back else at + 1

    def hole(self, at: int) -> int:
        """The chart's number of the hole that is counted as `at`, from 1, where a lane is begun."""
        return self.holes + 1 - at if self.holes_back else at


def entries(way: Way, lanes: Sequence[Lane], in_full: int) -> tuple[Entry, ...]:
    """The lanes one after the other; after the first `in_full`, those that were told are named."""
    told = [False] * len(lanes)
    found: list[Entry] = []
    at = 0
    while at < len(lanes):
        like = _like(lanes, told, at) if at >= in_full else None
        if like:
            found += _alike(way, lanes, at, like)
            count = len(like.lanes) * like.times
        else:
            count = next(
                (to for to in range(1, len(lanes) - at) if lanes[at + to] != lanes[at]), len(lanes) - at
            )
            count = min(count, in_full - at) if at < in_full else count
            told[at : at + count] = [True] * count
            found.append(_told(way, lanes[at], at, count))
        at += count
    return tuple(found)


def _told(way: Way, lane: Lane, at: int, count: int) -> Told:
    start, runs = lane
    stitches = count * stitches_of(lane)
    return Told(way.lane(at), way.lane(at + count - 1), way.hole(start), tuple(_folded(runs)), stitches)


@dataclass(frozen=True, slots=True)
class _Like:
    """Places of lanes that were told, in the order in which they are worked again, so many times."""

    lanes: range
    times: int


def _alike(way: Way, lanes: Sequence[Lane], at: int, like: _Like) -> Iterator[Alike]:
    """One entry; lanes told backwards come ten by ten, as the chart numbers them, to be found quickly."""
    back = like.lanes.step < 0
    wide = len(like.lanes) * like.times
    tens = groupby(range(wide), lambda lane: (way.lane(at + lane) - 1) // 10 if back else 0)
    for _, same in tens:
        those = list(same)
        block = like.lanes[those[0] : those[-1] + 1] if back else like.lanes
        stitches = like.times * sum(stitches_of(lanes[place]) for place in block)
        ends = (way.lane(each) for each in (at + those[0], at + those[-1], block[0], block[-1]))
        yield Alike(*ends, like.times, back and len(block) > 1, stitches)


def _like(lanes: Sequence[Lane], told: list[bool], at: int) -> _Like | None:
    """The most lanes from place `at` on that stand elsewhere in full, if looking them up is worth it."""
    best = None
    for place in range(at):
        if not told[place] or lanes[place] != lanes[at]:
            continue
        for step in (1, -1):
            like = _Like(_followed(lanes, told, at, place, step), 1)
            if like.lanes.step > 0:
                like = _Like(like.lanes, _times(lanes, at, like.lanes))
            if best is None or len(like.lanes) * like.times > len(best.lanes) * best.times:
                best = like
    return best if best and _is_worth_it(lanes, best) else None


def _followed(lanes: Sequence[Lane], told: list[bool], at: int, place: int, step: int) -> range:
    """Places from `place` on, up or down, that are alike with those from `at` on; one way if there is one."""
    count = 1
    while at + count < len(lanes):
        other = place + count * step
        if not 0 <= other < at or not told[other] or lanes[other] != lanes[at + count]:
            break
        count += 1
    return range(place, place + count * step, step) if count > 1 else range(place, place + 1)


def _times(lanes: Sequence[Lane], at: int, block: range) -> int:
    """How many times the block stands from place `at` on, one after the other."""
    again, wide, times = [lanes[place] for place in block], len(block), 1
    while list(lanes[at + times * wide : at + (times + 1) * wide]) == again:
        times += 1
    return times


def _is_worth_it(lanes: Sequence[Lane], like: _Like) -> bool:
    """Whether telling these lanes again would be longer to hear than their numbers."""
    told = [runs for (_, runs), _ in groupby(lanes[place] for place in like.lanes)]
    times = 1 if len(told) == 1 else like.times
    return times * sum(1 + _heard(tuple(_folded(runs))) for runs in told) >= LEAST_WORTH


def _heard(parts: Sequence[Part]) -> int:
    """How many parts are heard: a round is one, and its runs."""
    return sum(1 if isinstance(part, Run) else 1 + len(part.runs) for part in parts)


def stitches_of(lane: Lane) -> int:
    """How many stitches a lane has."""
    return sum(run.times for run in lane[1] if run.colour is not None)


def flat(parts: Sequence[Part]) -> Iterator[Run]:
    """The runs of all parts, each round as often as it is worked."""
    for part in parts:
        if isinstance(part, Run):
            yield part
        else:
            yield from part.runs * part.times


def _folded(runs: tuple[Run, ...]) -> Iterator[Part]:
    """Like stitches joined to runs, and runs that return joined to rounds, from one gap to the next."""
    for bare, between in groupby(runs, lambda run: run.colour is None):
        part = list(between)
        yield from part if bare else _rounds(part)


def _rounds(runs: Sequence[Run]) -> Iterator[Part]:
    row = [Run(run.colour, run.over, len(list(same))) for run, same in groupby(runs)]
    at = 0
    while at < len(row):
        wide, times = round_at(row, at, LONGEST_ROUND)
        if wide:
            yield Round(tuple(row[at : at + wide]), times)
        else:
            yield row[at]
        at += max(wide * times, 1)


def round_at(row: Sequence[object], at: int, longest: int) -> tuple[int, int]:
    """Entries and times of the round that holds most from place `at` on; (0, 0) if none is worth it."""
    best = (0, 0)
    for wide in range(2, min(longest, (len(row) - at) // 2) + 1):
        times = 1
        while row[at + times * wide : at + (times + 1) * wide] == row[at : at + wide]:
            times += 1
        if times > 1 and wide * times >= 6 and wide * times > best[0] * best[1]:
            best = (wide, times)
    return best
