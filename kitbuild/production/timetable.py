"""The times of a class: what is shown when, and how far hands should have come by then."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from kitbuild.base.units import up
from kitbuild.spec.lessons import Lesson

Doing = Literal["welcome", "threading", "start", "line", "row", "pause", "end", "over"]
QUARTERS: Final = 4
"""Points at which the first turn, the line, is looked at."""


@dataclass(frozen=True, slots=True)
class Moment:
    """At `minute` since midnight something begins, or is to have been reached.

    `stitches` is how many are worked by then; `turn` is the turn of the order of work that they end in, from
    0. `whole` says that it ends there.
    """

    minute: int
    doing: Doing
    stitches: int = 0
    turn: int = 0
    whole: bool = False


@dataclass(frozen=True, slots=True)
class Timetable:
    """The moments of a class in order; `stitched` is what is worked in class at `pace` stitches an hour."""

    moments: tuple[Moment, ...]
    pace: float
    stitching_minutes: int
    stitched: int
    line_minutes: int


def timetable(lesson: Lesson, turns: Sequence[int], pace: float) -> Timetable:
    """The times of a class; `turns` are the stitches of each turn of the order of work, the line's first.

    What is not stitching comes before and after it; the break lies in the middle of the stitching.
    """
    times = lesson.times
    begin = lesson.begins + times.welcome + times.threading + times.start
    stitching = lesson.minutes - times.total
    stitched = min(sum(turns), int(stitching * pace / 60))
    fixed = [
        Moment(lesson.begins, "welcome"),
        Moment(lesson.begins + times.welcome, "threading"),
        Moment(begin - times.start, "start"),
    ]
    pause = begin + stitching // 2
    end = lesson.begins + lesson.minutes
    marks = [
        _placed(mark, begin, pause, times.pause, pace) for mark in _marks(turns) if mark.stitches <= stitched
    ]
    last = [Moment(end - times.end, "end", stitched), Moment(end, "over", stitched)]
    breaks = [Moment(pause, "pause", min(sum(turns), int((stitching // 2) * pace / 60)))] * bool(times.pause)
    ordered = sorted([*marks, *breaks], key=lambda each: (each.minute, each.doing == "pause"))
    line_minutes = up(turns[0] * 60 / pace) if turns else 0
    return Timetable((*fixed, *ordered, *last), pace, stitching, stitched, line_minutes)


def _marks(turns: Sequence[int]) -> Iterator[Moment]:
    """The quarters of the line, then the end of each turn, with the stitches worked by then."""
    done = 0
    for at, stitches in enumerate(turns):
        if at == 0 and stitches >= 2 * QUARTERS:
            for quarter in range(1, QUARTERS):
                yield Moment(0, "line", quarter * stitches // QUARTERS, at)
        done += stitches
        yield Moment(0, "line" if at == 0 else "row", done, at, whole=True)


def _placed(mark: Moment, begin: int, pause: int, pause_minutes: int, pace: float) -> Moment:
    """When so many stitches are worked, the break taken out; never earlier than that."""
    minute = begin + up(mark.stitches * 60 / pace)
    if minute > pause:
        minute += pause_minutes
    return Moment(minute, mark.doing, mark.stitches, mark.turn, mark.whole)
