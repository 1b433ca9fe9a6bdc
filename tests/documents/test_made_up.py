"""The picture of a kit as it is used: each stitch has its colour where geometry puts it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from io import BytesIO
from math import cos, pi, radians, sin
from xml.etree import ElementTree

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from PIL import Image

from kitbuild.build import judged, speaking
from kitbuild.documents.faces import GAP_MM, Faces
from kitbuild.documents.job import Job
from kitbuild.documents.made_box import box, walls_of
from kitbuild.documents.made_look import look
from kitbuild.documents.made_shapes import SHAPES
from kitbuild.documents.made_up import made_up, put_up
from kitbuild.output.scene_png import LONGER_SIDE, render_png
from kitbuild.output.scene_svg import render_svg
from kitbuild.pattern.panel import Panel
from kitbuild.spec.piece import Edge, FinishKind, Join, Piece, RoundObject
from kitbuild.spec.records import Kit
from tests.documents.demo import CODES, branches
from tests.documents.jobs import job_of
from tests.documents.pictured import HUES, beside_the_streaks, coloured_kit, off_by, pixels, seen_at
from tests.pattern.builders import AT, CUSHION, FLAT, SLEEVE, panel_of, piece, pieces, squares

Floats = NDArray[np.float64]
SMALL = st.one_of(pieces(36, ("flame", "scallop", "ribbon", "diamond", "hungarian point")), squares(25))
TIN = RoundObject("tin", "metal", 60.0, 90.0, 1.0, 3.0, AT)
RGB = np.array(HUES, dtype=np.int64)
ROUND, ABOVE = radians(35), radians(25)
TO_RIGHT = np.array([cos(ROUND), sin(ROUND) * sin(ABOVE)])
TO_BACK = np.array([sin(ROUND), -cos(ROUND) * sin(ABOVE)])
ASIDE = -0.075
"""Between the streaks of light and shade, near a stitch's middle line."""


def worst(panel: Panel, faces: Faces, project: Callable[[Floats], Floats], which: NDArray[np.bool_]) -> int:
    """How far the worst of some stitches is from its colour where it is seen, in any light."""
    moved = faces.at(GAP_MM, GAP_MM)
    width, height = (side + 2 * GAP_MM for side in faces.size_mm)
    by = GAP_MM - faces.quads.min(axis=(0, 1))
    places = project(beside_the_streaks(panel, ASIDE))[which] + by
    seen = seen_at(pixels(moved, width, height), places, width, height)
    assert (seen[:, 3] == 255).all()
    return int(off_by(seen, RGB[panel.stitches.colour[which]]).max(initial=0))


def shown(what: Piece, kind: FinishKind, project: Callable[[Floats], Floats]) -> int:
    """The worst stitch of a piece of which all is seen."""
    finish = CUSHION if kind in ("cushion", "framed") else FLAT
    panel = panel_of(replace(what, finish=replace(finish, kind=kind)))
    faces = SHAPES[kind](look(coloured_kit(panel.piece), panel))
    return worst(panel, faces, project, np.ones(len(panel.stitches), dtype=np.bool_))


@given(SMALL, st.booleans(), st.integers(0, 2))
@settings(max_examples=25, deadline=None)
def test_a_sleeve_shows_the_stitches_of_its_front(what: Piece, on_tin: bool, kept: int) -> None:
    """A column at an angle stands radius times sine beside the middle; the front comes down a fifth of it."""
    finish = replace(SLEEVE, kept_rows=kept)
    panel = panel_of(replace(what, finish=finish, goes_round=TIN if on_tin else None))
    pitch = panel.piece.canvas.pitch_mm
    radius = (panel.piece.columns + finish.overlap) * pitch / (2 * pi)

    def angle(places: Floats) -> Floats:
        return (places[:, 0] - panel.piece.columns * pitch / 2) / radius

    def project(places: Floats) -> Floats:
        turn = angle(places)
        return np.stack([radius * np.sin(turn), places[:, 1] + 0.2 * radius * np.cos(turn)], axis=1)

    front = np.abs(angle(beside_the_streaks(panel, 0.0))) < radians(70)
    faces = SHAPES["sleeve"](look(coloured_kit(panel.piece), panel))
    assert worst(panel, faces, project, front) <= 8


