"""Small kits with colours that no light makes alike, and what a picture of them shows at a place."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from kitbuild.base.scene import Scene
from kitbuild.documents.faces import Faces
from kitbuild.output.scene_png import LONGER_SIDE, render_png
from kitbuild.pattern.panel import Panel
from kitbuild.spec.piece import Piece
from kitbuild.spec.records import Kit
from tests.pattern.builders import COLOURS, kit, palette

HUES = ((200, 40, 40), (40, 60, 200), (190, 60, 190), (40, 170, 60), (210, 190, 50), (50, 180, 190))

Floats = NDArray[np.float64]


def coloured_kit(*pieces: Piece, **changes: Any) -> Kit:
    """A kit of these pieces with six clear colours."""
    colours = [
        replace(each, rgb=rgb, thread=replace(each.thread, rgb=rgb))
        for each, rgb in zip(palette(COLOURS), HUES, strict=True)
    ]
    return kit(*pieces, palette=tuple(colours), **changes)


def pixels(faces: Faces, width_mm: float, height_mm: float) -> NDArray[np.uint8]:
    """The picture of some faces, (rows, columns, 4)."""
    scene = Scene("Case", "en", width_mm, height_mm, faces.quads, faces.rgb)
    return np.asarray(Image.open(BytesIO(render_png(scene))))


def seen_at(
    picture: NDArray[np.uint8], places_mm: Floats, width_mm: float, height_mm: float
) -> NDArray[np.int64]:
    """The pixels at places in mm, (n, 4)."""
    at = (places_mm * LONGER_SIDE / max(width_mm, height_mm)).astype(int)
    return picture[at[:, 1], at[:, 0]].astype(np.int64)


def beside_the_streaks(panel: Panel, aside: float) -> Floats:
    """A place on each stitch, `aside` of its breadth from its middle, from the worked canvas's corner."""
    work, pitch = panel.stitches, panel.piece.canvas.pitch_mm
    upright = work.x1 == work.x2
    x = (work.x1 + work.x2 - 1) / 2 + np.where(upright, aside, 0)
    y = (work.y1 + work.y2 - 1) / 2 - np.where(upright, 0, aside)
    return np.stack([x, y], axis=1) * pitch


def off_by(seen: NDArray[np.int64], rgb: NDArray[np.int64]) -> NDArray[np.int64]:
    """How far pixels are from their colours in the light that suits them best, of 0.5 to 1.2; (n,)."""
    lights = np.linspace(0.5, 1.2, 141)[:, None, None]
    tones = np.clip(rgb[None] * lights, 0, 255)
    best: NDArray[np.int64] = np.rint(np.abs(seen[None, :, :3] - tones).max(axis=2).min(axis=0)).astype(
        np.int64
    )
    return best
