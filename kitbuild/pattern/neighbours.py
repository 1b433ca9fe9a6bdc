"""Which colours of a panel touch: stitches that share a hole, or lie side by side over a link."""

from __future__ import annotations

import numpy as np

from kitbuild.pattern.panel import Cover, Ints, Panel, Stitches


def neighbours(panel: Panel) -> frozenset[tuple[int, int]]:
    """Pairs of palette indices, the smaller first, of different colours that touch somewhere."""
    work, cover = panel.stitches, panel.cover
    upright = work.x1 == work.x2
    fields = (
        _field(work.take(upright), cover.columns, cover.rows),
        _field(work.take(~upright).transposed(), cover.rows, cover.columns),
    )
    pairs = [pair for field in fields for pair in (*_beside(field, 0), *_beside(field, 1))]
    pairs += _corners(fields[0], fields[1].T, cover)
    return frozenset((min(pair), max(pair)) for pair in pairs)


def _field(work: Stitches, columns: int, rows: int) -> Ints:
    """The colour on each upright link, shape (rows - 1, columns); -1 where none is."""
    field = np.full((max(rows - 1, 0), columns), -1, dtype=np.int64)
    length = work.y2 - work.y1
    start = np.repeat((work.y1 - 1) * columns + work.x1 - 1, length)
    along = np.arange(len(start)) - np.repeat(np.cumsum(length) - length, length)
    field.ravel()[start + along * columns] = np.repeat(work.colour, length)
    return field


def _beside(field: Ints, axis: int) -> list[tuple[int, int]]:
    """Different colours next to each other along an axis."""
    one, other = (field[:-1], field[1:]) if axis == 0 else (field[:, :-1], field[:, 1:])
    return _different(one, other)


def _corners(upright: Ints, sideways: Ints, cover: Cover) -> list[tuple[int, int]]:
    """Different colours of an upright and a sideways stitch that end in one hole or lie at it."""
    pairs: list[tuple[int, int]] = []
    for down in (0, 1):
        for right in (0, 1):
            rows, columns = slice(down, cover.rows - 1 + down), slice(right, cover.columns - 1 + right)
            pairs += _different(upright[:, columns], sideways[rows, :])
    return pairs


def _different(one: Ints, other: Ints) -> list[tuple[int, int]]:
    touching = (one != other) & (one >= 0) & (other >= 0)
    if not touching.any():
        return []
    pairs = np.unique(np.column_stack([one[touching], other[touching]]), axis=0)
    return [(int(a), int(b)) for a, b in pairs]