@st.composite
def fronts(draw: st.DrawFn) -> Piece:
    """A cushion's front: of its stitches none is long beside the whole, so that a straight one is true."""
    what = draw(pieces(20))
    work = replace(what.pattern, over=min(what.pattern.over, 4))
    return replace(what, pattern=work, columns=what.columns + 28, rows=what.rows + 28)


@given(fronts())
@settings(max_examples=15, deadline=None)
def test_a_cushion_shows_all_its_stitches(what: Piece) -> None:
    halves = np.array([what.columns, what.rows]) * what.canvas.pitch_mm / 2

    def project(places: Floats) -> Floats:
        at = places / halves - 1
        return at * (1 - 0.07 * (1 - at[:, ::-1] ** 2)) * halves

    assert shown(what, "cushion", project) <= 8


@given(SMALL, st.sampled_from(("framed", "ornament")))
@settings(max_examples=20, deadline=None)
def test_a_frame_and_a_loop_hide_nothing(what: Piece, kind: FinishKind) -> None:
    assert shown(what, kind, lambda places: places) <= 3


@given(SMALL, st.integers(1, 6))
@settings(max_examples=20, deadline=None)
def test_the_uppermost_of_a_pile_is_seen_whole(what: Piece, copies: int) -> None:
    """In perspective from 5 times the longer side, 55 degrees above the table."""
    wide, high = (count * what.canvas.pitch_mm for count in (what.columns, what.rows))
    away, above = 5 * max(wide, high), radians(55)

    def project(places: Floats) -> Floats:
        across, near = places[:, 0] - wide / 2, places[:, 1] - high / 2
        larger = away / (away - near * cos(above))
        return np.stack([across * larger, near * sin(above) * larger], axis=1)

    assert shown(replace(what, copies=copies), "flat", project) <= 3


def boxed(front: Piece, side: Piece, *joins: tuple[tuple[str, Edge], tuple[str, Edge]]) -> Kit:
    """A kit whose walls are joined upright, and otherwise as `joins` say."""
    upright = ((front.key, "right"), (side.key, "left")), ((side.key, "right"), (front.key, "left"))
    made = tuple(Join(one, other, 1, "red", AT) for one, other in (*upright, *joins))  # type: ignore[arg-type]
    return coloured_kit(front, side, joins=made)


@given(pieces(30), st.integers(3, 30), st.integers(3, 30))
@settings(max_examples=15, deadline=None)
def test_a_box_shows_two_walls_from_their_corner(what: Piece, other: int, rows: int) -> None:
    finish = replace(FLAT, kind="box", edges=("top",))
    front = replace(what, key="front", rows=rows, finish=finish)
    side = replace(what, key="side", columns=other, rows=rows, finish=finish)
    kit = boxed(front, side)
    walls = walls_of(kit)
    assert walls
    assert (walls.front.key, walls.side.key, walls.lid) == ("front", "side", None)
    looks = {each.key: look(kit, panel_of(each)) for each in (front, side)}
    faces, down = box(looks, walls), np.array([0.0, cos(ABOVE)])
    for each, way, corner in ((front, TO_RIGHT, front.columns), (side, TO_BACK, 0)):
        panel = looks[each.key].panel
        begins = corner * each.canvas.pitch_mm

        def project(places: Floats, way: Floats = way, begins: float = begins) -> Floats:
            return (places[:, :1] - begins) * way + places[:, 1:] * down

        assert worst(panel, faces, project, np.ones(len(panel.stitches), dtype=np.bool_)) <= 8


