"""A scene as SVG, in true millimetres, with its words as title and description."""

from __future__ import annotations

from itertools import pairwise
from typing import Final
from xml.sax.saxutils import escape, quoteattr

import numpy as np

from kitbuild.base.scene import Scene

#: One face as a path: its corners in mm.
FACE: Final = "M{:.2f} {:.2f}L{:.2f} {:.2f} {:.2f} {:.2f} {:.2f} {:.2f}Z"


def render_svg(scene: Scene) -> bytes:
    """The bytes of `scene`; faces of one colour that follow each other are one path."""
    width, height = f"{scene.width_mm:.2f}", f"{scene.height_mm:.2f}"
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" '
        f'viewBox="0 0 {width} {height}" role="img" xml:lang={quoteattr(scene.language)} '
        'aria-labelledby="title">\n'
        f'<title id="title">{escape(scene.alt)}</title>\n<desc>{escape(scene.alt)}</desc>\n'
    )
    return (head + "".join(_paths(scene)) + "</svg>\n").encode("utf-8")


def _paths(scene: Scene) -> list[str]:
    changes = np.flatnonzero((scene.rgb[1:] != scene.rgb[:-1]).any(axis=1)) + 1
    ends = [0, *changes.tolist(), len(scene.rgb)]
    rows: list[list[float]] = scene.quads.reshape(-1, 8).tolist()
    texts = [FACE.format(*quad) for quad in rows]
    return [
        f'<path fill="#{bytes(scene.rgb[first]).hex()}" d="{"".join(texts[first:end])}"/>\n'
        for first, end in pairwise(ends)
        if end > first
    ]
