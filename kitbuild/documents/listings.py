"""The open data: what becomes CSV. Column names are a contract: add at the end, never rename."""

from __future__ import annotations

import numpy as np

from kitbuild.base.document import Column, Listing
from kitbuild.documents.job import Job
from kitbuild.documents.words import pick_description, pick_unit
from kitbuild.production.cutting import size_mm
from kitbuild.quantity.needle import needleful_ends
from kitbuild.quantity.order import HANDS
from kitbuild.spec.records import Hand


def listings(job: Job) -> tuple[Listing, ...]:
    """All listings of one kit."""
    return (
        pieces(job),
        stitches(job),
        work_order(job, "right"),
        work_order(job, "left"),
        finishing(job),
        thread(job),
        needlefuls(job),
        pick_list(job),
        cut_list(job),
        *covers(job),
    )


def pieces(job: Job) -> Listing:
    """One row a different piece: its stitched area."""
    rows = [each.panel for each in job.amounts.pieces]
    sizes = [each.sizes for each in job.amounts.pieces]
    return Listing(
        "pieces.csv",
        (
            Column("piece", [row.piece.key for row in rows]),
            Column("copies", [row.piece.copies for row in rows]),
            Column("canvas", [row.piece.canvas.key for row in rows]),
            Column("columns", [row.cover.columns for row in rows]),
            Column("rows", [row.cover.rows for row in rows]),
            Column("pitch_mm", [row.piece.canvas.pitch_mm for row in rows], 6),
            Column("cover", [row.cover.name for row in rows]),
            Column("blank_columns", [size.blank.columns for size in sizes]),
            Column("blank_rows", [size.blank.rows for size in sizes]),
            Column("blank_width_mm", [size.blank.width_mm for size in sizes], 2),
            Column("blank_height_mm", [size.blank.height_mm for size in sizes], 2),
            Column("finished_width_mm", [size.finished.width_mm for size in sizes], 2),
            Column("finished_height_mm", [size.finished.height_mm for size in sizes], 2),
            Column("title", [row.piece.title for row in rows]),
        ),
    )


def covers(job: Job) -> tuple[Listing, ...]:
    """The cover of each shaped piece: one row a chain of links that must be crossed."""
    panels = [each.panel for each in job.amounts.pieces if each.panel.cover.name.endswith(".csv")]
    names = ("x1", "y1", "x2", "y2")
    return tuple(
        Listing(
            panel.cover.name,
            tuple(
                Column(name, ends.tolist()) for name, ends in zip(names, panel.cover.chains(), strict=True)
            ),
        )
        for panel in panels
    )


def stitches(job: Job) -> Listing:
    """One row a stitch of one copy of each piece."""
    keys = [colour.key for colour in job.kit.palette]
    panels = [each.panel for each in job.amounts.pieces]
    columns = [Column("piece", [panel.piece.key for panel in panels for _ in range(len(panel.stitches))])]
    for name in ("x1", "y1", "x2", "y2"):
        columns.append(Column(name, _joined(getattr(panel.stitches, name) for panel in panels)))
    colours = _joined(panel.stitches.colour for panel in panels)
    columns.append(Column("colour", [keys[index] for index in colours]))
    columns.append(Column("row", _joined(panel.stitches.row for panel in panels)))
    return Listing("stitches.csv", tuple(columns))


def work_order(job: Job, hand: Hand) -> Listing:
    """One row a stitch in order of work, for one hand; lengths in mm."""
    keys = [colour.key for colour in job.kit.palette]
    works = [each.thread.works[hand] for each in job.amounts.pieces]
    orders = [work.order for work in works]
    holes = [order.holes() for order in orders]
    stitch = [order.panel.stitches.take(order.stitch) for order in orders]
    names = ("up_x", "up_y", "down_x", "down_y")
    lengths = (("front_mm", "front"), ("back_mm", "back"), ("pass_mm", "through"), ("used_mm", "used"))
    return Listing(
        "work-order.csv" if hand == "right" else f"work-order-{hand}.csv",
        (
            Column("piece", [order.panel.piece.key for order in orders for _ in order.stitch]),
            Column("seq", _joined(np.arange(1, len(order.stitch) + 1) for order in orders)),
            Column("row", _joined(each.row for each in stitch)),
            Column("colour", [keys[index] for index in _joined(each.colour for each in stitch)]),
            Column("start", _joined(work.start for work in works)),
            *(Column(name, _joined(each[at] for each in holes)) for at, name in enumerate(names)),
            *(Column(name, _mm(getattr(work, field) for work in works), 2) for name, field in lengths),
            Column("needleful", _joined(work.needleful for work in works)),
        ),
    )