@pytest.mark.parametrize("edge", ["top", "right", "bottom", "left"])
def test_a_lid_lies_with_its_joined_edge_to_the_front(edge: Edge) -> None:
    """The stitch nearest to the middle of that edge is seen nearest to the middle of the front's rim."""
    finish = replace(FLAT, kind="box", edges=())
    wall = piece(key="front", columns=20, rows=12, finish=finish)
    lid = piece(key="lid", columns=20, rows=20, finish=finish)
    kit = boxed(wall, replace(wall, key="side"), (("lid", edge), ("front", "top")))
    kit = replace(kit, pieces=(*kit.pieces, lid))
    walls = walls_of(kit)
    assert walls
    assert (walls.lid, walls.lid_edge) == (lid, edge)
    looks = {each.key: look(kit, panel_of(each)) for each in kit.pieces}
    side = 20 * lid.canvas.pitch_mm
    to_edge = {"top": (0, -1), "right": (1, 0), "bottom": (0, 1), "left": (-1, 0)}
    down = np.array(to_edge[edge])

    def project(places: Floats) -> Floats:
        at = places / side - 0.5
        nearer, along = at @ down, at @ np.array([down[1], -down[0]])
        return side * ((along - 0.5)[:, None] * TO_RIGHT + (0.5 - nearer)[:, None] * TO_BACK)

    panel = looks["lid"].panel
    assert worst(panel, box(looks, walls), project, np.ones(len(panel.stitches), dtype=np.bool_)) <= 8


def test_pieces_that_make_no_walls_lie_flat() -> None:
    finish = replace(FLAT, kind="box", edges=())
    one, other = (piece(key=key, columns=9, rows=9, finish=finish) for key in ("one", "other"))
    kit = coloured_kit(one, other, joins=(Join(("one", "top"), ("other", "bottom"), 1, "red", AT),))
    assert walls_of(kit) is None
    faces, width, height = put_up(kit, [panel_of(one), panel_of(other)])
    assert _within(faces, width, height)


@given(st.lists(st.tuples(SMALL, st.sampled_from(sorted(SHAPES)), st.integers(1, 4)), min_size=1, max_size=4))
@settings(max_examples=25, deadline=None)
def test_any_kit_is_within_its_picture(made: list[tuple[Piece, FinishKind, int]]) -> None:
    each = [
        replace(
            what, key=f"p{at}", copies=copies, finish=replace(SLEEVE if kind == "sleeve" else FLAT, kind=kind)
        )
        for at, (what, kind, copies) in enumerate(made)
    ]
    faces, width, height = put_up(coloured_kit(*each), [panel_of(what) for what in each])
    assert _within(faces, width, height)


def _within(faces: Faces, width: float, height: float) -> bool:
    low, high = faces.quads.min(axis=(0, 1)), faces.quads.max(axis=(0, 1))
    return bool((low >= GAP_MM - 1e-6).all() and (high <= np.array([width, height]) - GAP_MM + 1e-6).all())


def branch_job(code: str) -> Job:
    kit, warnings = branches()[code]
    return judged(kit, warnings, speaking(kit))


@pytest.mark.parametrize("code", [*CODES, *branches()])
def test_every_kit_has_a_picture_on_nothing_told_in_words(code: str) -> None:
    job = job_of(code) if code in CODES else branch_job(code)
    scene = made_up(job)
    faces = Faces(scene.quads, scene.rgb)
    assert _within(faces, scene.width_mm, scene.height_mm)
    data = render_png(scene)
    image = Image.open(BytesIO(data))
    assert max(image.size) == LONGER_SIDE
    assert [image.getpixel(at) for at in ((0, 0), (image.width - 1, image.height - 1))] == [(0, 0, 0, 0)] * 2
    assert image.info["Description"] == scene.alt
    assert image.width / image.info["dpi"][0] * 25.4 == pytest.approx(scene.width_mm, rel=2e-3)
    root = ElementTree.fromstring(render_svg(scene))
    assert (root.get("width"), root.get("height")) == (f"{scene.width_mm:.2f}mm", f"{scene.height_mm:.2f}mm")
    assert [each.text for each in root[:2]] == [scene.alt, scene.alt]
    walls = walls_of(job.kit)
    for each in job.kit.pieces:
        assert (walls and each.key in walls.keys) or job.own(each.title) in scene.alt
    assert render_png(made_up(job)) == data


def test_a_colour_that_a_thread_lacks_is_seen() -> None:
    """The measure of these tests: a stitch of another colour is far off in every light."""
    assert off_by(np.array([[*HUES[0], 255]]), RGB[1:2]).min() > 40
    assert off_by(np.array([[100, 20, 20, 255]]), RGB[:1]).max() <= 1
