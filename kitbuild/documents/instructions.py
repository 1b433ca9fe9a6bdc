"""The instruction sheet: what hands do, in the order in which they need it, with this kit's own numbers."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from kitbuild.base.blocks import Block, Heading, Paragraph, Steps, Table
from kitbuild.base.document import Document
from kitbuild.base.units import down
from kitbuild.documents.diagrams import edge, fasten_off, join, needle_path, run_under_stitches, seam
from kitbuild.documents.job import Job
from kitbuild.documents.order_table import order_table
from kitbuild.documents.start_hole import start_hole_text
from kitbuild.documents.words import (
    bars_text,
    cautions,
    contents,
    holes_text,
    is_sideways,
    line_kind,
    line_parts,
    line_stitches,
    lines_together,
    listed,
    size_text,
)
from kitbuild.quantity.amounts import PieceAmounts
from kitbuild.quantity.finishing import runs
from kitbuild.quantity.needle import finishing_needlefuls
from kitbuild.quantity.order import Order

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
    """Step numbers that run on through the whole sheet, and the number that each kind of step first had."""

    def __init__(self) -> None:
        self.next = 1
        self.of: dict[str, int] = {}
        self.drawn: set[str] = set()

    def steps(self, items: Mapping[str, str]) -> Steps:
        """A numbered list that carries on from the last; the keys name the kinds of its steps."""
        block = Steps(tuple(items.values()), first=self.next)
        for kind in items:
            self.of.setdefault(kind, self.next)
            self.next += 1
        return block

    def draws(self, kind: str) -> bool:
        """Whether this kind of picture comes for the first time."""
        fresh = kind not in self.drawn
        self.drawn.add(kind)
        return fresh


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
    """One piece; what is alike for all pieces is told in the first, and later ones refer to it."""
    say, piece, first = job.say, each.panel.piece, each is job.amounts.pieces[0]
    if len(job.amounts.pieces) > 1:
        yield Heading(1, say("piece.heading", piece=piece.title, copies=piece.copies))
    yield Heading(2, say("canvas.heading"))
    yield numbers.steps(_canvas_steps(job, each))
    if first:
        yield Heading(2, say("needle.heading"))
        yield numbers.steps(_needle_steps(job))
    yield Heading(2, say("begin.heading"))
    yield from _begin(job, each, numbers, first=first)
    yield Heading(2, say("rows.heading"))
    yield numbers.steps(_row_steps(job, each, numbers, first=first))
    yield order_table(job, each)
    if first:
        yield from _change(job, each, numbers)
    yield from _finish(job, each, numbers)


def _also_needed(job: Job) -> Iterator[str]:
    """Tools that no box holds."""
    kinds = {piece.finish.kind for piece in job.kit.pieces}
    yield job.say("also.scissors")
    yield job.say("also.paper")
    if any(piece.canvas.weave == "woven" for piece in job.kit.pieces):
        yield job.say("also.tape")
    for kind in ("cushion", "framed", "ornament"):
        if kind in kinds:
            yield job.say(f"also.{kind}")


def _canvas_steps(job: Job, each: PieceAmounts) -> dict[str, str]:
    """Check the blank, mark its top, tie a scrap at the first hole, find the start hole."""
    say, sizes, piece = job.say, each.sizes, each.panel.piece
    work = each.panel.stitches
    values = {
        "piece": piece.title,
        "copies": piece.copies,
        "holes": holes_text(job, sizes.blank),
        "lengths": size_text(job, sizes.blank),
        "blank": sizes.blank,
        "border_columns": sizes.border[0],
        "border_rows": sizes.border[1],
        "shaped": bool(piece.outline),
        "stitched": bool(((work.x1 == 1) & (work.y1 == 1)).any()),
    }
    kinds = ("check", "top", "first_hole")
    steps = {kind: say(f"canvas.{kind}.{piece.canvas.weave}", **values) for kind in kinds}
    return steps | {"start": start_hole_text(job, each)}


def _needle_steps(job: Job) -> dict[str, str]:
    rules, say = job.kit.house.thread, job.say
    strands = max(colour.thread.strands for colour in job.kit.palette)
    cut = _packed(job, "needlefuls")
    needles = say("list.joiner").join(packed.needle.title for packed in job.kit.needles)
    return {
        "cut": say(
            "needle.cut",
            needleful=rules.needleful_mm,
            strands=strands,
            cut=listed(job, cut),
            cut_count=len(cut),
            whole=listed(job, _packed(job, "put-ups")),
        ),
        "thread": say("needle.thread", needles=needles),
        "ends": say("needle.ends"),
    }


def _packed(job: Job, how: str) -> list[str]:
    """The colours that lie in the box as put-ups, or as needlefuls."""
    return [use.colour.name for use in job.amounts.uses if use.colour.thread.packed == how]


def _begin(job: Job, each: PieceAmounts, numbers: _Numbers, *, first: bool) -> Iterator[Block]:
    """Start without a knot, the stitch with this kit's counts, the needle's way, the line."""
    say = job.say
    left_x, left_y, _, _ = each.thread.works["left"].order.holes()
    yield numbers.steps(_first_stitch_steps(job, each, numbers, first=first))
    yield needle_path(job, each)
    parts, kind = line_parts(job, each.panel), line_kind(each.panel)
    sideways = is_sideways(line_stitches(each.panel))
    told = {"cut": _is_cut(each), "told": bool(parts), "kind": kind, "sideways": sideways}
    told["mixed"] = len(each.panel.piece.pattern.overs) > 1
    yield numbers.steps({"line": say("begin.line", **told)})
    if parts:
        yield Steps(parts, "dot")
    left_hand = say("begin.left_hand", x=int(left_x[0]), y=int(left_y[0]), first=first)
    count = {"count": say("begin.count")} if first else {}
    yield numbers.steps(count | {"left_hand": left_hand})


def _first_stitch_steps(job: Job, each: PieceAmounts, numbers: _Numbers, *, first: bool) -> dict[str, str]:
    """The tail, the first stitch, and the needle's way in the line."""
    say, order = job.say, each.thread.works["right"].order
    colour = job.kit.palette[int(each.panel.stitches.colour[order.stitch[0]])].name
    over = int(each.panel.stitches.length()[order.stitch[0]])
    stitch = say("begin.stitch", over=over, way=_way(order), next=_next_place(order))
    across = {"sideways": say("policy.sideways")} if is_sideways(line_stitches(each.panel)) else {}
    if not first:
        return {"again": say("begin.as_before", colour=colour, steps=numbers.of), "stitch": stitch} | across
    return {
        "tail": say("begin.tail", tail=job.kit.house.thread.start_tail_mm, colour=colour),
        "stitch": stitch,
        "way": say(f"policy.{_policy(job)}.line"),
    } | (across | _turned(job))


