"""The plan of work: the walk costs what the plan counts, needles stay where they are told to."""

from __future__ import annotations

from dataclasses import dataclass, field
from math import dist

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from kitbuild.pattern.panel import Panel
from kitbuild.quantity.areas import free_turns, turns
from kitbuild.quantity.chains import BLOCK, SIDE, Exit, Hole, Reach
from kitbuild.quantity.direction import POLICIES
from kitbuild.quantity.order import order
from kitbuild.quantity.planning import Visit, planned
from kitbuild.quantity.ways import Ways, both_ways
from kitbuild.spec.piece import Piece
from tests.pattern.builders import COLOURS, UPRIGHT, line, panel_of, pattern, piece, pieces
from tests.quantity.drawn import drawings, panel_drawn
from tests.quantity.test_chains import NOWHERE, exit_of, step

policies, parks = st.sampled_from(sorted(POLICIES)), st.booleans()
reaches = st.builds(Reach, st.sampled_from((0.0, 1.5, 4.0, 6.56, 12.0, 1e9)), st.sampled_from((2.0, 28.0)))
panels = st.one_of(drawings(), pieces(most=30, families=UPRIGHT).map(panel_of))


def _ways(panel: Panel, policy: str, reach: Reach, free: bool = True) -> list[Ways]:
    """All turns both ways; of charted work the free ones."""
    occupied = np.zeros((panel.cover.rows + 2, panel.cover.columns + 2), dtype=bool)
    work = panel.stitches
    free = free and panel.piece.pattern.family == "charted"
    found = free_turns(work, occupied, reach.longest) if free else turns(work, occupied)
    return [both_ways(work, turn, POLICIES[policy], occupied, reach) for turn in found]


def _visit_of(ways: Ways, visit: Visit) -> int:
    """2 x area + way of a visit; of stitches alone, of which both ways look alike, way 0."""
    for area, stitches in enumerate(ways.areas[0]):
        if stitches.tolist() == visit.area.tolist():
            return 2 * area
        if stitches[::-1].tolist() == visit.area.tolist():
            return 2 * area + 1
    raise AssertionError("no area of its turn")


def _counted(ways: list[Ways], visits: list[Visit], reach: Reach) -> float:
    """Runs and new starts of a plan; a stitch alone is turned where it must be."""
    needles: dict[int, Exit] = {}
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


Stitch = tuple[int, bool, Hole | None]
"""A stitch in order of work, whether it is turned, and the hole that its run comes from."""


def _holes(panel: Panel, at: int) -> tuple[Hole, Hole]:
    x1, y1, x2, y2 = (int(getattr(panel.stitches, name)[at]) for name in ("x1", "y1", "x2", "y2"))
    return (x1, y1), (x2, y2)


@dataclass
class _Walk:
    """The stitches of each visit as hands lay them; `more` is what last stitches turned add to the runs."""

    laid: list[list[Stitch]] = field(default_factory=list)
    more: float = 0.0
    turned_last: list[int] = field(default_factory=list)

    def every(self) -> list[Stitch]:
        return [stitch for mine in self.laid for stitch in mine]


def _walked(panel: Panel, visits: list[Visit], longest: float, turn_last: bool = True) -> _Walk:
    """Stitches are turned where the run is not possible, or begun anew.

    Before a visit out of reach the needle's last stitch is turned, if that brings it there.
    """
    walk, needles = _Walk(), {}

    def near(hole: Hole, *others: Hole) -> bool:
        return any(0 < dist(hole, other) <= longest for other in others)

    for visit in visits:
        mine: list[Stitch] = []
        came_from = None if visit.fresh else needles.get(visit.colour)
        needle: Hole | None = None
        if came_from is not None:
            last, way, before = walk.laid[came_from][-1]
            up, needle = (_holes(panel, last)[which] for which in (way, not way))
            goals, free = _holes(panel, int(visit.area[0])), before is None or near(before, needle)
            if turn_last and free and near(up, *goals) and not near(needle, *goals):
                walk.more += dist(before, needle) - dist(before, up) if before else 0.0
                walk.laid[came_from][-1] = (last, not way, before)
                walk.turned_last.append(last)
                needle = up
        for at, wanted in zip(visit.area.tolist(), visit.turned.tolist(), strict=True):
            holes = _holes(panel, at)
            able = [way for way in (wanted, not wanted) if needle and near(needle, holes[way])]
            way = able[0] if able else wanted
            mine.append((at, way, needle if able else None))
            needle = holes[not way]
        walk.laid.append(mine)
        needles[visit.colour] = len(walk.laid) - 1
    return walk


