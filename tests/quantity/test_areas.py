"""Areas and turns: every stitch in one of them, each beside work already done when its turn begins."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from unittest.mock import patch

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kitbuild.pattern.panel import Bools, Ints, Panel, Stitches
from kitbuild.quantity import areas
from kitbuild.quantity.areas import Turn, free_turns, turns
from kitbuild.spec.piece import Piece
from tests.pattern.builders import UPRIGHT, charted, line, panel_of, pattern, piece, pieces, squares
from tests.quantity.drawn import Bar, drawings, one_stitch, panel_drawn

Hole = tuple[int, int]
REACHES = (0.0, 1.5, 6.56, 1e9)


def _bare(panel: Panel) -> Bools:
    return np.zeros((panel.cover.rows + 2, panel.cover.columns + 2), dtype=bool)


def _listed(work: Stitches) -> list[tuple[Hole, Hole]]:
    """Both holes of each stitch."""
    x1, y1, x2, y2 = (each.tolist() for each in (work.x1, work.y1, work.x2, work.y2))
    return list(zip(zip(x1, y1, strict=True), zip(x2, y2, strict=True), strict=True))


def _in_turn(panel: Panel, longest: float | None) -> Iterator[tuple[Turn, Bools]]:
    """Each turn with the holes that were occupied as it began; free turns where a longest run is given."""
    occupied = _bare(panel)
    of = panel.stitches
    for turn in turns(of, occupied) if longest is None else free_turns(of, occupied, longest):
        yield turn, occupied.copy()


def _assert_areas(panel: Panel, found: list[Turn]) -> None:
    """Each stitch in one area; an area of one colour, course and direction in neighbouring columns."""
    work, seen = panel.stitches, []
    across = work.x1 != work.x2
    along = np.where(across, work.y1, work.x1)
    for turn in found:
        assert turn.areas
        assert len({bool(across[area[0]]) for area in turn.areas}) == 1
        ends: dict[int, list[tuple[int, int]]] = {}
        for area in turn.areas:
            seen += area.tolist()
            assert set(work.colour[area].tolist()) == {turn.colour}
            assert len(set(work.course[area].tolist())) == len(set(across[area].tolist())) == 1
            assert all(0 <= step <= 1 for step in np.diff(along[area]).tolist())
            ends.setdefault(int(work.course[area[0]]), []).append((int(along[area[0]]), int(along[area[-1]])))
        for mine in ends.values():
            apart = [after[0] - before[1] > 1 for before, after in pairwise(sorted(mine))]
            assert all(apart), "neighbouring areas of one course and colour are one"
    assert sorted(seen) == list(range(len(work)))


def _beside_earlier(panel: Panel) -> set[int]:
    """Stitches that have an end in a hole of an earlier course."""
    work, laid, found = panel.stitches, set(), set()
    holes = _listed(work)
    for course in np.unique(work.course).tolist():
        mine = np.flatnonzero(work.course == course).tolist()
        found |= {at for at in mine if laid & set(holes[at])}
        laid |= {hole for at in mine for hole in holes[at]}
    return found


@given(st.one_of(pieces(most=50, families=UPRIGHT), squares(most=41)))
@settings(max_examples=60, deadline=None)
def test_turns_lie_beside_work_done_where_their_stitches_can(what: Piece) -> None:
    panel = panel_of(what)
    work, found, beside = panel.stitches, [], _beside_earlier(panel)
    holes, newest, last_row = _listed(work), -1, None
    for turn, occupied in _in_turn(panel, None):
        found.append(turn)
        stitches = np.concatenate(turn.areas).tolist()
        least = min(int(work.course[at]) for at in stitches)
        rows = {int(work.row[at]) for at in stitches}
        assert len(rows) == 1, "one row or ring at a time"
        assert least >= newest or rows == last_row, "no row is gone back to"
        newest, last_row = max(newest, least), rows
        for at in stitches:
            if at in beside:
                assert any(occupied[y, x] for x, y in holes[at]), "its neighbour is laid before the turn"
    _assert_areas(panel, found)


@given(drawings(), st.sampled_from(REACHES))
@settings(max_examples=120, deadline=None)
def test_free_turns_lie_beside_work_done_or_begin_anew(panel: Panel, longest: float) -> None:
    """What lies beside nothing is only laid when it is the first that the pattern has left."""
    work, holes, found = panel.stitches, _listed(panel.stitches), []
    left = set(range(len(work)))
    for turn, occupied in _in_turn(panel, longest):
        found.append(turn)
        assert len(found) <= len(work), "turns come to an end"
        first = min(int(work.course[at]) for at in left)
        for area in turn.areas:
            for at in area.tolist():
                beside = any(occupied[y, x] for x, y in holes[at])
                assert beside or int(work.course[at]) == first
            left -= set(area.tolist())
    assert not left
    _assert_areas(panel, found)


@given(pieces(most=40, families=UPRIGHT), st.sampled_from(REACHES), st.sampled_from((0, areas.FREE)))
@settings(max_examples=60, deadline=None)
def test_charted_rows_are_laid_outwards_from_the_first(what: Piece, longest: float, free: int) -> None:
    """Where upright work covers the piece, all but row 0 lies beside work done, freely laid or row by row.

    In each column the rows come one after the other, from row 0 down and from row 0 up.
    """
    panel = panel_of(charted(panel_of(what)))
    work, holes = panel.stitches, _listed(panel.stitches)
    newest: dict[tuple[int, int], int] = {}
    with patch.object(areas, "FREE", free):
        found = list(_in_turn(panel, longest))
    for turn, occupied in found:
        for at in np.concatenate(turn.areas).tolist():
            x, row = int(work.x1[at]), int(work.row[at])
            assert row == 0 or any(occupied[y, x] for x, y in holes[at])
            assert abs(row) == newest.get((x, np.sign(row)), 0) + (row != 0)
            newest[x, np.sign(row)] = abs(row)
    _assert_areas(panel, [turn for turn, _ in found])


@given(drawings(), st.sampled_from(REACHES))
@settings(max_examples=30, deadline=None)
def test_many_areas_are_laid_row_by_row(panel: Panel, longest: float) -> None:
    with patch.object(areas, "FREE", 0):
        found = [turn for turn, _ in _in_turn(panel, longest)]
    _assert_areas(panel, found)
    courses = [int(panel.stitches.course[turn.areas[0][0]]) for turn in found]
    assert courses == sorted(courses)


@given(drawings(), st.sampled_from(REACHES))
@settings(max_examples=150, deadline=None)
def test_a_free_turn_leaves_nothing_of_its_colour_within_reach(panel: Panel, longest: float) -> None:
    """Of what could be laid, in its colour and direction: no run joins it to what the turn takes."""
    left = [area for turn, _ in _in_turn(panel, longest) for area in turn.areas]
    for turn, occupied in _in_turn(panel, longest):
        taken = {int(area[0]) for area in turn.areas}
        could = [area for area in left if _alike(panel, area, turn) and _can(panel, area, left, occupied)]
        left = [area for area in left if int(area[0]) not in taken]
        for area in could:
            if int(area[0]) not in taken:
                ends = _outer(panel, area)
                assert not any(_near(ends, _outer(panel, own), longest - 1e-6) for own in turn.areas)


def _alike(panel: Panel, area: Ints, turn: Turn) -> bool:
    work, one, other = panel.stitches, area[0], turn.areas[0][0]
    across = work.x1 != work.x2
    return bool(work.colour[one] == work.colour[other] and across[one] == across[other])


def _can(panel: Panel, area: Ints, left: list[Ints], occupied: Bools) -> bool:
    """Whether it lies beside work done, or comes first of what the pattern has left."""
    course = panel.stitches.course
    holes = _listed(panel.stitches.take(area))
    beside = all(any(occupied[y, x] for x, y in pair) for pair in holes)
    return beside or course[area[0]] == min(course[each[0]] for each in left)


def _outer(panel: Panel, area: Ints) -> list[Hole]:
    first, last = _listed(panel.stitches.take(area[[0, -1]]))
    return [*first, *last]


@given(drawings(), st.sampled_from(REACHES))
@settings(max_examples=40, deadline=None)
def test_runs_join_the_areas_of_a_free_turn(panel: Panel, longest: float) -> None:
    """From its first area every area of a turn is reached by runs no longer than the longest."""
    for turn, _ in _in_turn(panel, longest):
        ends = [_outer(panel, area) for area in turn.areas]
        reached, front = {0}, [0]
        while front:
            at = front.pop()
            near = {to for to in range(len(ends)) if _near(ends[at], ends[to], longest)} - reached
            reached |= near
            front += near
        assert len(reached) == len(ends)


def _near(one: list[Hole], other: list[Hole], longest: float) -> bool:
    return any(np.hypot(a[0] - b[0], a[1] - b[1]) <= longest + 1e-9 for a in one for b in other)


@pytest.mark.parametrize("longest", REACHES)
def test_one_stitch_is_one_turn(longest: float) -> None:
    for how in (None, longest):
        ((turn, occupied),) = _in_turn(one_stitch(), how)
        assert [area.tolist() for area in turn.areas] == [[0]]
        assert not occupied.any()


def test_halves_of_a_ring_are_worked_in_one_turn() -> None:
    """The rings of a diamond lie between two lines: both halves of a ring's colour come together."""
    of = line(groups_of=2, step=2, down=6, up=6, turns="once")
    panel = panel_of(piece(columns=44, rows=89, pattern=pattern("diamond", 4, of)))
    ring = [turn for turn, _ in _in_turn(panel, None) if panel.stitches.row[turn.areas[0][0]] == 1]
    assert any(len({int(panel.stitches.course[area[0]]) for area in turn.areas}) == 2 for turn in ring)


