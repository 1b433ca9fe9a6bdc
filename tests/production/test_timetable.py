"""A class's times against a clock by hand, and what must hold for any class."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from kitbuild.production.timetable import timetable
from kitbuild.spec.lessons import Times
from tests.production.lessons import LESSON


def test_the_clock_is_as_reckoned_by_hand() -> None:
    """Stitching from 14:35, a stitch a minute, the break after 60 of 120 minutes, at 15:35."""
    made = timetable(LESSON, [40, 30, 100], 60)
    assert (made.stitching_minutes, made.stitched, made.line_minutes) == (120, 120, 40)
    told = [(each.minute - 14 * 60, each.doing, each.stitches) for each in made.moments]
    assert told == [
        (0, "welcome", 0),
        (10, "threading", 0),
        (25, "start", 0),
        (45, "line", 10),
        (55, "line", 20),
        (65, "line", 30),
        (75, "line", 40),
        (95, "pause", 60),
        (120, "row", 70),
        (170, "end", 120),
        (180, "over", 120),
    ]


def test_all_is_worked_where_there_is_time() -> None:
    made = timetable(LESSON, [4, 3], 60)
    assert made.stitched == 7
    assert [each.stitches for each in made.moments if each.doing == "row"] == [7]
    assert not [each for each in made.moments if each.doing == "line" and not each.whole]


@given(
    st.integers(75, 720),
    st.lists(st.integers(1, 300), min_size=1, max_size=20),
    st.integers(10, 2000),
    st.integers(0, 30),
    st.integers(0, 1439),
)
def test_moments_follow_one_another(
    minutes: int, turns: list[int], pace: int, pause: int, begins: int
) -> None:
    times = Times(10, 10, 10, pause, 10)
    if minutes - times.total < 15:
        return
    made = timetable(replace(LESSON, minutes=minutes, times=times, begins=begins), turns, pace)
    for before, after in pairwise(made.moments):
        assert before.minute <= after.minute
        assert before.stitches <= after.stitches
    assert made.moments[-1].minute == begins + minutes
    assert made.stitched <= sum(turns)
    stitching = made.stitching_minutes
    assert made.stitched == min(sum(turns), stitching * pace // 60)
    assert [each.doing for each in made.moments].count("pause") == bool(pause)
