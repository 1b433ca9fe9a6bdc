"""How many boxes of a kit the canvas in stock still cuts, if nothing else is made of it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from kitbuild.production.cutting import Blank
from kitbuild.production.run_cuts import Cutter, Demand, job_of, sources
from kitbuild.production.stock import Lot
from kitbuild.spec.materials import Canvas


def boxes_cut(canvas: Canvas, blanks: Iterable[Blank], lots: Iterable[Lot], cut: Cutter) -> int:
    """The most boxes whose blanks of this canvas `cut` lays on its sheets, rolls and offcuts among `lots`."""
    mine = [blank for blank in blanks if blank.piece.canvas.key == canvas.key]
    found = sources(canvas, lots)
    area = sum(blank.columns * blank.rows for blank in mine)
    room = sum((each.supply.limit or 0) * each.supply.columns * each.supply.rows for each in found)

    def fits(boxes: int) -> bool:
        return not cut(job_of(canvas, _demand(mine, boxes), found)).short

    low, high = 0, room // area if area else 0
    while low < high:
        middle = (low + high + 1) // 2
        if fits(middle):
            low = middle
        else:
            high = middle - 1
    return low


def _demand(blanks: Iterable[Blank], boxes: int) -> Demand:
    """Blanks of so many boxes, copies of one piece together."""
    many = Counter(blank.piece.key for blank in blanks)
    first = {blank.piece.key: blank for blank in reversed(list(blanks))}
    return tuple((first[key], count * boxes) for key, count in many.items())
