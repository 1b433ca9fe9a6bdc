"""The plan of work: the walk costs what the plan counts, needles stay where they are told to."""

from __future__ import annotations

import numpy as np
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from kitbuild.pattern.panel import Panel
from kitbuild.quantity.areas import free_turns, turns
from kitbuild.quantity.chains import Hole, Reach
from kitbuild.quantity.direction import POLICIES
from kitbuild.quantity.order import Order, order
from kitbuild.quantity.planning import Visit, planned
from kitbuild.quantity.ways import Ways, both_ways
from tests.pattern.builders import UPRIGHT, panel_of, pieces
from tests.quantity.drawn import drawings
from tests.quantity.test_chains import exit_of, step

policies, parks = st.sampled_from(sorted(POLICIES)), st.booleans()
reaches = st.builds(Reach, st.sampled_from((0.0, 1.5, 6.56, 12.0, 1e9)), st.sampled_from((2.0, 28.0)))
panels = st.one_of(drawings(), pieces(most=30, families=UPRIGHT).map(panel_of))


def _ways(panel: Panel, policy: str, longest: float) -> list[Ways]:
    occupied = np.zeros((panel.cover.rows + 2, panel.cover.columns + 2), dtype=bool)
    free = panel.piece.pattern.family == "charted"
    work = panel.stitches
    found = free_turns(work, occupied, longest) if free else turns(work, occupied)
    return [both_ways(work, turn, POLICIES[policy], occupied) for turn in found]


def _visit_of(ways: Ways, visit: Visit) -> int:
    """2 x area + way of a visit; of stitches alone, of which both ways look alike, way 0."""
    for area, stitches in enumerate(ways.areas[0]):
        if stitches.tolist() == visit.area.tolist():
            return 2 * area
        if stitches[::-1].tolist() == visit.area.tolist():
            return 2 * area + 1
    raise AssertionError("no area of its turn")


def _counted(ways: list[Ways], visits: list[Visit], reach: Reach) -> float:
    """Runs between areas and new starts of a plan; a stitch alone is turned where it must be."""
    needles: dict[int, Hole] = {}
    cost = 0.0
    for visit in visits:
        of = ways[visit.turn]
        at = _visit_of(of, visit)
        needle = None if visit.fresh else needles.get(visit.colour)
        more = step(needle, of.doors, at, reach)
        if more == float("inf"):
            at += 1
            more = step(needle, of.doors, at, reach)
        cost += more
        needles[visit.colour] = exit_of(of.doors, at)
    return cost


def _walked(work: Order, visits: list[Visit], reach: Reach) -> float:
    """Runs into areas and new starts of a walk."""
    first = np.cumsum([0, *(len(visit.area) for visit in visits[:-1])])
    return float(work.runs()[first].sum()) + reach.start * int((work.previous[first] < 0).sum())


@given(panels, policies, reaches, parks)
@settings(max_examples=80, deadline=None)
def test_the_walk_takes_what_the_plan_counts(panel: Panel, policy: str, reach: Reach, park: bool) -> None:
    """Where no stitch is turned inside an area, and none begun anew there."""
    ways = _ways(panel, policy, reach.longest)
    visits = list(planned(ways, reach, park))
    work = order(panel, policy, "right", reach.longest, park, reach.start)  # type: ignore[arg-type]
    assert np.concatenate([visit.area for visit in visits]).tolist() == work.stitch.tolist()
    wanted = np.concatenate([visit.turned for visit in visits])
    first = np.cumsum([0, *(len(visit.area) for visit in visits[:-1])])
    long = np.repeat([len(visit.area) > 1 for visit in visits], [len(visit.area) for visit in visits])
    inside = np.ones(len(wanted), dtype=bool)
    inside[first] = False
    assume(not (inside & ((work.turned != wanted) | (work.previous < 0))).any())
    assume(not (long & (work.turned != wanted)).any())
    assert abs(_walked(work, visits, reach) - _counted(ways, visits, reach)) < 1e-6


@given(panels, policies, reaches, parks)
@settings(max_examples=40, deadline=None)
def test_each_area_of_each_turn_once(panel: Panel, policy: str, reach: Reach, park: bool) -> None:
    ways = _ways(panel, policy, reach.longest)
    visits = list(planned(ways, reach, park))
    assert [visit.turn for visit in visits] == sorted(visit.turn for visit in visits)
    for at, of in enumerate(ways):
        mine = [visit for visit in visits if visit.turn == at]
        assert {visit.colour for visit in mine} == {of.colour}
        assert sorted(_visit_of(of, visit) // 2 for visit in mine) == list(range(len(of.areas[0])))
        assert not any(visit.fresh for visit in mine[1:]), "a needle once begun goes on within its turn"


@given(panels, policies, reaches)
@settings(max_examples=40, deadline=None)
def test_no_needle_is_brought_to_another_turn_without_parking(
    panel: Panel, policy: str, reach: Reach
) -> None:
    work = order(panel, policy, "right", reach.longest, False, reach.start)  # type: ignore[arg-type]
    on = work.previous >= 0
    assert (work.turn[work.previous[on]] == work.turn[on]).all()
    first = np.flatnonzero(np.diff(work.turn, prepend=-1))
    assert (work.previous[first] == -1).all()


@given(panels, policies, reaches)
@settings(max_examples=40, deadline=None)
def test_the_first_turn_is_begun_at_the_hands_own_side(panel: Panel, policy: str, reach: Reach) -> None:
    """The right hand begins with the area farthest left, the left hand with that farthest right."""
    for hand, side in (("right", min), ("left", max)):
        work = order(panel, policy, hand, reach.longest, True, reach.start)  # type: ignore[arg-type]
        mine = panel.stitches.take(work.stitch[work.turn == 0])
        if (mine.x1 == mine.x2).all():
            assert mine.x1[0] == side(mine.x1)
        assert work.turn[0] == 0


@given(panels, policies, reaches)
@settings(max_examples=40, deadline=None)
def test_parking_saves_new_starts(panel: Panel, policy: str, reach: Reach) -> None:
    """In all, no more starts and runs are counted with parking than without it."""
    ways = _ways(panel, policy, reach.longest)
    with_, without = (_counted(ways, list(planned(ways, reach, park)), reach) for park in (True, False))
    assert with_ <= without + 1e-6 or any(len(of.areas[0]) > 7 for of in ways) or reach.start < reach.longest