def _turned(job: Job) -> dict[str, str]:
    """What turns a stitch against the policy, where the order of some piece has such a stitch."""
    forced = any(each.thread.works["right"].order.forced for each in job.amounts.pieces)
    longest = job.kit.house.thread.longest_run_mm
    return {"turned": job.say("policy.turned", longest=longest)} if forced else {}


def _policy(job: Job) -> str:
    return job.kit.policy.replace(" ", "_")


def _way(order: Order) -> str:
    """In which direction the first stitch goes."""
    up_x, up_y, down_x, down_y = (int(each[0]) for each in order.holes())
    if up_x == down_x:
        return "down" if down_y > up_y else "up"
    return "right" if down_x > up_x else "left"


def _next_place(order: Order) -> str:
    """On which side of the first stitch the second one stands; "" where it has no neighbour there."""
    work = order.panel.stitches.take(order.stitch[:2])
    across, below = (int(ends[-1] - ends[0]) for ends in (work.x1, work.y1))
    if work.x1[0] == work.x2[0] and abs(across) == 1:
        return "right" if across > 0 else "left"
    if work.x1[0] != work.x2[0] and abs(below) == 1:
        return "below" if below > 0 else "above"
    return ""


def _is_cut(each: PieceAmounts) -> bool:
    """Whether an edge shortens stitches of the line itself."""
    overs = each.panel.piece.pattern.overs
    return len(overs) == 1 and bool((line_stitches(each.panel).length() < overs[0]).any())