CHEQUER: list[Bar] = [(x, y, x, y + 2, (x + y // 2) % 2) for x in range(1, 7) for y in (1, 3, 5)]


def test_a_free_turn_takes_all_of_its_colour_that_can_be_laid() -> None:
    """On a chequered chart the string through the middle is of one colour; then come both rows beside it."""
    panel = panel_drawn(CHEQUER, 6, 7)
    found = [turn for turn, _ in _in_turn(panel, 6.56)]
    rows = [{int(panel.stitches.row[area[0]]) for area in turn.areas} for turn in found]
    assert rows[:2] == [{0}, {-1, 1}]
    assert [turn.colour for turn in found[:2]] == [0, 1]


def test_an_island_comes_when_all_else_is_done() -> None:
    """Work that touches nothing is begun when the pattern has nothing before it left."""
    island: list[Bar] = [(12, 1, 12, 3, 0), (12, 3, 12, 5, 1)]
    rest: list[Bar] = [(x, y, x, y + 2, 0) for x in (1, 2) for y in (3, 5, 7)]
    panel = panel_drawn([*rest, *island], 12, 9)
    found = [panel.stitches.take(np.concatenate(turn.areas)) for turn, _ in _in_turn(panel, 6.56)]
    assert sum(map(len, found)) == 8
    assert [sorted(set(turn.x1.tolist())) for turn in found][-2:] == [[12], [12]]