def _taken(panel: Panel, walk: _Walk, start: float) -> float:
    """All runs and new starts of a walk."""
    return sum(dist(came, _holes(panel, at)[way]) if came else start for at, way, came in walk.every())


def _begun_as_planned(visits: list[Visit], walk: _Walk) -> bool:
    """Whether the needle's way through the first stitch of each area of several is the policy's.

    And whether no stitch alone is turned after it is laid, which the plan leaves out.
    """
    return all(
        mine[0][0] not in walk.turned_last if len(mine) == 1 else mine[0][1] == visit.turned[0]
        for visit, mine in zip(visits, walk.laid, strict=True)
    )


@given(panels, policies, reaches, parks, st.booleans())
@settings(max_examples=120, deadline=None)
def test_the_walk_takes_what_the_plan_counts(
    panel: Panel, policy: str, reach: Reach, park: bool, free: bool
) -> None:
    """Exactly, where each area of several stitches is begun as its policy says.

    But for what the runs to last stitches turned are longer, or shorter.
    """
    ways = _ways(panel, policy, reach, free)
    visits = list(planned(ways, reach, park))
    walk = _walked(panel, visits, reach.longest)
    assume(_begun_as_planned(visits, walk))
    counted = _counted(ways, visits, reach)
    assert _taken(panel, walk, reach.start) == pytest.approx(counted + walk.more, abs=1e-6)


@given(pieces(most=30, families=UPRIGHT), policies, reaches, parks)
@settings(max_examples=40, deadline=None)
def test_the_order_is_the_plan_walked(what: Piece, policy: str, reach: Reach, park: bool) -> None:
    panel = panel_of(what)
    visits = list(planned(_ways(panel, policy, reach), reach, park))
    walk = _walked(panel, visits, reach.longest).every()
    work = order(panel, policy, "right", reach.longest, park, reach.start)  # type: ignore[arg-type]
    assert work.stitch.tolist() == [at for at, _, _ in walk]
    assert work.turned.tolist() == [way for _, way, _ in walk]
    assert (work.previous < 0).tolist() == [came is None for _, _, came in walk]


@given(panels, policies, reaches, st.booleans())
@settings(max_examples=80, deadline=None)
def test_an_area_takes_and_ends_as_hands_lay_it(panel: Panel, policy: str, reach: Reach, free: bool) -> None:
    """From either end: its runs and the starts inside it, and the hole where the needle goes down last.

    And the hole where it would with the last stitch turned, if the run to it allows that.
    """
    for of in _ways(panel, policy, reach, free):
        for way in (0, 1):
            for at, (area, turned) in enumerate(zip(of.areas[way], of.turned[way], strict=True)):
                if way and len(area) == 1:
                    assert exit_of(of.doors, 2 * at + 1) == (tuple(of.doors.entry[at, 0].tolist()), NOWHERE)
                    continue
                walk = _walked(panel, [Visit(0, of.colour, area, turned, True)], reach.longest)
                last, turned_so, came = walk.laid[0][-1]
                up, down = (_holes(panel, last)[which] for which in (turned_so, not turned_so))
                able = len(area) > 1 and (came is None or 0 < dist(came, down) <= reach.longest)
                assert exit_of(of.doors, 2 * at + way) == (down, up if able else NOWHERE)
                taken = _taken(panel, walk, reach.start) - reach.start
                assert of.doors.inside[at, way] == pytest.approx(taken, abs=1e-6)


@given(drawings(), policies, reaches, parks)
@settings(max_examples=40, deadline=None)
def test_charts_are_divided_the_way_that_takes_less(
    panel: Panel, policy: str, reach: Reach, park: bool
) -> None:
    """Row by row, or colour by colour as far as it lies beside work done."""
    work = order(panel, policy, "right", reach.longest, park, reach.start)  # type: ignore[arg-type]
    taken = float(work.runs().sum()) + reach.start * int((work.previous < 0).sum())
    for free in (True, False):
        visits = list(planned(_ways(panel, policy, reach, free), reach, park))
        assert taken <= _taken(panel, _walked(panel, visits, reach.longest), reach.start) + 1e-6


