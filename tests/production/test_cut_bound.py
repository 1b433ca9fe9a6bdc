"""Bounds: beside every plan that a small job has, tried out one by one."""

from __future__ import annotations

from fractions import Fraction
from itertools import product

from hypothesis import given, settings
from hypothesis import strategies as st

from kitbuild.production.cut_plan import cut, least_cost
from kitbuild.production.cut_records import CutJob, Supply, Wanted


@st.composite
def strips(draw: st.DrawFn) -> CutJob:
    """Blanks as wide as their sheets, so that only their heights matter."""
    wanted = tuple(
        Wanted(f"p{at}", 10, draw(st.integers(3, 12)), False, draw(st.integers(1, 3))) for at in range(2)
    )
    supplies = (
        Supply("short", "sheet", 10, 12, draw(st.integers(1, 9))),
        Supply("long", "sheet", 10, 20, draw(st.integers(5, 15))),
        Supply("scrap", "sheet", 10, 13, 0, draw(st.integers(0, 2))),
    )
    return CutJob(wanted, supplies, draw(st.integers(0, 1)), tries=40)


def least(job: CutJob) -> int:
    """The least cost of all ways to share out at most six blanks, every one tried."""
    heights = sorted(each.rows + job.kerf for each in job.wanted for _ in range(each.quantity))
    short, long, scrap = job.supplies
    best = {(): 0}
    costs = [(sheet.rows + job.kerf, int(sheet.cost), sheet) for sheet in (short, long)]
    found: dict[tuple[tuple[int, ...], int], int] = {}

    def cost(left: tuple[int, ...], scraps: int) -> int:
        if left in best:
            return 0
        if (left, scraps) not in found:
            options = []
            for taken in product((False, True), repeat=len(left) - 1):
                on = [left[0], *(each for each, is_on in zip(left[1:], taken, strict=True) if is_on)]
                rest = tuple(each for each, is_on in zip(left[1:], taken, strict=True) if not is_on)
                options += [price + cost(rest, scraps) for room, price, _ in costs if sum(on) <= room]
                if scraps and sum(on) <= scrap.rows + job.kerf:
                    options.append(cost(rest, scraps - 1))
            found[left, scraps] = min(options)
        return found[left, scraps]

    return cost(tuple(heights), scrap.limit or 0)


def test_a_sheet_that_holds_all_that_is_left_ends_a_plan() -> None:
    """Three blanks on a short sheet are as cheap a blank as five on a long one, but four are not six."""
    wanted = (Wanted("a", 10, 3, False, 1), Wanted("b", 10, 3, False, 3))
    supplies = (Supply("short", "sheet", 10, 12, 3), Supply("long", "sheet", 10, 20, 5))
    made = cut(CutJob(wanted, supplies, 1))
    assert [(each.supply, each.count) for each in made.layouts] == [("long", 1)]
    assert made.cost == made.bound == 5


def test_dear_sheets_are_taken_where_whole_numbers_of_them_are_cheapest() -> None:
    """Of four blanks a long sheet holds three, at 2 each, a short one two, at 2.5; two short ones win."""
    supplies = (Supply("short", "sheet", 10, 12, 5), Supply("long", "sheet", 10, 20, 6))
    made = cut(CutJob((Wanted("a", 10, 5, False, 4),), supplies, 1))
    assert [(each.supply, each.count) for each in made.layouts] == [("short", 2)]
    assert made.cost == 10


def test_a_roll_is_taken_for_whole_blanks() -> None:
    """Two of three blanks of 182 x 183 lie beside each other on 393 columns: twice 183 rows, no kerf."""
    made = cut(CutJob((Wanted("a", 182, 183, False, 3),), (Supply("roll", "roll", 393, 3937, 24_000),), 0))
    assert made.cost == made.bound == Fraction(2 * 183 * 24_000, 3937)


@given(strips())
@settings(max_examples=40, deadline=None)
def test_no_plan_is_below_the_bound_and_small_jobs_are_cut_at_the_least_cost(job: CutJob) -> None:
    made = cut(job)
    assert least_cost(job) <= least(job)
    assert made.bound <= least(job) == made.cost
