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
    finishing,
    joining,
    runs,
    seam_mm,
)
from kitbuild.spec.materials import Canvas
from kitbuild.spec.piece import Edge, Finish, Join, Piece
from kitbuild.spec.records import Kit
from tests.figures import figure
from tests.pattern.builders import AT, CUSHION, FLAT, SLEEVE, canvas, kit, piece, thread

BOX = replace(FLAT, kind="box")
ORNAMENT = replace(FLAT, kind="ornament")
ROUND_ABOUT: tuple[Edge, ...] = ("top", "right", "bottom", "left")
sides = st.integers(3, 90)
LOW, HIGH = map(int, figure("FIN02"))


def edge_stitch_count(columns: int, rows: int, corner: int) -> int:
    """Overcast stitches round a flat piece: 2(w + h) - 4 + 4(c - 1) (derived)."""
    return 2 * (columns + rows) - 4 + 4 * (corner - 1)


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


@given(sides, sides, st.lists(st.sampled_from(ROUND_ABOUT), unique=True))
@settings(max_examples=60, deadline=None)
def test_a_box_is_overcast_at_its_edges_alone(columns: int, rows: int, edges: list[Edge]) -> None:
    """A corner between two overcast edges stands once; one at a joined edge is a hole as any other."""
    found = finished(piece(columns=columns, rows=rows, finish=replace(BOX, edges=tuple(edges))))
    holes: Counter[tuple[int, int]] = Counter()
    for each in found:
        at = {"top": (each.hole, 1), "bottom": (each.hole, rows), "left": (1, each.hole)}
        holes[at.get(each.edge, (columns, each.hole))] += each.stitches
    wanted = Counter(
        {
            (x, y): BOX.corner if len(meeting) > 1 else 1
            for x in range(1, columns + 1)
            for y in range(1, rows + 1)
            if (meeting := _edges_at(x, y, columns, rows) & set(edges))
        }
    )
    assert holes == wanted
    assert len(found) == len(holes)


def _edges_at(x: int, y: int, columns: int, rows: int) -> set[str]:
    on = {"top": y == 1, "right": x == columns, "bottom": y == rows, "left": x == 1}
    return {edge for edge, there in on.items() if there}


@pytest.mark.parametrize(
    ("edges", "begun"),
    [
        ((), []),
        (("left",), [30]),
        (("top", "bottom"), [20, 20]),
        (("left", "right"), [30, 30]),
        (("top", "right", "bottom"), [72]),
        (("top", "bottom", "left"), [72]),
        (ROUND_ABOUT, [104]),
    ],
)
def test_opposite_edges_of_a_box_are_begun_anew(edges: tuple[Edge, ...], begun: list[int]) -> None:
    """The needle goes on round a corner, and not across the canvas."""
    found = finished(piece(columns=20, rows=30, finish=replace(BOX, edges=edges)))
    assert [len(run) for run in runs(found, "red")] == begun


def test_a_framed_piece_has_no_finishing_of_thread() -> None:
    assert finished(piece(finish=replace(CUSHION, kind="framed"))) == ()


def test_an_ornament_is_overcast_through_its_backing() -> None:
    what = piece(columns=20, rows=30, finish=ORNAMENT)
    found, wool = finished(what), kit(what).palette[0].thread
    assert sum(each.stitches for each in found) == edge_stitch_count(20, 30, 3)
    assert all(each.mm == pytest.approx(each.stitches * edge_mm(what, wool, layers=2)) for each in found)


SHAPES = {
    "round": ((3, 5), (2, 6), (1, 7), (1, 7), (2, 6), (3, 5)),
    "a slit from above": ((1, 9), (1, 9), (6, 9), (1, 9), (1, 9)),
    "a slit from below": ((1, 9), (1, 9), (1, 4), (1, 9), (1, 9)),
    "two parts": ((1, 9), (2, 9), (0, 0), (1, 5), (1, 5)),
    "steep sides": ((4, 6), (1, 9), (1, 9), (4, 6)),
}


@pytest.mark.parametrize("name", SHAPES)
def test_a_shape_is_overcast_in_every_hole_at_its_outline(name: str) -> None:
    """Holes beside a notch as well as those at the far left and right."""
    outline = SHAPES[name]
    what = piece(columns=len(outline), rows=9, finish=ORNAMENT, outline=outline)
    found = Counter((each.edge, each.hole, each.stitches) for each in finished(what))
    holes = {(x, y) for x, (top, end) in enumerate(outline, 1) if end for y in range(top, end + 1)}
    wanted: Counter[tuple[str, int, int]] = Counter()
    for x, y in holes:
        ends = [edge for edge, at in (("top", y - 1), ("bottom", y + 1)) if (x, at) not in holes]
        sides = [edge for edge, at in (("left", x - 1), ("right", x + 1)) if (at, y) not in holes]
        wanted.update([(ends[0], x, 1)] if ends else [(edge, y, 1) for edge in sides])
    assert found == wanted


def joined(*joins: tuple[str, Edge, str, Edge, int], **sides: Piece) -> Kit:
    """A kit of box pieces with joins of (one, its edge, other, its edge, times) in red."""
    made = tuple(Join((a, at), (b, by), times, "red", AT) for a, at, b, by, times in joins)
    return replace(kit(*sides.values()), joins=made)


def box(key: str, **more: int) -> Piece:
    return piece(key, columns=20, rows=30, finish=replace(BOX, colour="", edges=()), **more)


def test_a_join_stands_under_its_first_piece_for_the_whole_kit() -> None:
    one = joined(("wall", "bottom", "base", "left", 3), base=box("base"), wall=box("wall", copies=3))
    found = joining(one)
    assert [(each.piece, each.kind, each.edge, each.hole) for each in found] == [
        ("base", "join", "left", hole) for hole in range(1, 31)
    ]
    single = edge_mm(one.pieces[0], one.palette[0].thread, layers=2)
    assert all(each.stitches == 3 and each.mm == pytest.approx(3 * single) for each in found)


def test_each_seam_of_a_join_is_begun_anew() -> None:
    """Four walls are four seams, and the needle does not go through the air from one to the next."""
    walls = joined(("wall", "right", "wall", "left", 4), wall=box("wall", copies=4))
    assert [len(run) for run in runs(joining(walls), "red")] == [30] * 4
    ends = (("base", "top", "lid", "top", 1), ("base", "top", "wall", "top", 1))
    twice = joined(*ends, base=box("base", copies=2), lid=box("lid"), wall=box("wall"))
    assert [len(run) for run in runs(joining(twice), "red")] == [20] * 2


def test_the_edge_of_a_sleeve_goes_through_both_layers_at_the_overlap() -> None:
    """Columns W + 1 to W + k lie on each other: two layers more to go round."""
    what = piece(columns=20, rows=30, finish=replace(SLEEVE, overlap=2))
    top = {each.hole: each.mm for each in finished(what) if each.edge == "top" and each.kind == "edge"}
    wool = kit(what).palette[0].thread
    assert [top[hole] for hole in (1, 20)] == [edge_mm(what, wool)] * 2
    assert [top[hole] for hole in (21, 22)] == [edge_mm(what, wool, layers=2)] * 2
