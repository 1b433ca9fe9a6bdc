"""The order of areas as a table: turn by turn, which row, in which colour, from which hole."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kitbuild.base.blocks import Table
from kitbuild.documents.job import Job
from kitbuild.documents.words import patch
from kitbuild.quantity.amounts import PieceAmounts
from kitbuild.quantity.needle import Work


@dataclass(frozen=True, slots=True)
class Turn:
    """Stitches of one course worked without another between: `needlefuls` are those first cut for it."""

    row: int
    colour: int
    stitches: int
    x: int
    y: int
    needlefuls: int


def turns(work: Work) -> tuple[Turn, ...]:
    """The work of one copy, course by course, in order."""
    order = work.order
    stitch = order.panel.stitches.take(order.stitch)
    up_x, up_y, _, _ = order.holes()
    fresh = np.zeros(len(order.stitch), dtype=bool)
    fresh[np.unique(work.needleful, return_index=True)[1]] = True
    begins = np.flatnonzero(np.diff(stitch.course, prepend=-1) != 0)
    ends = np.append(begins[1:], len(order.stitch))
    return tuple(
        Turn(
            int(stitch.row[a]),
            int(stitch.colour[a]),
            int(b - a),
            int(up_x[a]),
            int(up_y[a]),
            int(fresh[a:b].sum()),
        )
        for a, b in zip(begins, ends, strict=True)
    )


def order_table(job: Job, each: PieceAmounts) -> Table:
    """The right-handed order of work of one copy as a table."""
    say = job.say
    header = tuple(
        say(f"order.{name}") for name in ("turn", "row", "colour", "start", "stitches", "needlefuls")
    )
    rows = tuple(
        (
            str(at),
            say(f"order.{each.panel.counted}", row=turn.row),
            patch(job, job.kit.palette[turn.colour].key),
            say("order.hole", x=turn.x, y=turn.y),
            str(turn.stitches),
            str(turn.needlefuls),
        )
        for at, turn in enumerate(turns(each.thread.works["right"]), 1)
    )
    caption = say("order.caption", piece=each.panel.piece.title)
    return Table(header, rows, (0.08, 0.26, 0.24, 0.18, 0.11, 0.13), "rlllrr", caption)
