"""The instruction sheet: what hands do, in the order in which they need it, with this kit's own numbers."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from kitbuild.base.blocks import Block, Heading, Paragraph, Steps, Table
from kitbuild.base.document import Document
from kitbuild.base.units import down
from kitbuild.documents.diagrams import edge, fasten_off, join, needle_path, run_under_stitches, seam
from kitbuild.documents.job import Job
from kitbuild.documents.order_table import order_table
from kitbuild.documents.start_hole import start_hole_text
from kitbuild.documents.words import cautions, contents, holes_text, line_kind, line_parts, size_text
from kitbuild.quantity.amounts import PieceAmounts
from kitbuild.quantity.finishing import runs
from kitbuild.quantity.needle import finishing_needlefuls

BEFORE_STARTING = ("magnet", "small_parts", "flame", "sharp_points", "glass", "cut_metal", "plastic_stubs")


#: What stands in a finish's section, in order: sentences by their number, pictures by their name.
FINISHES: Final[dict[str, tuple[str, ...]]] = {
    "flat": ("1", "2", "edge", "3"),
    "sleeve": ("1", "2", "seam", "3", "edge", "4"),
    "cushion": ("1", "2", "3"),
    "box": ("1", "2", "edge"),
    "framed": ("1", "2", "3"),
    "ornament": ("1", "2", "edge", "3"),
}


class _Numbers:
    """Step numbers that run on through the whole sheet."""

    def __init__(self) -> None:
        self.next = 1

    def steps(self, items: list[str]) -> Steps:
        """A numbered list that carries on from the last."""
        block = Steps(tuple(items), first=self.next)
        self.next += len(items)
        return block


def instructions(job: Job, suffix: str = "") -> Document:
    """The instruction sheet of one kit."""
    numbers, say = _Numbers(), job.say
    blocks: list[Block] = [Heading(1, say("instructions.title", title=job.kit.title))]
    blocks.append(Paragraph(say("instructions.lead"), "lead"))
    blocks += cautions(job, BEFORE_STARTING)
    blocks += [
        Heading(2, say("contents.heading")),
        Paragraph(say("contents.text", contact=job.kit.house.contact)),
        contents(job),
        Heading(2, say("also.heading")),
        Steps(tuple(_also_needed(job)), "tick"),
    ]
    for each in job.amounts.pieces:
        blocks += _piece(job, each, numbers)
    if job.kit.joins:
        blocks += _joins(job, numbers)
    blocks += _after(job)
    return job.document("instructions", "instructions", blocks, suffix)


def _piece(job: Job, each: PieceAmounts, numbers: _Numbers) -> Iterator[Block]:
    say, piece = job.say, each.panel.piece
    if len(job.amounts.pieces) > 1:
        yield Heading(1, say("piece.heading", piece=piece.title, copies=piece.copies))
    yield Heading(2, say("canvas.heading"))
    yield numbers.steps(_canvas_steps(job, each))
    yield Heading(2, say("needle.heading"))
    yield numbers.steps(_needle_steps(job))
    yield Heading(2, say("begin.heading"))
    yield from _begin(job, each, numbers)
    yield Heading(2, say("rows.heading"))
    yield numbers.steps(_row_steps(job, each))
    yield order_table(job, each)
    yield from _change(job, each, numbers)
    yield from _finish(job, each, numbers)


def _also_needed(job: Job) -> Iterator[str]:
    """Tools that no box holds."""
    kinds = {piece.finish.kind for piece in job.kit.pieces}
    yield job.say("also.scissors")
    yield job.say("also.paper")
    if any(piece.canvas.weave == "woven" for piece in job.kit.pieces):
        yield job.say("also.tape")
    if "cushion" in kinds:
        yield job.say("also.cushion")


def _canvas_steps(job: Job, each: PieceAmounts) -> list[str]:
    """Check the blank, mark its top, tie a scrap at the first hole, find the start hole."""
    say, sizes, piece = job.say, each.sizes, each.panel.piece
    values = {
        "piece": piece.title,
        "copies": piece.copies,
        "holes": holes_text(job, sizes.blank),
        "lengths": size_text(job, sizes.blank),
        "blank": sizes.blank,
        "border_columns": sizes.border[0],
        "border_rows": sizes.border[1],
    }
    kinds = ("check", "top", "first_hole")
    steps = [say(f"canvas.{kind}.{piece.canvas.weave}", **values) for kind in kinds]
    return [*steps, start_hole_text(job, each)]


def _needle_steps(job: Job) -> list[str]:
    rules, say = job.kit.house.thread, job.say
    strands = max(colour.thread.strands for colour in job.kit.palette)
    needles = say("list.joiner").join(packed.needle.title for packed in job.kit.needles)
    return [
        say("needle.cut", needleful=rules.needleful_mm, strands=strands),
        say("needle.thread", needles=needles),
        say("needle.ends"),
    ]


def _begin(job: Job, each: PieceAmounts, numbers: _Numbers) -> Iterator[Block]:
    """Start without a knot, the stitch with this kit's counts, the needle's way, the line."""
    say, rules = job.say, job.kit.house.thread
    order = each.thread.works["right"].order
    first = each.panel.stitches.colour[order.stitch[0]]
    left_x, left_y, _, _ = each.thread.works["left"].order.holes()
    yield numbers.steps(
        [
            say("begin.tail", tail=rules.start_tail_mm, colour=job.kit.palette[int(first)].name),
            say(
                "begin.stitch",
                over=int(each.panel.stitches.length()[order.stitch[0]]),
                turned=bool(order.turned[0]),
            ),
            say(f"policy.{job.kit.policy.replace(' ', '_')}.line"),
        ]
    )
    yield needle_path(job, each)
    parts = line_parts(job, each.panel)
    yield numbers.steps([say("begin.line", cut=_is_cut(each), told=bool(parts))])
    if parts:
        yield Steps(parts, "dot")
    left_hand = say("begin.left_hand", x=int(left_x[0]), y=int(left_y[0]))
    yield numbers.steps([say("begin.count"), left_hand])


def _is_cut(each: PieceAmounts) -> bool:
    """Whether an edge shortens stitches of the line itself."""
    work, overs = each.panel.stitches, each.panel.piece.pattern.overs
    return len(overs) == 1 and bool((work.length()[work.course == 0] < overs[0]).any())


def _row_steps(job: Job, each: PieceAmounts) -> list[str]:
    say, piece, rules = job.say, each.panel.piece, job.kit.house.thread
    steps = [
        say(f"rows.{line_kind(each.panel)}", overs=piece.pattern.overs, colours=len(piece.pattern.colours)),
        say(f"policy.{job.kit.policy.replace(' ', '_')}.rows"),
        say("rows.edges", overs=piece.pattern.overs, lengthen=piece.pattern.edges == "lengthen"),
        say(
            "rows.longest",
            longest=rules.longest_run_mm,
            forced=each.thread.works["right"].order.forced,
            columns=down(rules.longest_run_mm / piece.canvas.pitch_mm),
        ),
        say("rows.end", least=rules.least_remainder_mm, parked=rules.park, longest=rules.longest_run_mm),
    ]
    return [*steps, say("rows.table")]


def _change(job: Job, each: PieceAmounts, numbers: _Numbers) -> Iterator[Block]:
    """Fastening off, with its picture, and the next needleful."""
    say, rules = job.say, job.kit.house.thread
    under = run_under_stitches(job, each)
    rest = rules.held_mm + rules.run_under_mm
    yield Heading(2, say("change.heading"))
    yield numbers.steps([say("change.end", rest=rest, under=rules.run_under_mm, stitches=under)])
    yield fasten_off(job, each)
    yield numbers.steps([say("change.new", stitches=under), say("change.twist")])


def _finish(job: Job, each: PieceAmounts, numbers: _Numbers) -> Iterator[Block]:
    """Trimming, seam and edge of this finish, each picture after its words."""
    say, finish = job.say, each.panel.piece.finish
    values = _finish_values(job, each)
    pictures = {"seam": seam, "edge": edge}
    yield Heading(2, say(f"finish.{finish.kind}.heading"))
    for name in FINISHES[finish.kind]:
        if name not in pictures:
            yield numbers.steps([say(f"finish.{finish.kind}.{name}", **values)])
        elif values[f"{name}_stitches"]:
            yield pictures[name](job, each)


def _joins(job: Job, numbers: _Numbers) -> Iterator[Block]:
    """Sewing the pieces together, join by join in the order of the spec."""
    say, kit = job.say, job.kit
    titles = {piece.key: piece.title for piece in kit.pieces}
    yield Heading(1, say("join.heading"))
    yield numbers.steps([say("join.how")])
    yield join(job)
    steps = [
        say(
            "join.step",
            one=titles[each.one[0]],
            one_edge=each.one[1],
            other=titles[each.other[0]],
            other_edge=each.other[1],
            times=each.times,
            colour=kit.palette[kit.colour_index(each.colour)].name,
        )
        for each in kit.joins
    ]
    yield numbers.steps(steps)
    yield Paragraph(say("order.joins", list=say("list.joiner").join(_join_needlefuls(job))))


def _join_needlefuls(job: Job) -> Iterator[str]:
    """Needlefuls of each colour that joins are sewn with."""
    for colour in job.kit.palette:
        mine = runs(job.amounts.joins, colour.key)
        if mine:
            count = finishing_needlefuls(mine, job.kit.house.thread)
            yield job.say("order.join", colour=colour.name, needlefuls=count)


def _finish_values(job: Job, each: PieceAmounts) -> dict[str, object]:
    finish, piece = each.panel.piece.finish, each.panel.piece
    colour = job.kit.palette[job.kit.colour_index(finish.colour)].name if finish.colour else ""
    return {
        "colour": colour,
        "corner": finish.corner,
        "overlap": finish.overlap,
        "kept": finish.kept_rows,
        "object": piece.goes_round.name if piece.goes_round else "",
        "allowance": finish.allowance_mm,
        "trimmed": size_text(job, each.sizes.trimmed),
        "finished": size_text(job, each.sizes.finished),
        "height": each.sizes.finished.height_mm,
        "shaped": bool(piece.outline),
        "edge_stitches": sum(row.stitches for row in each.thread.finish if row.kind == "edge"),
        "seam_stitches": sum(row.stitches for row in each.thread.finish if row.kind == "seam"),
    }


def _after(job: Job) -> Iterator[Block]:
    """Care, the remaining notes, troubles and the closing line."""
    say, kit = job.say, job.kit
    weaves = {piece.canvas.weave for piece in kit.pieces}
    yield Heading(2, say("care.heading"))
    yield Paragraph(kit.care or say("care.plastic" if "plastic" in weaves else "care.woven"))
    yield from cautions(job, tuple(note.id for note in job.notes if note.id not in BEFORE_STARTING))
    yield Heading(2, say("trouble.heading"))
    rows = tuple(
        (say(f"trouble.{at}.what"), say(f"trouble.{at}.cure", contact=kit.house.contact))
        for at in range(1, 6)
    )
    yield Table((say("trouble.what"), say("trouble.cure")), rows, (0.32, 0.68), "ll")
    yield Paragraph(say("closing", contact=kit.house.contact, name=kit.house.name), "small")
