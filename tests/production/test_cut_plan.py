"""Cut plans of whole jobs, verified on their own: room, kerf, stages, cuts, limits, every blank asked for."""

from __future__ import annotations

from collections import Counter
from dataclasses import astuple, replace
from fractions import Fraction
from itertools import count

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kitbuild.production.cut_plan import cut
from kitbuild.production.cut_records import CutJob, Cutting, Layout, Supply, Wanted
from tests.production.guillotine import cut_up, faults, in_stages

SHEET = Supply("sheet", "sheet", 70, 90, 145)


def assert_sound(job: CutJob, made: Cutting) -> None:
    """Everything that a plan promises, looked at without the code that made it."""
    supplies = {each.key: each for each in job.supplies}
    wanted = {each.key: each for each in job.wanted}
    got: Counter[str] = Counter(dict(made.short))
    used: Counter[str] = Counter()
    cost = Fraction(0)
    for layout in made.layouts:
        supply = supplies[layout.supply]
        assert layout.count > 0
        assert layout.columns == supply.columns
        if supply.form == "roll":
            assert layout.rows <= supply.rows
            cost += Fraction(supply.cost) * layout.rows * layout.count / supply.rows
            used[supply.key] += layout.count * (layout.rows + job.kerf)
        else:
            assert layout.rows == supply.rows
            cost += Fraction(supply.cost) * layout.count
            used[supply.key] += layout.count
        assert_cut(layout, job)
        for lie in layout.lies:
            asked = wanted[lie.key]
            size = (asked.rows, asked.columns) if lie.turned else (asked.columns, asked.rows)
            assert (lie.columns, lie.rows) == size
            assert asked.may_turn or not lie.turned
            got[lie.key] += layout.count
    assert got == Counter({each.key: each.quantity for each in job.wanted if each.quantity})
    for key, number in used.items():
        supply = supplies[key]
        if supply.limit is not None:
            whole = supply.rows + job.kerf if supply.form == "roll" else 1
            assert number <= supply.limit * whole
    assert made.cost == cost
    assert made.bound <= made.cost


def assert_cut(layout: Layout, job: CutJob) -> None:
    """The blanks of a sheet have room, and the cuts as they are written free each of them."""
    boxes = [(each.x, each.y, each.columns, each.rows) for each in layout.lies]
    assert boxes
    assert not faults(boxes, layout.columns, layout.rows, job.kerf)
    off_roll = any(each.key == layout.supply and each.form == "roll" for each in job.supplies)
    assert in_stages(boxes, layout.columns, layout.rows, job.stages - off_roll)
    pieces = cut_up([astuple(each) for each in layout.cuts], layout.columns, layout.rows, job.kerf)
    assert max((each.stage for each in layout.cuts), default=0) <= job.stages
    assert not Counter(boxes) - Counter(pieces)
    kept = [astuple(each) for each in layout.offcuts]
    assert not Counter([*boxes, *kept]) - Counter(pieces)
    for _, _, columns, rows in kept:
        assert min(columns, rows) >= job.least_offcut[0]
        assert max(columns, rows) >= job.least_offcut[1]


@st.composite
def jobs(draw: st.DrawFn) -> CutJob:
    wanted = tuple(
        Wanted(
            f"p{at}",
            draw(st.integers(2, 60)),
            draw(st.integers(2, 80)),
            draw(st.booleans()),
            draw(st.integers(0, 30)),
        )
        for at in range(draw(st.integers(1, 6)))
    )
    supplies = draw(
        st.sampled_from(
            (
                (SHEET,),
                (SHEET, Supply("left", "sheet", 40, 60, 0, 2), Supply("long", "sheet", 90, 30, 20, 1)),
                (SHEET, Supply("large", "sheet", 90, 130, 260)),
                (Supply("roll", "roll", 100, 400, 2400),),
                (Supply("few", "sheet", 70, 90, 145, 3), Supply("roll", "roll", 60, 300, 999, 1)),
            )
        )
    )
    stages = draw(st.sampled_from((2, 3)))
    return CutJob(wanted, supplies, draw(st.integers(0, 2)), stages, tries=20, work=50_000)  # type: ignore[arg-type]


@given(jobs())
@settings(max_examples=60, deadline=None)
def test_any_job_is_cut_as_written(job: CutJob) -> None:
    assert_sound(job, cut(job))


@given(jobs())
@settings(max_examples=10, deadline=None)
def test_a_job_is_cut_the_same_again(job: CutJob) -> None:
    assert cut(job) == cut(job)


