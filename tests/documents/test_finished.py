"""The flat picture for the shop: right colours at the right places, on nothing, told in words."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO
from itertools import pairwise
from xml.etree import ElementTree

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from kitbuild.base.scene import Scene
from kitbuild.documents.faces import GAP_MM, LIGHTS, shelves
from kitbuild.documents.finished import finished, laid_flat
from kitbuild.output.scene_png import LONGER_SIDE, render_png
from kitbuild.output.scene_svg import render_svg
from kitbuild.pattern.panel import Panel
from kitbuild.spec.piece import Piece
from tests.documents import pictured
from tests.documents.demo import CODES
from tests.documents.jobs import job_of
from tests.documents.pictured import HUES, beside_the_streaks, coloured_kit, seen_at
from tests.pattern.builders import UPRIGHT, panel_of, pieces, squares


@pytest.mark.parametrize("code", CODES)
def test_the_stitches_of_the_first_piece_are_seen_in_their_colours(code: str) -> None:
    job = job_of(code)
    scene = finished(job)
    image = Image.open(BytesIO(render_png(scene)))
    pixels = np.asarray(image)
    assert max(image.size) == LONGER_SIDE
    assert image.mode == "RGBA"
    pieces = job.amounts.pieces
    copies = [each.panel for each in pieces for _ in range(each.panel.piece.copies)]
    places, width, height = shelves([_worked_mm(each) for each in copies])
    assert (width, height) == (scene.width_mm, scene.height_mm)
    at = beside_the_streaks(pieces[0].panel, 0.4) + places[0]
    seen, work = seen_at(pixels, at, width, height), pieces[0].panel.stitches
    palette = np.array([each.thread.rgb for each in job.amounts.kit.palette])
    assert np.abs(seen[:, :3] - palette[work.colour]).max() <= 1
    assert (seen[:, 3] == 255).all()


def _worked_mm(panel: Panel) -> tuple[float, float]:
    pitch = panel.piece.canvas.pitch_mm
    return panel.cover.columns * pitch, panel.cover.rows * pitch


SMALL = st.one_of(pieces(40, UPRIGHT), squares(31))


@given(st.lists(st.tuples(SMALL, st.integers(1, 3)), min_size=1, max_size=3))
@settings(max_examples=30, deadline=None)
def test_every_stitch_of_every_copy_is_seen_in_its_colour(made: list[tuple[Piece, int]]) -> None:
    """The middle of each stitch, beside its streaks, to the very number; and all around is nothing."""
    each = [replace(what, key=f"p{at}", copies=copies) for at, (what, copies) in enumerate(made)]
    panels = [panel_of(what) for what in each]
    faces, width, height = laid_flat(coloured_kit(*each), panels)
    picture = pictured.pixels(faces, width, height)
    copies = [panel for panel in panels for _ in range(panel.piece.copies)]
    for panel, place in zip(copies, shelves([_worked_mm(panel) for panel in copies])[0], strict=True):
        seen = seen_at(picture, beside_the_streaks(panel, 0.4) + place, width, height)
        assert np.abs(seen[:, :3] - np.array(HUES)[panel.stitches.colour]).max() <= 1
        assert (seen[:, 3] == 255).all()
    assert not picture[[0, -1]].any()
    assert not picture[:, [0, -1]].any()


@given(st.lists(st.tuples(st.floats(5, 300), st.floats(5, 300)), min_size=1, max_size=12))
def test_shelves_keep_apart_and_stand_in_the_middle(sizes: list[tuple[float, float]]) -> None:
    places, width, height = shelves(sizes)
    rows: dict[float, list[tuple[float, float]]] = {}
    for (x, y), (wide, high) in zip(places, sizes, strict=True):
        assert y + high <= height - GAP_MM + 1e-6
        rows.setdefault(y, []).append((x, x + wide))
    for spans in rows.values():
        assert spans[0][0] == pytest.approx(width - spans[-1][1])
        assert spans[0][0] >= GAP_MM - 1e-6
        assert all(after[0] - before[1] == pytest.approx(GAP_MM) for before, after in pairwise(spans))
    tops = sorted(rows)
    for top, below in pairwise(tops):
        tallest = max(high for (_, y), (_, high) in zip(places, sizes, strict=True) if y == top)
        assert below == pytest.approx(top + tallest + GAP_MM)


@pytest.mark.parametrize("code", CODES)
def test_all_copies_are_shown_within_the_picture(code: str) -> None:
    job, scene = job_of(code), finished(job_of(code))
    pieces = [each.panel for each in job.amounts.pieces]
    assert len(scene.quads) == len(LIGHTS) * sum(len(each.stitches) * each.piece.copies for each in pieces)
    assert scene.quads.min() >= 0
    assert (scene.quads.max(axis=(0, 1)) <= (scene.width_mm, scene.height_mm)).all()


@pytest.mark.parametrize("code", CODES)
def test_the_ground_is_transparent_and_the_picture_has_words(code: str) -> None:
    scene = finished(job_of(code))
    image = Image.open(BytesIO(render_png(scene)))
    assert [image.getpixel(at) for at in ((0, 0), (image.width - 1, image.height - 1))] == [(0, 0, 0, 0)] * 2
    assert image.info["Description"] == scene.alt
    root = ElementTree.fromstring(render_svg(scene))
    assert [each.text for each in root[:2]] == [scene.alt, scene.alt]
    for each in job_of(code).amounts.pieces:
        assert job_of(code).own(each.panel.piece.title) in scene.alt


def test_the_same_kit_gives_the_same_bytes() -> None:
    one, other = finished(job_of("FERN")), finished(job_of("FERN"))
    assert render_png(one) == render_png(other)
    assert render_svg(one) == render_svg(other)


def test_words_with_signs_of_markup_stay_words() -> None:
    words = '<script> & "so"'
    scene = Scene(words, "en", 10.0, 5.0, np.zeros((1, 4, 2)), np.zeros((1, 3), np.uint8))
    assert ElementTree.fromstring(render_svg(scene))[0].text == words
    assert Image.open(BytesIO(render_png(scene))).info["Description"] == words
