"""The instruction sheet: what hands do, in the order in which they need it, with this kit's own numbers."""

from __future__ import annotations

from collections.abc import Iterator

from kitbuild.base.blocks import Block, Heading, Paragraph, Steps, Table
from kitbuild.base.document import Document
from kitbuild.documents.diagrams import edge, fasten_off, needle_path, run_under_stitches, seam
from kitbuild.documents.job import Job
from kitbuild.documents.order_table import order_table
from kitbuild.documents.start_hole import start_hole_text
from kitbuild.documents.words import cautions, contents, holes_text, line_text, size_text
from kitbuild.quantity.amounts import PieceAmounts

BEFORE_STARTING = ("magnet", "small_parts", "flame", "sharp_points", "glass", "cut_metal", "plastic_stubs")


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
    yield numbers.steps(_begin_steps(job, each))
    yield needle_path(job, each)
    yield Heading(2, say("rows.heading"))
    yield numbers.steps(_row_steps(job, each))
    yield order_table(job, each)
    yield Heading(2, say("change.heading"))
    yield numbers.steps(_change_steps(job, each))
    yield fasten_off(job, each)
    yield from _finish(job, each, numbers)


def _canvas_steps(job: Job, each: PieceAmounts) -> list[str]:
    """Check the blank, mark its top, tie a scrap at the first hole, find the start hole."""
    say, sizes, piece = job.say, each.sizes, each.panel.piece
    values = {
        "piece": piece.title,
        "copies": piece.copies,
        "holes": holes_text(job, sizes.blank),
        "lengths": size_text(job, sizes.blank),
        "border_columns": sizes.border[0],
        "border_rows": sizes.border[1],
    }
    steps = [say(f"canvas.check.{piece.canvas.weave}", **values), say("canvas.top", **values)]
    steps.append(say(f"canvas.first_hole.{piece.canvas.weave}", **values))
    steps.append(start_hole_text(job, each))
    return steps


def _needle_steps(job: Job) -> list[str]:
    rules, say = job.kit.house.thread, job.say
    strands = max(colour.thread.strands for colour in job.kit.palette)
    needles = job.say("list.joiner").join(packed.needle.title for packed in job.kit.needles)
    return [
        say("needle.cut", needleful=rules.needleful_mm, strands=strands),
        say("needle.thread", needles=needles),
        say("needle.ends"),
    ]


def _begin_steps(job: Job, each: PieceAmounts) -> list[str]:
    """Start without a knot, the stitch with this kit's counts, the line."""
    say, rules, pattern = job.say, job.kit.house.thread, each.panel.piece.pattern
    first = each.panel.stitches.colour[each.thread.works["right"].order.stitch[0]]
    colour = job.kit.palette[int(first)].name
    direction = each.thread.works["right"].order.turned[0]
    return [
        say("begin.tail", tail=rules.start_tail_mm, colour=colour),
        say("begin.stitch", over=pattern.over, turned=bool(direction)),
        say("begin.line", line=line_text(job, pattern.line), over=pattern.over),
        say("begin.count", over=pattern.over),
    ]


def _row_steps(job: Job, each: PieceAmounts) -> list[str]:
    say, piece = job.say, each.panel.piece
    steps = [say(f"rows.{each.panel.counted}", over=piece.pattern.over, colours=len(piece.pattern.colours))]
    steps.append(say(f"policy.{job.kit.policy.replace(' ', '_')}"))
    steps.append(say("rows.edges", over=piece.pattern.over))
    steps.append(say("rows.longest", longest=job.kit.house.thread.longest_run_mm))
    steps.append(say("rows.table"))
    return steps


def _change_steps(job: Job, each: PieceAmounts) -> list[str]:
    say, rules = job.say, job.kit.house.thread
    under = run_under_stitches(job, each)
    return [
        say("change.end", held=rules.held_mm + rules.run_under_mm, under=rules.run_under_mm, stitches=under),
        say("change.new", stitches=under),
        say("change.twist"),
    ]


def _finish(job: Job, each: PieceAmounts, numbers: _Numbers) -> Iterator[Block]:
    """Trimming, seam and edge of this finish."""
    say, finish, piece = job.say, each.panel.piece.finish, each.panel.piece
    colour = job.kit.palette[job.kit.colour_index(finish.colour)].name if finish.colour else ""
    around = piece.goes_round
    values = {
        "colour": colour,
        "corner": finish.corner,
        "overlap": finish.overlap,
        "kept": finish.kept_rows,
        "object": around.name if around else "",
        "allowance": finish.allowance_mm,
        "trimmed": size_text(job, each.sizes.trimmed),
        "finished": size_text(job, each.sizes.finished),
        "height": each.sizes.finished.height_mm,
        "edge_stitches": sum(row.stitches for row in each.thread.finish if row.kind == "edge"),
        "seam_stitches": sum(row.stitches for row in each.thread.finish if row.kind == "seam"),
    }
    yield Heading(2, say(f"finish.{finish.kind}.heading"))
    count = int(say(f"finish.{finish.kind}.steps"))
    yield numbers.steps([say(f"finish.{finish.kind}.{at}", **values) for at in range(1, count + 1)])
    if finish.kind == "sleeve":
        yield seam(job, each)
    if finish.colour:
        yield edge(job, each)


def _after(job: Job) -> Iterator[Block]:
    """Care, troubles, the remaining notes and the closing line."""
    say, kit = job.say, job.kit
    plastic = any(piece.canvas.weave == "plastic" for piece in kit.pieces)
    yield Heading(2, say("care.heading"))
    if kit.care:
        yield Paragraph(kit.care)
    yield Paragraph(say("care.plastic" if plastic else "care.woven"))
    yield from cautions(job, tuple(note.id for note in job.notes if note.id not in BEFORE_STARTING))
    yield Heading(2, say("trouble.heading"))
    rows = tuple(
        (say(f"trouble.{at}.what"), say(f"trouble.{at}.cure", contact=kit.house.contact))
        for at in range(1, 6)
    )
    yield Table((say("trouble.what"), say("trouble.cure")), rows, (0.32, 0.68), "ll")
    yield Paragraph(say("closing", contact=kit.house.contact, name=kit.house.name), "small")
