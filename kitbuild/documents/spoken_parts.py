"""What a written-out chart is divided into: upright and sideways stitches, or four quarters of a mat."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import groupby

import numpy as np

from kitbuild.documents.spoken import Entry, Lane, Run, Way, entries, stitches_of
from kitbuild.pattern.panel import Ints, Panel, Stitches
from kitbuild.spec.records import Hand


@dataclass(frozen=True, slots=True)
class Section:
    """One part of the piece in the order of its way; `like` is an earlier part that is the same.

    Such a part is the same lane by lane, and has no entries of its own. `stitches` counts all of them.
    """

    way: Way
    entries: tuple[Entry, ...]
    stitches: int
    like: Way | None = None


def sections(panel: Panel, hand: Hand) -> tuple[Section, ...]:
    """All stitches of the piece, each in one section; columns come from the side at which the hand begins."""
    found: list[Section] = []
    told: dict[tuple[Lane, ...], Way] = {}
    for way, work in _divided(panel, hand):
        lanes = _lanes(way, work)
        stitches = sum(stitches_of(lane) for lane in lanes)
        like = told.setdefault(tuple(lanes), way)
        listed = () if like is not way else entries(way, lanes, _in_full(panel, way))
        found.append(Section(way, listed, stitches, None if like is way else like))
    return tuple(found)


def _in_full(panel: Panel, way: Way) -> int:
    """Lanes up to the end of the first repeat: they are told without looking back."""
    repeat = panel.repeat
    if way.part != "upright" or repeat.count < 2:
        return 0
    return repeat.columns + (repeat.right if way.lanes_back else repeat.left)


def _divided(panel: Panel, hand: Hand) -> Iterator[tuple[Way, Stitches]]:
    """Each part that has stitches with its way and its stitches."""
    work, left = panel.stitches, hand == "left"
    columns, rows = panel.cover.columns, panel.cover.rows
    is_across = work.x1 != work.x2
    upright = Way("upright", False, left, False, columns, rows)
    sideways = Way("sideways", True, False, left, rows, columns)
    if not _is_mitred(panel):
        parts = ((upright, ~is_across), (sideways, is_across))
    else:
        middle = (columns + 1) / 2
        upper, beside = work.y2 <= middle, work.x2 <= middle
        quarters = {
            "upper": (replace(upright, part="upper"), ~is_across & upper),
            "right": (replace(sideways, part="right", holes_back=True), is_across & ~beside),
            "lower": (replace(upright, part="lower", holes_back=True), ~is_across & ~upper),
            "left": (replace(sideways, part="left", holes_back=False), is_across & beside),
        }
        order = ("upper", "left", "lower", "right") if left else ("upper", "right", "lower", "left")
        parts = tuple(quarters[name] for name in order)
    yield from ((way, work.take(which)) for way, which in parts if which.any())


def _is_mitred(panel: Panel) -> bool:
    """Whether upright and sideways stitches lie on their own sides of the diagonals of a square."""
    work, size = panel.stitches, panel.cover.columns
    across = work.x1 != work.x2
    if size != panel.cover.rows or not across.any() or across.all():
        return False
    down, over = work.take(~across), work.take(across).transposed()
    return all(_is_outside(each, size) for each in (down, over))


def _is_outside(upright: Stitches, size: int) -> bool:
    depth = np.minimum(upright.x1, size + 1 - upright.x1)
    return bool(((upright.y2 <= depth) | (upright.y1 >= size + 1 - depth)).all())


def _lanes(way: Way, work: Stitches) -> list[Lane]:
    """Every lane of a part in the order of its way, its holes counted from where it is begun."""
    if way.across:
        work = work.transposed()
    lane = way.lanes - work.x1 if way.lanes_back else work.x1 - 1
    first, last = (way.holes + 1 - work.y2, way.holes + 1 - work.y1) if way.holes_back else (work.y1, work.y2)
    found = {at: _lane(same) for at, same in _by_lane(lane, first, last, work.colour)}
    return [found.get(at, (1, ())) for at in range(way.lanes)]


def _by_lane(lane: Ints, first: Ints, last: Ints, colour: Ints) -> Iterator[tuple[int, list[list[int]]]]:
    """Each lane with (first hole, last hole, colour) of its stitches in order."""
    order = np.lexsort((first, lane))
    rows = np.column_stack((lane, first, last, colour))[order].tolist()
    for at, same in groupby(rows, lambda row: row[0]):
        yield at, [row[1:] for row in same]


def _lane(stitches: list[list[int]]) -> Lane:
    """A lane of (first hole, last hole, colour) from its first stitch on."""
    runs, hole = [], stitches[0][0]
    for first, last, colour in stitches:
        if first > hole:
            runs.append(Run(None, first - hole))
        runs.append(Run(colour, last - first))
        hole = last
    return stitches[0][0], tuple(runs)
