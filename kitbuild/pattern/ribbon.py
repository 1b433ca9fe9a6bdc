"""The ribbon: a line and the same line some columns to the right below it, again and again."""

from __future__ import annotations

from kitbuild.pattern.area import Area
from kitbuild.pattern.gaps import filled
from kitbuild.pattern.line import depths, heights, line_of
from kitbuild.pattern.panel import Stitches
from kitbuild.spec.piece import Pattern


def stitches(pattern: Pattern, area: Area) -> Stitches:
    """Every stitch of ribbons and of the ground between them, each filled in rings from its two lines.

    The second line stands `shift` columns to the right of the first, `apart` bars below it where they come
    nearest; the ground is as wide where it is narrowest. The first line's middle lies on the middle of the
    hole rows (the upper of two).
    """
    line, over, apart = line_of(pattern), pattern.over, pattern.apart
    first = depths(line, area.columns, pattern.left)
    wide = heights(line, area.columns, pattern.left + pattern.shift)
    wide = wide - heights(line, area.columns, pattern.left)
    ribbon = wide - wide.min() + apart
    top = first + (area.rows + 1 - int(first.max()) - over) // 2
    tall = 2 * over + int(ribbon.max()) + apart
    return filled((top, top + over + ribbon), tall, over, len(pattern.colours), area)