def test_two_blanks_of_35_need_no_kerf_to_lie_on_70() -> None:
    """A bar serves one piece only: 70 holes take two blanks of 35 only without kerf (derived)."""
    for kerf, sheets in ((0, 1), (1, 2)):
        job = CutJob((Wanted("a", 35, 90, False, 2),), (SHEET,), kerf)
        made = cut(job)
        assert_sound(job, made)
        assert made.sheets == sheets


@pytest.mark.parametrize(("turn", "sheets"), [(True, 1), (False, 2)])
def test_turning_saves_a_sheet_only_where_it_is_allowed(turn: bool, sheets: int) -> None:
    """Four blanks of 45 x 35 lie two and two on 70 x 90 holes when half of them turn (derived)."""
    job = CutJob((Wanted("a", 45, 35, turn, 4),), (SHEET,), 0)
    made = cut(job)
    assert_sound(job, made)
    assert made.sheets == sheets


def test_offcuts_are_used_first_and_no_oftener_than_there_are() -> None:
    scraps = Supply("scrap", "sheet", 30, 40, 0, 2)
    job = CutJob((Wanted("a", 28, 38, False, 3),), (SHEET, scraps), 1)
    made = cut(job)
    assert_sound(job, made)
    assert Counter({each.supply: each.count for each in made.layouts}) == {"scrap": 2, "sheet": 1}


def test_what_the_limit_leaves_uncut_is_told() -> None:
    """70 x 90 holes with a kerf hold six blanks of 26 x 27 ... two across, three down (derived)."""
    job = CutJob(
        (Wanted("a", 26, 27, False, 20), Wanted("b", 71, 91, True, 1)),
        (Supply("sheet", "sheet", 70, 90, 145, 2),),
        1,
    )
    made = cut(job)
    assert_sound(job, made)
    assert dict(made.short) == {"a": 8, "b": 1}
    assert made.bound == made.cost == 290


def test_blanks_of_one_size_are_handed_to_each_that_asked() -> None:
    job = CutJob(
        (Wanted("a", 20, 30, True, 5), Wanted("b", 30, 20, True, 7), Wanted("c", 20, 30, False, 3)),
        (SHEET,),
        1,
    )
    assert_sound(job, cut(job))


def test_the_emptiest_sheet_keeps_its_rest_in_one_piece() -> None:
    """Two blanks of 30 x 30 lie beside each other: 59 of 90 rows are left whole (derived, kerf 1)."""
    job = CutJob(
        (Wanted("a", 30, 30, False, 2), Wanted("b", 69, 40, False, 1)), (Supply("s", "sheet", 70, 140, 9),), 1
    )
    made = cut(job)
    assert_sound(job, made)
    largest = max(
        (each for layout in made.layouts for each in layout.offcuts), key=lambda o: o.columns * o.rows
    )
    assert (largest.columns, largest.rows) == (70, 140 - 40 - 1 - 30 - 1)


def test_nothing_asked_for_is_nothing_cut() -> None:
    assert cut(CutJob((), (SHEET,), 1)).layouts == ()
    assert cut(CutJob((Wanted("a", 5, 5, False, 0),), (SHEET,), 1)).cost == 0
    assert cut(CutJob((Wanted("a", 5, 5, False, 2),), (), 1)).short == (("a", 2),)


HARD = CutJob(
    tuple(Wanted(f"p{at}", 11 + 5 * at, 47 - 3 * at, True, 40 + at) for at in range(9)), (SHEET,), 1
)


@pytest.mark.parametrize(
    ("job", "ended"), [(replace(HARD, seconds=0.0), "clock"), (replace(HARD, work=0), "work")]
)
def test_a_search_that_is_ended_leaves_the_simple_plan(job: CutJob, ended: str) -> None:
    made = cut(job)
    assert_sound(job, made)
    assert made.method == "one by one"
    assert made.ended == ended
    assert cut(HARD).cost <= made.cost


@pytest.mark.parametrize("work", [2_000, 20_000, 100_000])
def test_a_slow_machine_finds_the_same(work: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """A clock on which each look takes 5 ms changes nothing, wherever the work ends."""
    job = replace(HARD, supplies=(SHEET, Supply("large", "sheet", 90, 130, 260)), work=work)
    made = cut(job)
    ticks = count(0.0, 0.005)
    monkeypatch.setattr("kitbuild.production.cut_effort.time.thread_time", lambda: next(ticks))
    assert cut(job) == made
    assert made.ended != "clock"
