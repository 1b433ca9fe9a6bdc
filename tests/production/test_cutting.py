"""Cut plans, verified on their own: room, kerf, straight cuts, and every blank that is asked for."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kitbuild.base.problem import InputProblems
from kitbuild.production.cutting import Blank, CutPlan, blank_cost, plan, sheet_cost, size_mm
from kitbuild.spec.materials import Canvas
from tests.pattern.builders import canvas, piece, roll, sheet
from tests.production.guillotine import faults, in_stages


def blank(columns: int, rows: int, cloth: Canvas, turn: bool = False, key: str = "case") -> Blank:
    return Blank("CASE", piece(key, canvas=cloth, may_turn=turn), columns, rows)


def assert_sound(made: CutPlan, wanted: list[Blank]) -> None:
    assert [each.number for each in made.sheets] == list(range(1, len(made.sheets) + 1))
    got: Counter[tuple[str, str, int, int, bool]] = Counter()
    for cut in made.sheets:
        boxes = [(each.x, each.y, each.columns, each.rows) for each in cut.placed]
        assert boxes, "no sheet is opened for nothing"
        assert cut.rows <= cut.stock.rows
        assert cut.columns == cut.stock.columns
        assert cut.rows == cut.stock.rows or cut.stock.form == "roll"
        assert not faults(boxes, cut.columns, cut.rows, cut.canvas.kerf)
        assert in_stages(boxes, cut.columns, cut.rows, cut.canvas.stages)
        for each in cut.placed:
            asked = each.blank
            size = (asked.rows, asked.columns) if each.turned else (asked.columns, asked.rows)
            assert (each.columns, each.rows) == size
            assert asked.piece.may_turn or not each.turned
            assert asked.piece.canvas == cut.canvas
            assert cut.stock in cut.canvas.stock
            assert size_mm(each)[0] == pytest.approx(each.columns * cut.canvas.pitch_mm + 1.1, abs=0.006)
            got[_name(asked)] += 1
    assert got == Counter(map(_name, wanted))


def _name(one: Blank) -> tuple[str, str, int, int, bool]:
    return one.piece.canvas.key, one.piece.key, one.columns, one.rows, one.piece.may_turn


@st.composite
def jobs(draw: st.DrawFn) -> list[Blank]:
    stocks = draw(
        st.sampled_from(
            (
                (sheet(),),
                (roll(),),
                (sheet(), sheet(80, 120, 210, "large")),
                (sheet(90, 30, 60, "wide"), sheet(30, 95, 60, "tall")),
                (sheet(40, 40, 10, "small"), roll(60, 2000, 3000), sheet()),
            )
        )
    )
    clothes = [
        canvas(f"plastic-{at}", kerf=draw(st.integers(0, 3)), stock=stocks, stages=draw(st.integers(2, 3)))
        for at in (1, 2)
    ]
    job = []
    for at in range(draw(st.integers(1, 6))):
        cloth, turn = draw(st.sampled_from(clothes)), draw(st.booleans())
        size = draw(st.integers(1, 60)), draw(st.integers(1, 90))
        held = any(size[0] <= stock.columns and size[1] <= stock.rows for stock in stocks)
        held |= turn and any(size[1] <= stock.columns and size[0] <= stock.rows for stock in stocks)
        if not held:
            size = min(size[0], 40), min(size[1], 30)
        job += [blank(*size, cloth, turn, f"p{at}")] * draw(st.integers(1, 9))
    return job


@given(jobs())
@settings(max_examples=150, deadline=None)
def test_any_job_is_cut_straight_and_whole(job: list[Blank]) -> None:
    made = plan(job)
    assert_sound(made, job)
    assert plan(job) == made


@given(jobs())
@settings(max_examples=60, deadline=None)
def test_a_plan_costs_no_more_than_a_sheet_for_each_blank(job: list[Blank]) -> None:
    dearest = sum(max(Fraction(stock.cost_minor) for stock in one.piece.canvas.stock) for one in job)
    assert sum(map(sheet_cost, plan(job).sheets)) <= dearest


def test_two_blanks_of_35_need_no_kerf_to_lie_on_70() -> None:
    """A bar serves one piece only: 70 holes take two blanks of 35 only without kerf (derived)."""
    for kerf, sheets in ((0, 1), (1, 2)):
        cloth = canvas(kerf=kerf)
        job = [blank(35, 90, cloth)] * 2
        assert len(plan(job).sheets) == sheets
        assert_sound(plan(job), job)
    job = [blank(35, 90, canvas()), blank(34, 90, canvas())]
    assert len(plan(job).sheets) == 1


def test_a_canvas_is_cut_in_no_more_stages_than_it_says() -> None:
    """Beside 40 x 90 a column of 30 is left: three blanks high, trimmed in a third stage."""
    job = [blank(40, 90, canvas(kerf=0)), *[blank(30, 30, canvas(kerf=0))] * 2, blank(20, 30, canvas(kerf=0))]
    assert len(plan(job).sheets) == 1
    two = canvas(kerf=0, stages=2)
    less = [replace(one, piece=replace(one.piece, canvas=two)) for one in job]
    assert len(plan(less).sheets) == 2
    assert_sound(plan(less), less)


def test_four_coasters_come_from_one_sheet() -> None:
    job = [blank(26, 27, canvas())] * 4
    assert len(plan(job).sheets) == 1


def test_turning_saves_a_sheet_only_where_it_is_allowed() -> None:
    cloth = canvas()
    assert len(plan([blank(82, 27, cloth, turn=True)] * 2).sheets) == 1
    with pytest.raises(InputProblems):
        plan([blank(82, 27, cloth, turn=False)])


def test_a_blank_that_no_stock_holds_is_told_once() -> None:
    cloth, other = canvas(), canvas("plastic-10", stock=(sheet(100, 130),))
    job = (
        [blank(71, 91, cloth, key="big")] * 3 + [blank(5, 5, cloth)] + [blank(120, 131, other, True, "huge")]
    )
    with pytest.raises(InputProblems) as told:
        plan(job)
    problems = sorted(told.value.problems)
    assert [problem.code for problem in problems] == ["KB601", "KB601"]
    assert any("big" in problem.message and "71 x 91" in problem.message for problem in problems)
    assert any("turn" in problem.cure for problem in problems)


def test_blanks_that_share_no_stock_are_cut_apart() -> None:
    stocks = (sheet(90, 30, 60, "wide"), sheet(30, 95, 60, "tall"))
    job = [blank(88, 20, canvas(stock=stocks)), blank(20, 90, canvas(stock=stocks))] * 2
    made = plan(job)
    assert_sound(made, job)
    assert {each.stock.key for each in made.sheets} == {"wide", "tall"}


def test_a_roll_is_cut_no_longer_than_it_must_be() -> None:
    cloth = canvas("mono-10", weave="woven", kerf=0, stock=(roll(390, 3900),))
    made = plan([blank(180, 181, cloth)] * 2)
    assert [(each.columns, each.rows) for each in made.sheets] == [(390, 181)]
    assert sheet_cost(made.sheets[0]) == Fraction(24000 * 181, 3900)


def test_a_blank_bears_its_share_of_the_stock() -> None:
    """70 x 90 holes give two rows of three blanks of 26 x 27 and a kerf (derived): a sixth of the sheet."""
    cloth = canvas()
    assert blank_cost(blank(26, 27, cloth)) == Fraction(145, 2 * 3)
    free = replace(cloth, kerf=0)
    assert blank_cost(blank(35, 45, free)) == Fraction(145, 4)
    assert blank_cost(blank(35, 45, cloth)) == Fraction(145, 1)
    assert blank_cost(blank(90, 70, cloth, turn=True)) == 145
