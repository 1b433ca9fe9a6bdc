"""The steps of the other rows, of the next colour, and of the end of a needleful."""

from __future__ import annotations

from collections.abc import Iterator

from kitbuild.base.blocks import Block, Heading
from kitbuild.base.units import down
from kitbuild.documents.begin_steps import policy, turned
from kitbuild.documents.diagrams import fasten_off, fasten_on, run_under_stitches
from kitbuild.documents.job import Job
from kitbuild.documents.needle_diagrams import shared_hole, sharing
from kitbuild.documents.numbering import Numbers
from kitbuild.documents.order_table import has_halves, turns
from kitbuild.documents.words import bars_text, is_sideways, line_kind, line_stitches, lines_together
from kitbuild.quantity.amounts import PieceAmounts


def row_steps(job: Job, each: PieceAmounts, numbers: Numbers, *, first: bool) -> dict[str, str]:
    """How the rows after the line are worked, the longest run, the row's end and the table."""
    say, rules, kind = job.say, job.kit.house.thread, line_kind(each.panel)
    pattern, columns = each.panel.piece.pattern, rules.longest_run_mm / each.panel.piece.canvas.pitch_mm
    sideways = is_sideways(each.panel.stitches)
    values = {"overs": pattern.overs, "bars": bars_text(job, pattern.overs), "sideways": sideways}
    values["together"] = lines_together(each.panel)
    values |= {"edged": _edged(each), "bands": pattern.family == "ribbon", "halves": has_halves(job, each)}
    steps = {"rows": say(f"rows.{kind}", colours=len(pattern.colours), **values)}
    if first:
        steps |= {"rows_way": say(f"policy.{policy(job)}.rows")} | turned(job, line=False)
    if sideways and not is_sideways(line_stitches(each.panel)):
        steps["sideways"] = say("policy.sideways", left=job.left)
    if kind != "charted":
        lengthen = pattern.edges == "lengthen" or kind == "four-way"
        steps["edges"] = say("rows.edges", overs=pattern.overs, lengthen=lengthen, kind=kind)
    steps["longest"] = say("rows.longest", longest=rules.longest_run_mm, columns=down(columns))
    if not first:
        under = run_under_stitches(job, each)
        other = under if under != run_under_stitches(job, job.amounts.pieces[0]) else 0
        at = numbers.of.get("turned", 0)
        return steps | {"as_before": say("rows.as_before", steps=numbers.of, stitches=other, turned=at)}
    forced = any(job.order(each).forced for each in job.amounts.pieces)
    end = {"least": rules.least_remainder_mm, "parked": rules.park, "longest": rules.longest_run_mm}
    end["turned"] = forced
    first_turn = turns(job.work(each))[0]
    shown = {"area": first_turn.areas[0], "across": first_turn.sideways}
    at = (numbers.of | numbers.after(steps)).get("turned", 0)
    table = say("rows.table", sideways=sideways, turned=at, **shown)
    return steps | {"end": say("rows.end", **end), "table": table}


def _edged(each: PieceAmounts) -> bool:
    """Whether an edge or a middle makes stitches of other lengths than the pattern's own."""
    lengths = set(each.panel.stitches.length().tolist())
    return not lengths <= set(each.panel.piece.pattern.overs)


def next_colour(job: Job, each: PieceAmounts, numbers: Numbers) -> Iterator[Block]:
    """How the next colour meets the last: in shared holes, with the first such hole as a picture."""
    shared = shared_hole(job.order(each))
    if shared:
        yield numbers.steps({"next": job.say("rows.next")})
        yield sharing(job, shared)


def change(job: Job, each: PieceAmounts, numbers: Numbers) -> Iterator[Block]:
    """Fastening off and the next needleful, each with its picture."""
    say, rules = job.say, job.kit.house.thread
    under = run_under_stitches(job, each)
    rest = rules.held_mm + rules.run_under_mm
    yield Heading(2, say("change.heading"))
    yield numbers.steps({"off": say("change.end", rest=rest, under=rules.run_under_mm, stitches=under)})
    yield fasten_off(job, each)
    yield numbers.steps({"new": say("change.new", stitches=under, steps=numbers.of)})
    yield fasten_on(job, each)
    yield numbers.steps({"twist": say("change.twist")})
