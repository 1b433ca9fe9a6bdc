"""Edges and seams hole by hole."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kitbuild.pattern.expand import panels
from kitbuild.quantity.amounts import measure
from kitbuild.quantity.finishing import (
    FinishStitch,
    edge_mm,
    edge_stitch_count,
    finishing,
    runs,
    seam_mm,
)
from kitbuild.spec.records import Canvas, Finish, Piece
from tests.figures import figure
from tests.pattern.builders import CUSHION, FLAT, SLEEVE, canvas, kit, piece, thread

sides = st.integers(3, 90)
LOW, HIGH = map(int, figure("FIN02"))


def finished(what: Piece) -> tuple[FinishStitch, ...]:
    return finishing(kit(what), what)


@given(sides, sides, st.integers(LOW, HIGH))
@settings(max_examples=60, deadline=None)
def test_an_overcast_edge_goes_all_round(columns: int, rows: int, corner: int) -> None:
    """One stitch a hole, 2 to 3 in a corner (published): 2(w + h) - 4 + 4(c - 1) in all (derived)."""
    what = piece(columns=columns, rows=rows, finish=replace(FLAT, corner=corner))
    holes: Counter[tuple[int, int]] = Counter()
    for each in finished(what):
        assert each.kind == "edge"
        at = {
            "top": (each.hole, 1),
            "bottom": (each.hole, rows),
            "left": (1, each.hole),
            "right": (columns, each.hole),
        }[each.edge]
        assert at not in holes, "a corner stands once"
        holes[at] = each.stitches
    corners = {(1, 1), (columns, 1), (1, rows), (columns, rows)}
    border = {(x, y) for x in range(1, columns + 1) for y in (1, rows)}
    border |= {(x, y) for x in (1, columns) for y in range(1, rows + 1)}
    assert set(holes) == border
    assert all(count == (corner if at in corners else figure("FIN01")[0]) for at, count in holes.items())
    assert holes.total() == 2 * (columns + rows) - 4 + 4 * (corner - 1)
    assert holes.total() == edge_stitch_count(columns, rows, corner)


@given(sides, sides, st.integers(1, 6), st.integers(0, 1))
@settings(max_examples=60, deadline=None)
def test_a_sleeve_has_two_edges_and_a_seam(columns: int, rows: int, overlap: int, kept: int) -> None:
    """Edges take 2(W + k), no corners; the seam has one stitch in each hole row (derived)."""
    what = piece(columns=columns, rows=rows, finish=replace(SLEEVE, overlap=overlap, kept_rows=kept))
    found = finished(what)
    seam = [each.hole for each in found if each.kind == "seam"]
    edge = [(each.edge, each.hole) for each in found if each.kind == "edge"]
    assert seam == list(range(1 - kept, rows + kept + 1))
    around = range(1, columns + overlap + 1)
    assert sorted(edge) == sorted((side, hole) for side in ("top", "bottom") for hole in around)
    assert sum(each.stitches for each in found if each.kind == "edge") == 2 * (columns + overlap)
    assert all(each.stitches == 1 and each.mm > 0 for each in found)


def test_a_cushion_has_no_finishing_of_thread() -> None:
    assert finished(piece(finish=CUSHION)) == ()


@pytest.mark.parametrize("cloth", [canvas(), canvas(pitch_mm=2.54, bar_mm=0.7, thickness_mm=0.7)])
def test_an_edge_stitch_over_a_kept_row_is_longer(cloth: Canvas) -> None:
    """About 1.6 times (derived); bar, thickness and bend move it, so it is held to 12 %."""
    what = piece(canvas=cloth)
    ratio = edge_mm(what, thread(), bars=2) / edge_mm(what, thread())
    assert ratio == pytest.approx(figure("KEPT")[0], rel=0.12)


def test_a_seam_stitch_spans_the_overlap_and_one_bar() -> None:
    """Front over k + 1, back to the next hole row, through two layers twice (derived)."""
    what, wool = piece(finish=replace(SLEEVE, overlap=2)), thread(bend_mm=0.8)
    flat = 3 * 3.81 + (3**2 + 1) ** 0.5 * 3.81
    assert seam_mm(what, wool) == pytest.approx(flat + 4 * 1.5 + 0.8, abs=0.006)


def test_each_edge_of_a_sleeve_is_begun_anew() -> None:
    """The needle cannot go on from the top edge to the bottom edge; round a flat piece it can."""
    sleeve = finished(piece(columns=20, rows=30, finish=SLEEVE))
    assert [len(run) for run in runs(sleeve, "red")] == [30, 22, 22]
    flat = finished(piece(columns=20, rows=30, finish=replace(FLAT, corner=3)))
    assert [len(run) for run in runs(flat, "red")] == [edge_stitch_count(20, 30, 3)]


@given(sides, sides, st.integers(1, 4), st.sampled_from((FLAT, SLEEVE, replace(SLEEVE, kept_rows=1))))
@settings(max_examples=25, deadline=None)
def test_thread_of_finishing_adds_up(columns: int, rows: int, copies: int, finish: Finish) -> None:
    what = piece(columns=columns, rows=rows, copies=copies, finish=finish)
    one = kit(what)
    amounts = measure(one, panels(one))
    use = next(use for use in amounts.uses if use.colour.key == "red")
    total = sum(round(each.mm * 100) for each in amounts.pieces[0].thread.finish)
    assert round(use.finish_mm * 100) == copies * total
    lengths = runs(amounts.pieces[0].thread.finish, "red")
    assert sum(map(sum, lengths)) == total
    assert amounts.pieces[0].finish_stitches == sum(map(len, lengths))
    assert use.finish_needlefuls % copies == 0
    usable = 760.0 - 3 * 50.8
    assert use.finish_needlefuls * usable >= use.finish_mm - 1e-6