@given(panels, policies, reaches, parks)
@settings(max_examples=40, deadline=None)
def test_each_area_of_each_turn_once(panel: Panel, policy: str, reach: Reach, park: bool) -> None:
    ways = _ways(panel, policy, reach)
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
def test_parking_never_takes_more(panel: Panel, policy: str, reach: Reach) -> None:
    """In all, no more starts and runs are counted with parking than without it.

    But for what keeping to the hand's side is worth.
    """
    ways = _ways(panel, policy, reach)
    assume(all(len(of.areas[0]) <= BLOCK for of in ways))
    with_, without = (_counted(ways, list(planned(ways, reach, park)), reach) for park in (True, False))
    aside = SIDE * sum(float(np.ptp(of.doors.entry, axis=(0, 1)).sum()) for of in ways)
    assert with_ <= without + aside + 1e-6


def test_a_parked_needle_goes_on_in_its_colours_next_row() -> None:
    """Rows of one colour lie within reach of each other: few starts; without parking at least one a row."""
    panel = panel_of(piece(columns=24, rows=29, pattern=pattern(colours=COLOURS[:1])))
    starts = [
        int((order(panel, "clean holes", "right", 6.56, park).previous < 0).sum()) for park in (True, False)
    ]
    rows = len(set(panel.stitches.course.tolist()))
    assert starts[0] <= 5
    assert starts[1] >= rows


@pytest.mark.parametrize("policy", ["even", "save thread"])
def test_the_last_stitch_of_a_row_is_turned_towards_the_next(policy: str) -> None:
    """Level rows of stitches over 4 in two colours, worked downwards: a colour's rows lie 8 pitches apart.

    The row that ends in hole (10, 15) is followed by one whose stitches go from hole 3 to hole 7, 12 and 8
    off. Its last stitch is turned to end in hole 11, and the next row begins in hole 7, its first stitch
    turned too. From hole 11, in the other colour, it is 8 to a row cut short that begins in hole 1; turned 6.
    """
    of = line(list=["1"], drift="down 0")
    panel = panel_of(piece(columns=10, rows=33, pattern=pattern(of=of, colours=COLOURS[:2])))
    work = order(panel, policy, "right", 6.56, True, 28.0)  # type: ignore[arg-type]
    stitches = list(zip(*(hole.tolist() for hole in work.holes()), strict=True))
    turned = np.flatnonzero(work.turned).tolist()
    after = [np.flatnonzero(work.previous == at).tolist() for at in turned]
    assert [(stitches[at], stitches[to]) for at, (to,) in zip(turned, after, strict=True)] == [
        ((10, 15, 10, 11), (10, 7, 10, 3)),
        ((10, 11, 10, 7), (10, 1, 10, 3)),
        ((10, 7, 10, 3), (9, 3, 9, 7)),
    ]
    assert work.forced == 3
    assert (work.previous < 0).sum() == 4
    reach = Reach(6.56, 28.0)
    visits = list(planned(_ways(panel, policy, reach), reach, True))
    plain = _walked(panel, visits, reach.longest, turn_last=False)
    assert [came for _, _, came in plain.every()].count(None) == 6


def test_a_needle_out_of_reach_is_begun_anew() -> None:
    """Two stitches of one colour in two rows, twelve columns apart: no run, however it is parked."""
    bars = [(x, y, x, y + 4, int((x, y) not in ((1, 1), (13, 5)))) for x in range(1, 14) for y in (1, 5)]
    work = order(panel_drawn(bars, 13, 9), "even", "right", 6.56, True)
    mine = np.flatnonzero(work.panel.stitches.colour[work.stitch] == 0)
    assert work.previous[mine].tolist() == [-1, -1]
    near = order(panel_drawn(bars, 13, 9), "even", "right", 20.0, True)
    assert (near.previous[np.flatnonzero(near.panel.stitches.colour[near.stitch] == 0)] >= 0).sum() == 1


@pytest.mark.parametrize(("drift", "last"), [("down 4", -1), ("up 4", 1)])
def test_what_an_area_takes_inside_is_planned(drift: str, last: int) -> None:
    """An endless slope of stitches over 4, worked downwards, is short from its upper end alone.

    From the lower end each stitch begins 8 bars above where the last one ended, and turned still 4: a new
    start each, where the longest run is 4. The first turn is begun at the hand's side even so, and its parked
    needle is brought to the second.
    """
    of = line(list=["1"], drift=drift)
    panel = panel_of(piece(columns=12, rows=81, pattern=pattern(of=of, colours=COLOURS[:1])))
    work = order(panel, "even", "right", 4.0, True)
    inside = np.append(False, (np.diff(work.turn) == 0) & (np.diff(panel.stitches.x1[work.stitch]) != 0))
    assert max(work.turn[inside & (work.previous < 0)], default=-1) == last