def finishing(job: Job) -> Listing:
    """One row a hole of edges and seams of one copy of each piece, then of the joins of the whole kit."""
    rows = [each for piece in job.amounts.pieces for each in piece.thread.finish]
    rows += job.amounts.joins
    names = ("piece", "kind", "edge", "hole", "colour", "stitches")
    columns = [Column(name, [getattr(row, name) for row in rows]) for name in names]
    return Listing("finishing.csv", (*columns, Column("mm", [row.mm for row in rows], 2)))


def thread(job: Job) -> Listing:
    """One row a colour of the whole kit."""
    uses = job.amounts.uses
    lengths = ("stitch_mm", "finish_mm", "tails_mm", "needleful_mm")
    return Listing(
        "thread.csv",
        (
            Column("colour", [use.colour.key for use in uses]),
            Column("thread", [use.colour.thread.key for use in uses]),
            Column("stitches", [use.stitches for use in uses]),
            *(Column(name, [getattr(use, name) for use in uses], 2) for name in lengths),
            Column("needlefuls", [use.needlefuls for use in uses]),
            Column("spare_needlefuls", [use.spare for use in uses]),
            Column("put_ups", [use.put_ups for use in uses]),
            Column("packed", [use.colour.thread.packed for use in uses]),
            Column("needlefuls_in_put_up", [use.in_put_up for use in uses]),
        ),
    )


def needlefuls(job: Job) -> Listing:
    """One row a needleful of one copy of each piece, for each hand: where it ends, and what of it is waste.

    `starts` counts the stretches that it is used for; waste is all that lies in no stitch, in mm.
    """
    rows = [
        (hand, each.panel.piece.key, row)
        for hand in HANDS
        for each in job.amounts.pieces
        for row in needleful_ends(each.thread.works[hand])
    ]
    keys, full = [colour.key for colour in job.kit.palette], job.kit.house.thread.needleful_mm
    plain = ("starts", "stitches", "first_seq", "last_seq", "last_x", "last_y")
    return Listing(
        "needlefuls.csv",
        (
            Column("hand", [hand for hand, _, _ in rows]),
            Column("piece", [piece for _, piece, _ in rows]),
            Column("needleful", [row.needleful for *_, row in rows]),
            Column("colour", [keys[row.colour] for *_, row in rows]),
            *(Column(name, [getattr(row, name) for *_, row in rows]) for name in plain),
            Column("mm", [row.mm for *_, row in rows], 2),
            Column("waste_mm", [full - row.mm for *_, row in rows], 2),
        ),
    )


def pick_list(job: Job) -> Listing:
    """One row a line of the box; lot and run are empty for one kit."""
    picks, kit = job.picks, job.kit
    count = len(picks)
    return Listing(
        "pick-list.csv",
        (
            Column("line", list(range(1, count + 1))),
            Column("bin", [pick.bin for pick in picks]),
            Column("item", [pick.item for pick in picks]),
            Column("description", [pick_description(job, pick) for pick in picks]),
            Column("colour", [pick.colour.key if pick.colour else "" for pick in picks]),
            Column("lot", [""] * count),
            Column("per_kit", [pick.quantity for pick in picks]),
            Column("quantity", [pick.quantity for pick in picks]),
            Column("unit", [pick_unit(job, pick) for pick in picks]),
            Column("run", [""] * count),
            Column("kit", [kit.code] * count),
            Column("edition", [kit.edition] * count),
        ),
    )


def cut_list(job: Job) -> Listing:
    """One row a blank, as it lies on its sheet."""
    rows = [(sheet, placed) for sheet in job.cut_plan.sheets for placed in sheet.placed]
    return Listing(
        "cut-list.csv",
        (
            Column("sheet", [sheet.number for sheet, _ in rows]),
            Column("canvas", [sheet.canvas.key for sheet, _ in rows]),
            Column("stock", [sheet.stock.key for sheet, _ in rows]),
            Column("sheet_width", [sheet.columns for sheet, _ in rows]),
            Column("sheet_height", [sheet.rows for sheet, _ in rows]),
            Column("kit", [placed.blank.kit for _, placed in rows]),
            Column("piece", [placed.blank.piece.key for _, placed in rows]),
            Column("x", [placed.x for _, placed in rows]),
            Column("y", [placed.y for _, placed in rows]),
            Column("width", [placed.columns for _, placed in rows]),
            Column("height", [placed.rows for _, placed in rows]),
            Column("turned", ["yes" if placed.turned else "no" for _, placed in rows]),
            Column("width_mm", [size_mm(placed)[0] for _, placed in rows], 2),
            Column("height_mm", [size_mm(placed)[1] for _, placed in rows], 2),
        ),
    )


def _joined(arrays: object) -> list[int]:
    """Whole numbers of several pieces, one after the other."""
    return [value for array in arrays for value in array.tolist()]  # type: ignore[attr-defined]


def _mm(arrays: object) -> list[float]:
    """Hundredths of a millimetre of several pieces as millimetres."""
    return [value / 100 for array in arrays for value in array.tolist()]  # type: ignore[attr-defined]
