"""The finished work laid out flat, all pieces of a kit at one scale, for the shop."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np

from kitbuild.base.scene import Scene
from kitbuild.documents.faces import Faces, flatly, lit_threads, shelves, threads
from kitbuild.documents.job import Job
from kitbuild.pattern.panel import Panel
from kitbuild.spec.records import Kit


def finished(job: Job) -> Scene:
    """All pieces of a kit with their copies, side by side in shelves, as the stitches lie."""
    faces, width_mm, height_mm = laid_flat(job.kit, [each.panel for each in job.amounts.pieces])
    return Scene(_alt(job), job.say.language, width_mm, height_mm, faces.quads, faces.rgb)


def laid_flat(kit: Kit, panels: Iterable[Panel]) -> tuple[Faces, float, float]:
    """Every copy of every piece on shelves; then width and height of it all in mm."""
    copies = [panel for panel in panels for _ in range(panel.piece.copies)]
    places, width_mm, height_mm = shelves([_size_mm(panel) for panel in copies])
    palette = np.array([colour.thread.rgb for colour in kit.palette], dtype=np.float64)
    drawn = [(*threads(panel), place) for panel, place in zip(copies, places, strict=True)]
    bodies = np.concatenate([quads + np.array(place) for quads, _, place in drawn])
    colours = palette[np.concatenate([colour for _, colour, _ in drawn])]
    return lit_threads(bodies, colours, flatly), width_mm, height_mm


def _alt(job: Job) -> str:
    """What the picture shows, piece by piece."""

    def told() -> Iterator[str]:
        for each in job.amounts.pieces:
            piece, cover = each.panel.piece, each.panel.cover
            title = job.say("fact.piece", piece=job.own(piece.title), copies=piece.copies)
            yield job.say("picture.alt", piece=title, columns=cover.columns, rows=cover.rows)

    return " ".join(told())


def _size_mm(panel: Panel) -> tuple[float, float]:
    """Width and height of the worked canvas: half a pitch stays beyond the outermost holes."""
    pitch = panel.piece.canvas.pitch_mm
    return panel.cover.columns * pitch, panel.cover.rows * pitch
