"""Design measures of a panel: shares of colour, long and short stitches, symmetry, turns."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kitbuild.pattern.panel import Ints, Panel, Stitches


@dataclass(frozen=True, slots=True)
class Measures:
    """`shares` is each palette colour's part of all links, in the palette's order, in sum 1.

    `longest` is in bars; `over_one` counts stitches. `mirror_across` says whether left and right mirror
    exactly, stitches and colours, `mirror_down` the same of top and bottom. `turns` is how often the line
    changes between climbing and falling: within one repeat, or over the width where nothing is stated.
    """

    shares: tuple[float, ...]
    longest: int
    over_one: int
    mirror_across: bool
    mirror_down: bool
    turns: int


def measured(panel: Panel, colours: int) -> Measures:
    """The measures of one copy; `colours` is the palette's size."""
    work = panel.stitches
    length = work.length()
    area = np.bincount(work.colour, weights=length, minlength=colours)
    return Measures(
        shares=tuple((area / max(area.sum(), 1)).tolist()),
        longest=int(length.max(initial=0)),
        over_one=int(np.count_nonzero(length == 1)),
        mirror_across=_mirrors(work, panel.cover.columns, panel.cover.rows),
        mirror_down=_mirrors(work.transposed(), panel.cover.rows, panel.cover.columns),
        turns=_turns(panel),
    )


def _mirrors(work: Stitches, columns: int, rows: int) -> bool:
    """Whether the work is its own mirror image, left for right."""
    turned = (columns + 1 - work.x2, work.y1, columns + 1 - work.x1, work.y2)
    there = _keys((work.x1, work.y1, work.x2, work.y2), work.colour, columns, rows)
    return bool((there == _keys(turned, work.colour, columns, rows)).all())


def _keys(ends: tuple[Ints, Ints, Ints, Ints], colour: Ints, columns: int, rows: int) -> Ints:
    """One sorted number a stitch, by its first hole, its way and length, and its colour."""
    x1, y1, x2, y2 = ends
    hole = (y1 - 1) * columns + x1
    way = (x2 - x1) + (columns + 1) * (y2 - y1)
    return np.sort((hole * ((columns + 1) * (rows + 1)) + way) * (int(colour.max(initial=0)) + 1) + colour)


def _turns(panel: Panel) -> int:
    line = panel.piece.pattern.line
    if line is not None:
        steps, around = np.array([group.drop for group in line.groups]), True
    else:
        first = panel.stitches.take((panel.stitches.row == 0) & (panel.stitches.x1 == panel.stitches.x2))
        steps, around = np.diff(first.y1[np.argsort(first.x1, kind="stable")]), False
    ways = np.sign(steps)[np.flatnonzero(steps)]
    if around and len(ways):
        ways = np.append(ways, ways[0])
    return int(np.count_nonzero(np.diff(ways)))
