"""Charted work: stitches stay where they are drawn, rows are derived, faults are named by holes."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kitbuild.base.problem import InputProblems
from kitbuild.pattern.expand import panels, pattern_problems
from kitbuild.pattern.proof import faults
from kitbuild.spec.piece import Chart, Piece
from tests.pattern.builders import UPRIGHT, charted, kit, panel_of, pattern, piece, pieces, squares
from tests.pattern.counting import bars_of, beside_one_laid, columns_of

Bar = tuple[int, int, int, int, int]


def _chart(bars: list[Bar], columns: int = 4, rows: int = 9) -> Piece:
    chart = Chart(*(tuple(each) for each in zip(*bars, strict=True)))
    return piece(columns=columns, rows=rows, pattern=pattern("charted", of=None, chart=chart))


def _told(what: Piece) -> list[str]:
    found = list(pattern_problems(what))
    assert {problem.code for problem in found} <= {"KB409"}
    return [problem.message for problem in found]


@given(st.one_of(pieces(most=50, families=UPRIGHT), squares(most=41)), st.randoms(use_true_random=False))
@settings(max_examples=60, deadline=None)
def test_charts_of_any_work_are_that_work(what: Piece, chance) -> None:
    panel = panel_of(what)
    order = list(range(len(panel.stitches)))
    chance.shuffle(order)
    drawn = charted(panel, order)
    assert not _told(drawn)
    again = panel_of(drawn)
    assert bars_of(again) == bars_of(panel)
    assert not faults(again.stitches, again.cover)
    mixed = what.pattern.family == "four-way"
    assert again.cover.name == (f"{what.key}-cover.csv" if mixed else "columns")
    assert (again.cover.upright == panel.cover.upright).all()
    assert (again.cover.sideways == panel.cover.sideways).all()
    if not mixed:
        for column in columns_of(again.stitches, what.columns):
            rows = [row for _, _, row in column]
            assert rows == list(range(rows[0], rows[0] + len(rows)))


def test_rows_of_a_charted_flame_are_those_of_the_flame() -> None:
    panel = panel_of(piece(columns=46, rows=61))
    again = panel_of(charted(panel))
    both = [columns_of(each.stitches, 46) for each in (panel, again)]
    apart = {one[2] - other[2] for a, b in zip(*both, strict=True) for one, other in zip(a, b, strict=True)}
    assert len(apart) == 1
    assert beside_one_laid(again) == []


def test_row_0_goes_through_the_middle() -> None:
    work = panel_of(charted(panel_of(piece(columns=23, rows=41)))).stitches
    (middle,) = [row for x, first, last, row in _stretches(work) if x == 12 and first <= 21 < last]
    assert middle == 0


def _stretches(work) -> list[tuple[int, int, int, int]]:
    fields = (work.x1, work.y1, work.y2, work.row)
    return list(zip(*(field.tolist() for field in fields), strict=True))


FULL: list[Bar] = [(x, y, x, y + 4, 0) for x in (1, 2, 3, 4) for y in (1, 5)]


def test_faults_name_the_column_and_the_holes() -> None:
    assert _told(_chart(FULL)) == []
    assert _told(_chart(FULL[:-1])) == ["column 4, holes 5 to 9 are left bare"]
    assert _told(_chart([*FULL, (2, 3, 2, 6, 1)])) == [
        "the stitch in column 2, holes 5 to 9, overlaps a stitch drawn there",
        "the stitch in column 2, holes 3 to 6, overlaps a stitch drawn there",
    ]
    assert _told(_chart([*FULL[:-1], (4, 5, 4, 10, 0)])) == [
        "the stitch in column 4, holes 5 to 10, is outside the stitched area"
    ]
    assert _told(_chart([*FULL, (1, 1, 2, 3, 0)])) == [
        "a stitch from hole (1, 1) to (2, 3) is crooked or empty"
    ]
    assert _told(_chart([*FULL[:-1], (4, 5, 4, 9, 7)])) == [
        "the stitch in column 4, holes 5 to 9, has no colour of the pattern"
    ]
    assert _told(_chart([*FULL[:-2], (4, 3, 4, 5, 0), (4, 6, 4, 9, 0)])) == [
        "column 4, holes 1 to 3 are left bare",
        "column 4, holes 5 to 6 are left bare",
    ]


def test_mixed_charts_need_no_upright_bar_beside_a_sideways_stitch() -> None:
    side: list[Bar] = [(1, y, 4, y, 0) for y in range(1, 5)]
    rest: list[Bar] = [(x, 4, x, 9, 1) for x in (1, 2, 3, 4)]
    assert _told(_chart([*side, *rest])) == []
    assert _told(_chart([*side[:1], *side[2:], *rest])) == []
    lost = [(1, 2, 2, 2, 0), *side[:1], *side[2:], *rest]
    assert _told(_chart(lost)) == []
    holed = [(1, 2, 2, 2, 0), (3, 2, 4, 2, 0), *side[:1], *side[2:], *rest]
    assert _told(_chart(holed)) == ["hole row 2, holes 2 to 3 are left bare"]
    assert _told(_chart([*side, (2, 1, 3, 1, 1), *rest])) == [
        "the stitch in hole row 1, holes 2 to 3, overlaps a stitch drawn there"
    ]


def test_empty_charts_and_kits_with_faults() -> None:
    empty = piece(pattern=pattern("charted", of=None, chart=Chart((), (), (), (), ())))
    assert _told(empty) == ["the chart has no stitches"]
    with pytest.raises(InputProblems, match="KB409"):
        panels(kit(empty))
    assert panels(kit(_chart(FULL)))[0].counted == "rows"


def test_charts_keep_within_the_outline() -> None:
    shaped = replace(_chart(FULL), outline=((1, 9), (1, 9), (1, 9), (1, 5)))
    assert _told(shaped) == ["the stitch in column 4, holes 5 to 9, is outside the stitched area"]
    assert _told(replace(_chart(FULL[:-1]), outline=shaped.outline)) == []
    assert panel_of(replace(_chart(FULL[:-1]), outline=shaped.outline)).cover.name == "case-cover.csv"
