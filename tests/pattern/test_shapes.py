"""Shaped pieces and the two rules for edges."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kitbuild.pattern.expand import pattern_problems
from kitbuild.pattern.proof import faults, is_straight
from kitbuild.spec.outlines import circle, heart
from kitbuild.spec.piece import Piece
from tests.pattern.builders import SLEEVE, UPRIGHT, line, panel_of, pattern, piece, pieces, squares
from tests.pattern.counting import columns_of, crossed

SHAPES = {"circle": circle, "heart": heart}
any_piece = st.one_of(pieces(most=60, families=UPRIGHT), squares(most=41))


def _shaped(what: Piece, shape: str) -> Piece:
    return replace(what, outline=SHAPES[shape](what.columns, what.rows))


@pytest.mark.parametrize("shape", SHAPES)
@given(st.integers(2, 300), st.integers(2, 300))
@settings(max_examples=60, deadline=None)
def test_outlines_are_even_and_leave_a_bar_in_each_column(shape: str, columns: int, rows: int) -> None:
    outline = SHAPES[shape](columns, rows)
    assert len(outline) == columns
    assert outline == outline[::-1]
    assert all(1 <= first < last <= rows for first, last in outline)
    if shape == "circle":
        assert all(first + last == rows + 1 for first, last in outline)
        assert min(first for first, _ in outline) == 1 or columns % 2 == 0
    assert not list(pattern_problems(piece(columns=columns, rows=rows, outline=outline)))


def test_a_circle_measures_as_one() -> None:
    """Its bars and holes have the circle's area within the steps of its edge (geometry)."""
    holes = sum(last - first + 1 for first, last in circle(101, 101))
    assert holes == pytest.approx(3.14159 * 101**2 / 4, rel=0.01)


@given(any_piece, st.sampled_from(sorted(SHAPES)), st.sampled_from(("shorten", "lengthen")))
@settings(max_examples=80, deadline=None)
def test_shapes_are_covered_and_nothing_outside(what: Piece, shape: str, edges: str) -> None:
    what = _shaped(replace(what, pattern=replace(what.pattern, edges=edges)), shape)
    panel = panel_of(what)
    upright, across = crossed(panel.stitches)
    ends = what.outline
    inside = {(x, y): 1 for x, (a, b) in enumerate(ends, 1) for y in range(a, b)}
    beside = {
        (x, y): 1
        for x, ((a, b), (c, d)) in enumerate(pairwise(ends), 1)
        for y in range(max(a, c), min(b, d) + 1)
    }
    if what.pattern.family == "four-way":
        whole_up, whole_across = crossed(panel_of(replace(what, outline=())).stitches)
        inside = {link: 1 for link in inside if link in whole_up}
        assert across == {link: 1 for link in beside if link in whole_across}
    else:
        assert not across
    assert upright == inside
    assert not faults(panel.stitches, panel.cover)
    assert is_straight(panel.stitches, panel.cover)


@given(any_piece, st.sampled_from(sorted(SHAPES)))
@settings(max_examples=30, deadline=None)
def test_covers_come_back_from_their_chains(what: Piece, shape: str) -> None:
    cover = panel_of(_shaped(what, shape)).cover
    upright, sideways = (links.copy() for links in (cover.upright, cover.sideways))
    last = (0, 0)
    for x1, y1, x2, y2 in zip(*(each.tolist() for each in cover.chains()), strict=True):
        links = upright[y1 - 1 : y2 - 1, x1 - 1] if x1 == x2 else sideways[y1 - 1, x1 - 1 : x2 - 1]
        assert len(links) == (y2 - y1) + (x2 - x1)
        assert links.all()
        links[:] = False
        assert (x1, y1) != last, "a chain is the longest"
        last = (x2, y2) if x1 == x2 else (0, 0)
    assert not upright.any()
    assert not sideways.any()
    assert cover.name in ("case-cover.csv", "columns", "four-way")


@given(pieces(most=60, families=UPRIGHT))
@settings(max_examples=100, deadline=None)
def test_lengthened_edges_leave_no_single_bar(what: Piece) -> None:
    longer = replace(what, pattern=replace(what.pattern, edges="lengthen"))
    both = [columns_of(panel_of(each).stitches, what.columns) for each in (what, longer)]
    for short, column in zip(*both, strict=True):
        lengths = [last - first for first, last, _ in column]
        assert all(length > 1 for length in lengths) or len(column) == 1
        assert max(lengths) <= 8
        assert [(a, b) for a, b, _ in short[2:-2]] == [
            each for each in _ends(column) if each in _ends(short[2:-2])
        ]
        if short[0][1] - short[0][0] > 1 and short[-1][1] - short[-1][0] > 1:
            assert column == short


def _ends(column) -> list[tuple[int, int]]:
    return [(first, last) for first, last, _ in column]


def test_beyond_over_8_an_edge_is_split_anew() -> None:
    """Over 8 and one bar left: 9 bars are 5 and 4, of the neighbour's row."""
    flat = line(list=["4"])
    for rows in range(12, 40):
        what = piece(columns=4, rows=rows, pattern=pattern("flame", 8, flat))
        short = columns_of(panel_of(what).stitches, 4)[0]
        longer = replace(what, pattern=replace(what.pattern, edges="lengthen"))
        column = columns_of(panel_of(longer).stitches, 4)[0]
        if short[0][1] - short[0][0] == 1 and len(short) > 3:
            row = short[1][2]
            assert column[:2] == [(1, 6, row), (6, 10, row)]


def test_outlines_that_do_not_fit_are_told() -> None:
    for outline, count in [
        (((1, 27),) * 23, 1),
        (((0, 0),) * 24, 1),
        (((0, 27), *((1, 27),) * 22, (2, 28)), 2),
        (((5, 5), *((1, 27),) * 23), 1),
    ]:
        found = list(pattern_problems(piece(outline=outline)))
        assert [problem.code for problem in found] == ["KB410"] * count
    hollow = piece(outline=((0, 0), *((1, 27),) * 22, (0, 0)))
    assert not list(pattern_problems(hollow))
    assert set(panel_of(hollow).stitches.x1.tolist()) == set(range(2, 24))


def test_lines_that_do_not_return_and_lengths_that_do_not_interlock() -> None:
    drifting = line(groups_of=2, step=2, down=4, up=3, turns="twice")
    for family, codes in [("diamond", ["KB406"]), ("medallion", ["KB406"]), ("flame", []), ("ribbon", [])]:
        what = piece(pattern=pattern(family, 4, drifting))
        assert [problem.code for problem in pattern_problems(what)] == codes
        round_it = replace(what, finish=SLEEVE)
        assert [problem.code for problem in pattern_problems(round_it)] == ["KB406"]
    for lengths, told in [
        (((6, 2), (2, 6)), 0),
        (((6, 2), (2, 5)), 1),
        ((), 1),
        (((6, 0), (2, 8)), 1),
        (((2,) * 9,), 1),
        (((4,), (6, 2), (2, 6)), 0),
    ]:
        what = piece(pattern=pattern("hungarian point", lengths=lengths))
        assert [problem.code for problem in pattern_problems(what)] == ["KB408"] * told
