"""A class's box against sums by hand, and what must hold for any class."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitbuild.production.class_box import class_lines, for_class, stock_for, taken
from kitbuild.production.cut_plan import cut
from kitbuild.production.picks import Pick, thread_cost
from kitbuild.production.run import plan_run
from kitbuild.production.run_records import in_stock_units
from kitbuild.production.stock import Lot, oldest_first
from kitbuild.quantity.thread import Use
from tests.production.lessons import LESSON
from tests.production.stores import ALL, boxed, lot, order, plenty

#: By hand for 13 kits of WHIN, of which each holds two skeins of 13 needlefuls of every colour, 15 % spare:
#: bark 20 needlefuls a kit, 260 in all, 39 spare: 3 skeins. Moss and lichen 12, 156, 24: 2.
#: Gorse 16, 208, 32: 3.
BY_HAND = {"wool-0123": (26, 3), "wool-0488": (26, 2), "wool-0702": (26, 3), "wool-0009": (26, 2)}


def pick(item: str) -> Pick:
    return next(each for each in boxed()["WHIN"].picks if each.item == item)


@pytest.mark.parametrize("item", BY_HAND)
def test_thread_is_as_reckoned_by_hand(item: str) -> None:
    kits, spare = BY_HAND[item]
    whole, extra = for_class(pick(item), LESSON)
    assert (whole.quantity, extra) == (kits + spare, spare)
    assert in_stock_units(whole) == kits + spare


def test_needles_are_as_reckoned_by_hand() -> None:
    """26 needles, 20 % of them 5.2: 6."""
    assert (for_class(pick("needle-16"), LESSON)[0].quantity, for_class(pick("needle-16"), LESSON)[1]) == (
        32,
        6,
    )


def cut_from_put_ups(each: Pick) -> Pick:
    """The same pick of a thread that goes into the box as needlefuls."""
    assert isinstance(each.source, Use)
    colour = each.source.colour
    use = replace(each.source, colour=replace(colour, thread=replace(colour.thread, packed="needlefuls")))
    return replace(each, quantity=use.packed, cost=thread_cost(use), source=use)


def test_needlefuls_are_as_reckoned_by_hand() -> None:
    """22 needlefuls a kit, 286 in all, 39 spare: 325, which is 25 skeins of 13."""
    whole, spare = for_class(cut_from_put_ups(pick("wool-0123")), LESSON)
    assert (whole.quantity, spare) == (325, 39)
    assert in_stock_units(whole) == 25


@given(
    st.sampled_from(ALL),
    st.integers(1, 40),
    st.integers(0, 3),
    st.integers(0, 100),
    st.lists(st.integers(0, 200), min_size=1, max_size=4),
    st.booleans(),
)
def test_a_colour_comes_from_one_lot_or_is_short(
    code: str, learners: int, teachers: int, share: int, held: list[int], needlefuls: bool
) -> None:
    lesson = replace(LESSON, kit=code, learners=learners, teachers=teachers, spare_thread=share / 100)
    each = next(line for line in boxed()[code].picks if line.kind == "thread")
    each = cut_from_put_ups(each) if needlefuls else each
    lots = oldest_first(
        [lot(each.item, f"L{at}", many, f"2026-08-{at + 1:02}") for at, many in enumerate(held)]
    )
    (line,) = class_lines(replace(boxed()[code], picks=(each,)), lesson, lots)
    need = Fraction(in_stock_units(line.pick))
    assert line.pick.quantity == lesson.kits * each.quantity + line.spare
    holding = [name for name, many in zip(["L0", "L1", "L2", "L3"], held, strict=False) if many >= need]
    if holding:
        assert line.lots == (holding[0],)
        assert sum(take.quantity for take in line.takes) == need
        assert line.short == 0
    else:
        assert (line.lots, line.takes) == ((), ())
        assert line.short == need


def test_what_leaves_the_stock_is_kits_and_spare() -> None:
    lots = oldest_first(
        [*plenty(), lot("wool-0123", "old", 28, "2026-01-01"), lot("wool-0123", "B", 29, "2026-02-01")]
    )
    lines = class_lines(boxed()["WHIN"], LESSON, lots)
    run = plan_run("class:x", [order("x", "WHIN", 13)], boxed(), stock_for(lines, lots), cut)
    assert not run.short
    found = taken(lines, run.taken)
    assert found["wool-0123", "B"] == 29
    assert ("wool-0123", "old") not in found
    assert found["needle-16", "A"] == 32
    assert {item for item, _ in found} == {*BY_HAND, "needle-16", "sheet-7"}


def test_a_lot_too_small_for_all_is_left() -> None:
    """29 skeins are needed: a lot of 28 would do for every kit, but not for what is spare."""
    lots = [Lot("wool-0123", "A", "A-01", 28, "2026-01-01")]
    line = next(each for each in class_lines(boxed()["WHIN"], LESSON, lots) if each.pick.item == "wool-0123")
    assert line.short == 29
