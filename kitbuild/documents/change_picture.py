"""A piece as it is now, with every stitch marked that is new, gone, or in another colour."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from kitbuild.base.blocks import Figure, Floats, Ink, LineMarks, StitchMarks
from kitbuild.base.colour import WHITE, mix, parse_rgb
from kitbuild.base.glyphs import SYMBOLS
from kitbuild.documents.wording import Wording
from kitbuild.production.changes import Ends, StitchesChanged
from kitbuild.production.opened import Opened

_BREADTH, _PALE = 0.42, 0.6
_MOST_HOLE_MM = 5.0


def change_picture(
    say: Wording, edition: Opened, changed: StitchesChanged, width_mm: float, height_mm: float
) -> Figure | None:
    """The marked piece inside `width_mm` by `height_mm`; None where the piece is gone."""
    piece = edition.by("pieces.csv", "piece").get((changed.piece,))
    if piece is None:
        return None
    columns, rows = int(piece["columns"]), int(piece["rows"])
    hole = min(width_mm / (columns + 1), height_mm / (rows + 1), _MOST_HOLE_MM)
    marked = [LineMarks(_outlines((*changed.new, *changed.recoloured)) * hole, pen_mm=0.4)]
    marked.append(LineMarks(_outlines(changed.gone) * hole, pen_mm=0.3, dash_mm=(0.8, 0.8)))
    marks = (*_stitches(edition, changed, hole), *(each for each in marked if len(each.ends_mm)))
    alt = say("edition.stitches.alt", piece=piece["title"], columns=columns, rows=rows)
    caption = say("edition.stitches.caption", piece=piece["title"])
    return Figure(alt, (columns + 1) * hole, (rows + 1) * hole, marks, caption)


def _stitches(edition: Opened, changed: StitchesChanged, hole: float) -> Iterator[StitchMarks]:
    """The stitches of a piece as the open data has them; those that are as they were are pale."""
    keys = [row["colour"] for row in edition["palette.csv"]]
    inks = [Ink(parse_rgb(row["rgb"]), SYMBOLS[row["symbol"]]) for row in edition["palette.csv"]]
    pale = [Ink(mix(ink.rgb, WHITE, _PALE), ink.symbol) for ink in inks]
    work = [
        (*(int(row[name]) for name in ("x1", "y1", "x2", "y2")), keys.index(row["colour"]))
        for row in edition["stitches.csv"]
        if row["piece"] == changed.piece
    ]
    marked = {*changed.new, *changed.recoloured}
    for drawn, colours in ((False, pale), (True, inks)):
        chosen = [each for each in work if (each[:4] in marked) == drawn]
        if chosen:
            *ends, colour = np.array(chosen).T
            places = (each.astype(np.float64) for each in ends)
            yield StitchMarks(*places, colour, tuple(colours), (0.0, 0.0), hole, width=0.8, symbols=False)


def _outlines(stitches: Sequence[Ends]) -> Floats:
    """The four sides round each stitch, (n, 4), in holes."""
    if not stitches:
        return np.empty((0, 4))
    ends = np.array(stitches, dtype=np.float64)
    aside = (
        np.where(ends[:, :1] == ends[:, 2:3], _BREADTH, 0.0),
        np.where(ends[:, 1:2] == ends[:, 3:], _BREADTH, 0.0),
    )
    left, right = ends[:, :1] - aside[0], ends[:, 2:3] + aside[0]
    top, bottom = ends[:, 1:2] - aside[1], ends[:, 3:] + aside[1]
    sides = [(left, top, right, top), (right, top, right, bottom), (right, bottom, left, bottom)]
    sides.append((left, bottom, left, top))
    return np.concatenate([np.hstack(side) for side in sides])
