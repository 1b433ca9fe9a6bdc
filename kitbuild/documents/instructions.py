"""The instruction sheet: what hands do, in the order in which they need it, with this kit's own numbers."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from kitbuild.base.blocks import Block, Heading, Paragraph, Steps, Table
from kitbuild.base.document import Document
from kitbuild.base.units import down
from kitbuild.documents.diagrams import edge, fasten_off, needle_path, run_under_stitches, seam
from kitbuild.documents.job import Job
from kitbuild.documents.order_table import order_table
from kitbuild.documents.start_hole import start_hole_text
from kitbuild.documents.words import cautions, contents, holes_text, line_parts, size_text
from kitbuild.quantity.amounts import PieceAmounts

BEFORE_STARTING = ("magnet", "small_parts", "flame", "sharp_points", "glass", "cut_metal", "plastic_stubs")


#: What stands in a finish's section, in order: sentences by their number, pictures by their name.
FINISHES: Final[dict[str, tuple[str, ...]]] = {
    "flat": ("1", "2", "edge", "3"),
    "sleeve": ("1", "2", "seam", "3", "edge", "4"),
    "cushion": ("1", "2", "3"),
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
    say, rules, pattern = job.say, job.kit.house.thread, each.panel.piece.pattern
    order = each.thread.works["right"].order
    first = each.panel.stitches.colour[order.stitch[0]]
    left_x, left_y, _, _ = each.thread.works["left"].order.holes()
    yield numbers.steps(
        [
            say("begin.tail", tail=rules.start_tail_mm, colour=job.kit.palette[int(first)].name),
            say("begin.stitch", over=pattern.over, turned=bool(order.turned[0])),
            say(f"policy.{job.kit.policy.replace(' ', '_')}.line"),
        ]
    )
    yield needle_path(job, each)
    yield numbers.steps([say("begin.line", cut=_is_cut(each))])
    yield Steps(line_parts(job, each.panel), "dot")
    left_hand = say("begin.left_hand", x=int(left_x[0]), y=int(left_y[0]))
    yield numbers.steps([say("begin.count"), left_hand])


def _is_cut(each: PieceAmounts) -> bool:
    """Whether an edge shortens stitches of the line itself."""
    work = each.panel.stitches
    return bool((work.length()[work.course == 0] < each.panel.piece.pattern.over).any())


def _row_steps(job: Job, each: PieceAmounts) -> list[str]:
    say, piece, rules = job.say, each.panel.piece, job.kit.house.thread
    steps = [
        say(f"rows.{each.panel.counted}", over=piece.pattern.over, colours=len(piece.pattern.colours)),
        say(f"policy.{job.kit.policy.replace(' ', '_')}.rows"),
        say("rows.edges", over=piece.pattern.over),
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
        if name in pictures:
            yield pictures[name](job, each)
        else:
            yield numbers.steps([say(f"finish.{finish.kind}.{name}", **values)])


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
        "border": finish.border_mm,
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