def _row_steps(job: Job, each: PieceAmounts, numbers: _Numbers, *, first: bool) -> dict[str, str]:
    say, rules, kind = job.say, job.kit.house.thread, line_kind(each.panel)
    pattern, columns = each.panel.piece.pattern, rules.longest_run_mm / each.panel.piece.canvas.pitch_mm
    sideways = is_sideways(each.panel.stitches)
    values = {"overs": pattern.overs, "bars": bars_text(job, pattern.overs), "sideways": sideways}
    values["together"] = lines_together(each.panel)
    steps = {"rows": say(f"rows.{kind}", colours=len(pattern.colours), **values)}
    if first:
        steps["rows_way"] = say(f"policy.{_policy(job)}.rows")
    if sideways and not is_sideways(line_stitches(each.panel)):
        steps["sideways"] = say("policy.sideways")
    if kind != "charted":
        lengthen = pattern.edges == "lengthen" or kind == "four-way"
        steps["edges"] = say("rows.edges", overs=pattern.overs, lengthen=lengthen, kind=kind)
    steps["longest"] = say("rows.longest", longest=rules.longest_run_mm, columns=down(columns))
    if not first:
        under = run_under_stitches(job, each)
        other = under if under != run_under_stitches(job, job.amounts.pieces[0]) else 0
        return steps | {"as_before": say("rows.as_before", steps=numbers.of, stitches=other)}
    end = {"least": rules.least_remainder_mm, "parked": rules.park, "longest": rules.longest_run_mm}
    return steps | {"end": say("rows.end", **end), "table": say("rows.table", sideways=sideways)}


def _change(job: Job, each: PieceAmounts, numbers: _Numbers) -> Iterator[Block]:
    """Fastening off, with its picture, and the next needleful."""
    say, rules = job.say, job.kit.house.thread
    under = run_under_stitches(job, each)
    rest = rules.held_mm + rules.run_under_mm
    yield Heading(2, say("change.heading"))
    yield numbers.steps({"off": say("change.end", rest=rest, under=rules.run_under_mm, stitches=under)})
    yield fasten_off(job, each)
    yield numbers.steps({"new": say("change.new", stitches=under), "twist": say("change.twist")})


def _finish(job: Job, each: PieceAmounts, numbers: _Numbers) -> Iterator[Block]:
    """Trimming, seam and edge of this finish, each picture after its words."""
    say, finish = job.say, each.panel.piece.finish
    values = _finish_values(job, each)
    pictures = {"seam": seam, "edge": edge}
    yield Heading(2, say(f"finish.{finish.kind}.heading"))
    for name in FINISHES[finish.kind]:
        if name not in pictures:
            yield numbers.steps({f"{finish.kind}.{name}": say(f"finish.{finish.kind}.{name}", **values)})
        elif values[f"{name}_stitches"] and numbers.draws(f"{finish.kind}.{name}"):
            yield pictures[name](job, each)


def _joins(job: Job, numbers: _Numbers) -> Iterator[Block]:
    """Sewing the pieces together, join by join in the order of the spec."""
    say, kit = job.say, job.kit
    titles = {piece.key: piece.title for piece in kit.pieces}
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
            colour=kit.palette[kit.colour_index(each.colour)].name,
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
            yield job.say("order.join", colour=colour.name, needlefuls=count)


def _finish_values(job: Job, each: PieceAmounts) -> dict[str, object]:
    say, finish, piece = job.say, each.panel.piece.finish, each.panel.piece
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
        "edges": say("list.and").join(say(f"edge.{name}") for name in finish.edges),
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
