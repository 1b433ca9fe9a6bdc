"""Where the first stitch comes up: counted from the corner on canvas cut to size, else from the centre."""

from __future__ import annotations

from kitbuild.documents.job import Job
from kitbuild.quantity.amounts import PieceAmounts
from kitbuild.quantity.order import Order


def start_hole(job: Job, each: PieceAmounts) -> tuple[int, int]:
    """The hole (x, y) of the stitched area in which the order of work comes up first."""
    up_x, up_y, _, _ = job.order(each).holes()
    return int(up_x[0]), int(up_y[0])


def first_way(order: Order) -> str:
    """In which direction the first stitch goes."""
    up_x, up_y, down_x, down_y = (int(each[0]) for each in order.holes())
    if up_x == down_x:
        return "down" if down_y > up_y else "up"
    return "right" if down_x > up_x else "left"


def first_way_text(job: Job, each: PieceAmounts) -> str:
    """Where the first stitch goes from the start hole."""
    order = job.order(each)
    over = int(each.panel.stitches.length()[order.stitch[0]])
    return job.say("start.way", way=first_way(order), over=over)


def start_hole_text(job: Job, each: PieceAmounts) -> str:
    """The start hole in words and numbers, from the blank's corner or from its centre."""
    x, y = start_hole(job, each)
    piece, border = each.panel.piece, each.sizes.border
    centre_x, centre_y = (piece.columns + 1) // 2, (piece.rows + 1) // 2
    return job.say(
        f"start.{piece.canvas.weave}",
        x=x,
        y=y,
        left=job.left,
        corner_x=border[0] + (piece.columns + 1 - x if job.left else x),
        corner_y=border[1] + y,
        border_columns=border[0],
        border_rows=border[1],
        centre_x=centre_x,
        centre_y=centre_y,
        across=x - centre_x,
        below=y - centre_y,
        even_columns=piece.columns % 2 == 0,
        even_rows=piece.rows % 2 == 0,
        columns=piece.columns,
        rows=piece.rows,
    )
