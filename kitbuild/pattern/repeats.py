"""Repeats found from the stitches alone: the smallest across and down, how often, and the ends."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from kitbuild.pattern.line import repeat_columns
from kitbuild.pattern.panel import Cover, Repeat, Stitches
from kitbuild.spec.piece import Pattern

Hashes = NDArray[np.uint64]


def repeat_of(pattern: Pattern, work: Stitches, cover: Cover) -> Repeat:
    """The repeat of a whole piece; work with sideways stitches or in a shape is worked whole, once.

    The ends are the pattern's own where its line's repeat is the smallest, else all stand at the right.
    """
    whole = cover.upright.all() and not cover.sideways.any() and len(work) > 0
    if not whole:
        return Repeat(cover.columns, 1, 0, 0, cover.rows - 1)
    stated = repeat_columns(pattern.line) if pattern.line else cover.columns
    wide = across(work, cover.columns, stated)
    bars = down(work, cover.columns, cover.rows, 2 if pattern.edges == "lengthen" else 1)
    left = pattern.left if wide == stated and pattern.left + wide <= cover.columns else 0
    right = pattern.right if left + wide + pattern.right <= cover.columns else 0
    count = (cover.columns - left - right) // wide
    return Repeat(wide, count, left, cover.columns - left - count * wide, bars)


def across(work: Stitches, columns: int, stated: int) -> int:
    """Columns of the smallest repeat that the piece shows twice, or of the `stated` one, or all of them.

    Stitches are upright. A column is known by all its stitches with their colours.
    """
    stitch = _mixed(work.y1, work.y2, work.colour)
    column: Hashes = np.zeros(columns, dtype=np.uint64)
    np.add.at(column, work.x1 - 1, stitch)
    found = period(column)
    if 2 * found <= columns:
        return found
    returns = stated < columns and bool((column[stated:] == column[:-stated]).all())
    return stated if returns else columns


def down(work: Stitches, columns: int, rows: int, cut: int = 1) -> int:
    """Bars after which the picture returns downwards, as far as edges have not cut it; all of them if never.

    The field inside leaves out the first and last `cut` stitches of each column. A repeat is believed when
    the part that returns is at least as deep as the field's longest stitch. A hole row is known by the
    colours that cross its links, and by the stitches that begin there.
    """
    work = work.take(np.lexsort((work.y1, work.x1)))
    top, bottom = _uncut(work, columns, cut)
    within = (work.y1 >= top) & (work.y1 < bottom)
    longest = int((work.y2 - work.y1)[within].max(initial=0))
    inside = _hole_rows(work, rows)[top:bottom] if bottom > top else np.zeros(0, dtype=np.uint64)
    found = period(inside)
    return found if longest and len(inside) - found >= longest else rows - 1


def _uncut(work: Stitches, columns: int, cut: int) -> tuple[int, int]:
    """Hole rows between which no column has one of its first or last `cut` stitches; (0, 0) without any."""
    starts = np.searchsorted(work.x1, np.arange(1, columns + 2))
    if (np.diff(starts) < 2 * cut + 1).any():
        return 0, 0
    return int(work.y1[starts[:-1] + cut].max()), int(work.y1[starts[1:] - cut].min())


def _hole_rows(work: Stitches, rows: int) -> Hashes:
    """The mark of each hole row y, at entry y: what crosses the links below it, and what begins in it."""
    row: Hashes = np.zeros(rows + 1, dtype=np.uint64)
    bar = _mixed(work.x1, work.colour, np.zeros_like(work.x1))
    np.add.at(row, work.y1, bar)
    np.subtract.at(row, work.y2, bar)
    row = np.cumsum(row, dtype=np.uint64)
    np.add.at(row, work.y1, _mixed(work.x1, work.y2 - work.y1, work.colour + 1))
    return row


def period(marks: Hashes) -> int:
    """The smallest shift by which a sequence lies on itself, by its prefix function; linear."""
    values = marks.tolist()
    border, length = [0] * max(len(values), 1), 0
    for at in range(1, len(values)):
        while length and values[at] != values[length]:
            length = border[length - 1]
        length += values[at] == values[length]
        border[at] = length
    return len(values) - border[-1] if values else 0


def _mixed(*parts: NDArray[np.int64]) -> Hashes:
    """One 64-bit mark for each entry of several arrays (splitmix64's finish, step by step)."""
    mark: Hashes = np.zeros(len(parts[0]), dtype=np.uint64)
    for part in parts:
        mark = mark + part.astype(np.uint64) + np.uint64(0x9E3779B97F4A7C15)
        mark = (mark ^ (mark >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
        mark = (mark ^ (mark >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
        mark = mark ^ (mark >> np.uint64(31))
    return mark
