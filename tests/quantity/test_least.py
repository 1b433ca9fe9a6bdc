"""The least thread of few areas, by which the order of work is judged: against all orders, one by one."""

from __future__ import annotations

import math
import random
from dataclasses import dataclass
from itertools import pairwise, permutations, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.bench.least import FEW, Hole, least_pitches

START = 28.0


@dataclass(frozen=True)
class Laid:
    """An area worked from one end."""

    runs: tuple[float, ...]
    begins: tuple[Hole, ...]
    ends: tuple[Hole, ...]


def _areas(chance: random.Random, count: int, longest: float) -> list[list[Laid]]:
    """Areas of up to four stitches both ways: each with a length of runs of its own, none too long."""

    def stitch() -> tuple[Hole, Hole]:
        x, y, length = chance.randint(1, 12), chance.randint(1, 12), chance.randint(1, 6)
        return ((x, y), (x, y + length)) if chance.random() < 0.5 else ((x, y + length), (x, y))

    found = []
    for _ in range(count):
        size, first, last = chance.randint(1, 4), stitch(), stitch()
        runs = [tuple(chance.uniform(0.0, min(longest, 9.0)) for _ in range(size - 1)) for _ in range(2)]
        last = first if size == 1 else last
        found.append([Laid(runs[0], first, last[::-1]), Laid(runs[1], last, first[::-1])])
    return found


def _all(areas: list[list[Laid]], longest: float, front: float = 0.0, usable: float = math.inf) -> float:
    """Each order, each way, each hole to leave and to enter by, each run or new start between: the least.

    As many of the runs inside as the thread asks for are new starts too, the longest first.
    """
    best = math.inf
    for order in permutations(areas):
        for ways in product(*order):
            joints = []
            for one, other in pairwise(ways):
                runs = [math.dist(leave, enter) for leave in one.ends for enter in other.begins]
                joints.append([None, *(run for run in runs if run <= longest)])
            inside = sorted((run for way in ways for run in way.runs), reverse=True)
            for between, cut in product(product(*joints), range(len(inside) + 1)):
                starts = 1 + between.count(None) + cut
                runs = sum(run for run in between if run is not None) + sum(inside[cut:])
                if front + runs <= starts * usable:
                    best = min(best, runs + START * starts)
    return best


randoms, longests = st.randoms(use_true_random=False), st.sampled_from((0.0, 1.5, 4.0, 6.56, 20.0))


@given(randoms, st.integers(1, 4), longests)
@settings(max_examples=60, deadline=None)
def test_the_least_is_that_of_all_orders(chance: random.Random, count: int, longest: float) -> None:
    areas = _areas(chance, count, longest)
    found = least_pitches(areas, longest, START)
    assert found == pytest.approx(_all(areas, longest), abs=1e-9)


@given(randoms, st.integers(1, 3), longests, st.floats(0, 60), st.floats(20, 60))
@settings(max_examples=60, deadline=None)
def test_no_order_of_starts_that_the_thread_forces_takes_less(
    chance: random.Random, count: int, longest: float, front: float, usable: float
) -> None:
    """And it takes no less where a start holds less."""
    areas = _areas(chance, count, longest)
    found = least_pitches(areas, longest, START, front, usable)
    assert found <= _all(areas, longest, front, usable) + 1e-9
    assert found >= least_pitches(areas, longest, START, front, 2 * usable) - 1e-9


def test_thread_that_does_not_hold_all_asks_for_a_start_more() -> None:
    """Two areas of runs 4, joined by one of 5, with 20 pitches of stitches: 33 of thread in one start."""
    areas = [[Laid((4.0,), ((1, 1),), ((2, 1),))] * 2, [Laid((4.0,), ((7, 1),), ((6, 6),))] * 2]
    assert least_pitches(areas, 6.0, START, 20.0, 33.0) == pytest.approx(START + 13.0)
    assert least_pitches(areas, 6.0, START, 20.0, 32.9) == pytest.approx(2 * START + 13.0 - 6.0)
    assert least_pitches(areas, 4.5, START, 20.0, 33.0) == pytest.approx(2 * START + 8.0)


def test_a_last_stitch_turned_brings_the_next_area_within_reach() -> None:
    """Two areas 8 pitches apart: 4 where the one may be left by the other end of its last stitch."""
    upper = [Laid((), ((1, 1), (1, 5)), ((1, 5), (1, 1)))] * 2
    lower = [Laid((4.0,), ((2, 9),), ((1, 13),)), Laid((4.0,), ((1, 13),), ((2, 13),))]
    back = [Laid((4.0,), ((2, 9),), ((1, 13), (1, 9))), lower[1]]
    far = [Laid((), ((1, 1), (1, 5)), ((1, 20), (1, 24)))] * 2
    assert least_pitches([lower, far], 6.56, START) == pytest.approx(2 * START + 4.0)
    assert least_pitches([back, far], 6.56, START) == pytest.approx(START + 4.0 + 4.0)
    assert least_pitches([lower, upper], 6.56, START) == pytest.approx(START + 4.0 + math.hypot(1, 4))


def test_many_areas_in_a_row_are_one_start() -> None:
    """As many as are judged so, two pitches apart, given in no order: one start and runs of 2."""
    areas = [[Laid((1.0,), ((2 * at, 1),), ((2 * at, 1),))] * 2 for at in range(FEW)]
    random.Random(2).shuffle(areas)
    assert least_pitches(areas, 2.0, START) == pytest.approx(START + FEW + 2 * (FEW - 1))
    assert least_pitches(areas, 1.9, START) == pytest.approx(FEW * START + FEW)
