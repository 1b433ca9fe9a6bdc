"""Diamond and medallion: a line and its mirror image enclose shapes that are filled in rings of colour."""

from __future__ import annotations

from kitbuild.pattern.area import Area
from kitbuild.pattern.gaps import filled
from kitbuild.pattern.line import depths, line_of
from kitbuild.pattern.panel import Stitches
from kitbuild.spec.piece import Pattern


def stitches(pattern: Pattern, area: Area) -> Stitches:
    """Every stitch of mirrored lines; `colour` counts in the pattern's rings, `row` is the ring.

    A line and its mirror image lie `apart` bars apart where they come nearest, so that the shapes of one
    string join; the middle of these bars is on the middle hole row (the upper of two). One string touches
    the next.
    """
    over, apart = pattern.over, pattern.apart
    depth = depths(line_of(pattern), area.columns, pattern.left)
    deepest = int(depth.max())
    rise, end = deepest - depth, (area.rows + 1 - apart) // 2
    tall = 2 * deepest + 2 * over + apart
    return filled((end - over - rise, end + apart + rise), tall, over, len(pattern.colours), area)
