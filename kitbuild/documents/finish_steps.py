"""The steps that make a piece up: trimming, seam, edge, backing; and joining the pieces."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from kitbuild.base.blocks import Block, Heading, Paragraph
from kitbuild.documents.diagrams import edge, join, seam
from kitbuild.documents.job import Job
from kitbuild.documents.numbering import Numbers
from kitbuild.documents.words import size_text
from kitbuild.quantity.amounts import PieceAmounts
from kitbuild.quantity.finishing import runs
from kitbuild.quantity.needle import finishing_needlefuls

#: What stands in a finish's section, in order: sentences by their number, pictures by their name.
FINISHES: Final[dict[str, tuple[str, ...]]] = {
    "flat": ("1", "2", "edge", "3"),
    "sleeve": ("1", "2", "seam", "3", "edge", "4"),
    "cushion": ("1", "2", "3", "4"),
    "box": ("1", "2", "edge"),
    "framed": ("1", "2", "3"),
    "ornament": ("1", "2", "edge", "3"),
}


def finish(job: Job, each: PieceAmounts, numbers: Numbers) -> Iterator[Block]:
    """Trimming, seam and edge of this finish, each picture after its words."""
    say, of = job.say, each.panel.piece.finish
    values = _finish_values(job, each)
    pictures = {"seam": seam, "edge": edge}
    yield Heading(2, say(f"finish.{of.kind}.heading", **values))
    for name in FINISHES[of.kind]:
        if name not in pictures:
            yield numbers.steps({f"{of.kind}.{name}": say(f"finish.{of.kind}.{name}", **values)})
        elif values[f"{name}_stitches"] and numbers.draws(f"{of.kind}.{name}"):
            yield pictures[name](job, each)
    copies, title = each.panel.piece.copies, job.own(each.panel.piece.title)
    if copies > 1:
        yield numbers.steps(
            {f"copies {each.panel.piece.key}": say("finish.copies", copies=copies, piece=title)}
        )


def joins(job: Job, numbers: Numbers) -> Iterator[Block]:
    """Sewing the pieces together, join by join in the order of the spec."""
    say, kit = job.say, job.kit
    titles = {piece.key: job.own(piece.title) for piece in kit.pieces}
    yield Heading(1, say("join.heading"))
    yield numbers.steps({"how": say("join.how")})
    yield join(job)
    steps = {
        f"join {at}": say(
            "join.step",
            one=titles[each.one[0]],
            one_edge=say(f"edge.{each.one[1]}"),
            other=titles[each.other[0]],
            other_edge=say(f"edge.{each.other[1]}"),
            times=each.times,
            colour=job.own(kit.palette[kit.colour_index(each.colour)].name),
        )
        for at, each in enumerate(kit.joins)
    }
    yield numbers.steps(steps)
    yield Paragraph(say("order.joins", list=say("list.joiner").join(_join_needlefuls(job))))


def _join_needlefuls(job: Job) -> Iterator[str]:
    """Needlefuls of each colour that joins are sewn with."""
    for colour in job.kit.palette:
        mine = runs(job.amounts.joins, colour.key)
        if mine:
            count = finishing_needlefuls(mine, job.kit.house.thread)
            yield job.say("order.join", colour=job.own(colour.name), needlefuls=count)


def _finish_values(job: Job, each: PieceAmounts) -> dict[str, object]:
    say, finish, piece = job.say, each.panel.piece.finish, each.panel.piece
    colour = job.own(job.kit.palette[job.kit.colour_index(finish.colour)].name) if finish.colour else ""
    return {
        "colour": colour,
        "corner": finish.corner,
        "overlap": finish.overlap,
        "kept": finish.kept_rows,
        "object": job.own(piece.goes_round.name) if piece.goes_round else "",
        "allowance": finish.allowance_mm,
        "trimmed": size_text(job, each.sizes.trimmed),
        "finished": size_text(job, each.sizes.finished),
        "height": each.sizes.finished.height_mm,
        "shaped": bool(piece.outline),
        "left": job.left,
        "edges": say("list.and").join(say(f"edge.{name}") for name in finish.edges),
        "edge_stitches": sum(row.stitches for row in each.thread.finish if row.kind == "edge"),
        "seam_stitches": sum(row.stitches for row in each.thread.finish if row.kind == "seam"),
    }
