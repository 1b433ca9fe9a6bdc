"""Four-way: four quarters that meet on the diagonals, the left and right ones stitched sideways."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from kitbuild.pattern.area import Area, area_of
from kitbuild.pattern.columns import clipped
from kitbuild.pattern.flame import outwards, repeated
from kitbuild.pattern.line import depths, line_of
from kitbuild.pattern.panel import Bools, Cover, Stitches, joined
from kitbuild.pattern.wrong import Wrong
from kitbuild.spec.piece import Pattern


def stitches(pattern: Pattern, area: Area) -> Stitches:
    """Every stitch of an n x n piece, n odd; rows count from the line in each quarter.

    The line of the top quarter has its middle on the middle of the quarter's depth, and its right half
    mirrors its left; the other quarters are the top one turned. An over-1 end is merged into its neighbour,
    so that over 1 stays at the corners alone. The line of all four quarters is laid first (top, right,
    bottom, left), then row by row from it to the centre, and then from it to the edge.
    """
    size = area.columns
    half = depths(line_of(pattern), (size + 1) // 2, pattern.left)
    depth = np.append(half, half[: size // 2][::-1])
    top = depth + ((size + 1) // 2 + 1 - int(depth.max()) - pattern.over) // 2
    plain = repeated(top, pattern.over, len(pattern.colours), (size + 1) // 2)
    quarter = clipped(plain, _top_quarter(size), lengthen=True)
    quarter = replace(quarter, course=4 * outwards(quarter.row))
    return joined(*(_turned(quarter, size, turns) for turns in range(4)))


def _top_quarter(size: int) -> Area:
    x = np.arange(1, size + 1)
    diagonal = np.minimum(x, size + 1 - x)
    outline = tuple((1, int(last)) if last > 1 else (0, 0) for last in diagonal)
    return area_of(size, (size + 1) // 2, outline)


def _turned(work: Stitches, size: int, turns: int) -> Stitches:
    """Work turned so many quarters clockwise, the upper or left end of each stitch first."""
    x1, y1, x2, y2 = work.x1, work.y1, work.x2, work.y2
    for _ in range(turns):
        x1, y1, x2, y2 = size + 1 - y1, x1, size + 1 - y2, x2
    ends = (np.minimum(x1, x2), np.minimum(y1, y2), np.maximum(x1, x2), np.maximum(y1, y2))
    return Stitches(*ends, work.colour, work.row, work.course + turns)


def cover(area: Area, stitches: Stitches) -> Cover:
    """The links of the mitre (derived), those inside the area."""
    upright = upright_links(area.columns)
    name = "four-way" if area.whole else ""
    return Cover(name, upright & area.upright(), upright.T & area.sideways())


def upright_links(size: int) -> Bools:
    """Whether (x, y)-(x, y + 1) is crossed: y + 1 <= d(x) or y >= n + 1 - d(x), d(k) = min(k, n + 1 - k)."""
    x, y = np.arange(1, size + 1), np.arange(1, size)[:, None]
    diagonal = np.minimum(x, size + 1 - x)
    return (y + 1 <= diagonal) | (y >= size + 1 - diagonal)


def faults(pattern: Pattern, area: Area) -> Iterator[Wrong]:
    """Four quarters meet in a centre hole: the piece is a square of an odd number of holes."""
    if area.columns != area.rows or area.columns % 2 == 0 or area.columns < 3:
        size = max(area.columns, area.rows, 3)
        message = f"four-way work of {area.columns} x {area.rows} holes has no centre hole to meet in"
        cure = f"let columns and rows be one odd number, say {size if size % 2 else size - 1}"
        yield Wrong("KB407", ("columns",), message, cure)
