"""The flat picture for the shop: right colours at the right places, on nothing, told in words."""

from __future__ import annotations

from io import BytesIO
from xml.etree import ElementTree

import numpy as np
import pytest
from PIL import Image

from kitbuild.base.scene import Scene
from kitbuild.documents.finished import GAP_MM, LIGHTS, finished
from kitbuild.output.scene_png import LONGER_SIDE, render_png
from kitbuild.output.scene_svg import render_svg
from tests.documents.demo import CODES
from tests.documents.jobs import job_of


@pytest.mark.parametrize("code", CODES)
def test_the_stitches_of_the_first_piece_are_seen_in_their_colours(code: str) -> None:
    job = job_of(code)
    scene = finished(job)
    image = Image.open(BytesIO(render_png(scene)))
    pixels = np.asarray(image)
    assert max(image.size) == LONGER_SIDE
    assert image.mode == "RGBA"
    panel = job.amounts.pieces[0].panel
    pitch, work = panel.piece.canvas.pitch_mm, panel.stitches
    scale = LONGER_SIDE / max(scene.width_mm, scene.height_mm)
    aside = pitch * 0.4  # beyond the streaks of light, on the thread's own colour
    upright = work.x1 == work.x2
    side = np.where(upright, 1, 0), np.where(upright, 0, -1)
    x = (work.x1 + work.x2 - 1) / 2 * pitch + GAP_MM + side[0] * aside
    y = (work.y1 + work.y2 - 1) / 2 * pitch + GAP_MM + side[1] * aside
    seen = pixels[(y * scale).astype(int), (x * scale).astype(int)]
    palette = np.array([each.thread.rgb for each in job.amounts.kit.palette])
    near = np.abs(seen[:, :3].astype(int) - palette[work.colour]).max(axis=1) <= 40
    assert near.mean() > 0.99
    assert (seen[:, 3] > 200).mean() > 0.99


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
