"""The designer's proof: every computed number and every warning, for the maker's eyes alone."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from kitbuild.base.blocks import Block, Heading, Paragraph, Steps, Table
from kitbuild.base.document import Document
from kitbuild.documents.certainty_tables import certainty_blocks
from kitbuild.documents.chart_pages import whole_tiling
from kitbuild.documents.edition_notes import edition_blocks
from kitbuild.documents.job import Job
from kitbuild.documents.price_tables import price_blocks
from kitbuild.documents.proof_notes import note_blocks
from kitbuild.documents.start_hole import start_hole
from kitbuild.documents.stated_line import line_text
from kitbuild.documents.unit_words import Unit
from kitbuild.documents.words import (
    area_shares,
    half_hours,
    holes_text,
    listed,
    patch,
    pick_description,
    pick_unit,
    size_text,
)
from kitbuild.pattern.measures import measured
from kitbuild.quantity.amounts import PieceAmounts
from kitbuild.quantity.grade import EASY, PRACTISED, RULE, grade
from kitbuild.quantity.order import HANDS
from kitbuild.quantity.thread import Use


def proof_sheet(job: Job, suffix: str = "") -> Document:
    """The proof of one kit."""
    return job.document("proof", "proof", _blocks(job), suffix)


def _blocks(job: Job) -> Iterator[Block]:
    say, kit = job.say, job.kit
    yield Heading(1, say("proof.heading", title=job.own(kit.title)))
    yield Paragraph(say("proof.lead", code=kit.code, edition=kit.edition, date=kit.date), "lead")
    yield Heading(2, say("proof.warnings.heading"))
    warnings, accepted = job.judgement.warnings, job.judgement.accepted
    if warnings:
        yield Steps(tuple(str(problem) for problem in warnings), "dot")
    else:
        yield Paragraph(say("proof.warnings.none"))
    if accepted:
        yield Heading(3, say("proof.accepted.heading"))
        reasons = (say("proof.accepted", problem=str(problem), reason=reason) for problem, reason in accepted)
        yield Steps(tuple(reasons), "dot")
    for each in job.amounts.pieces:
        yield Heading(2, say("proof.piece.heading", piece=job.own(each.panel.piece.title)))
        yield _facts(job, tuple(_piece_facts(job, each)))
        yield _work(job, each)
    yield Heading(2, say("proof.thread.heading"))
    reasons = listed(job, [say(f"spare.{reason}") for reason in kit.house.thread.spare_for])
    yield Paragraph(say("proof.thread.text", rules=kit.house.thread, spare_for=reasons))
    yield _thread(job)
    yield from certainty_blocks(job)
    yield Heading(2, say("proof.shares.heading"))
    yield _shares(job)
    yield Heading(2, say("proof.grade.heading"))
    yield from _grade(job)
    yield Heading(2, say("proof.cost.heading"))
    yield _cost(job)
    yield from price_blocks(job)
    yield from edition_blocks(job)
    yield from note_blocks(job)


def _facts(job: Job, rows: tuple[tuple[str, str], ...]) -> Table:
    return Table((job.say("proof.fact"), job.say("proof.value")), rows, (0.34, 0.66), "ll")


def _piece_facts(job: Job, each: PieceAmounts) -> Iterator[tuple[str, str]]:
    say, panel, sizes = job.say, each.panel, each.sizes
    piece, canvas = panel.piece, panel.piece.canvas
    yield say("proof.copies"), str(piece.copies)
    yield say("proof.canvas"), say("proof.canvas.text", canvas=canvas)
    yield say("proof.stitched"), f"{holes_text(job, sizes.stitched)}; {size_text(job, sizes.stitched)}"
    yield say("proof.blank"), f"{holes_text(job, sizes.blank)}; {size_text(job, sizes.blank)}"
    if sizes.trimmed != sizes.blank:
        yield say("proof.trimmed"), size_text(job, sizes.trimmed)
    yield say("proof.finished"), size_text(job, sizes.finished)
    if each.fit:
        yield say("proof.around"), say("proof.around.text", fit=each.fit)
        yield (
            say("proof.inside"),
            say(
                "proof.inside.text",
                fit=each.fit,
                object=job.own(piece.goes_round.name) if piece.goes_round else "",
            ),
        )
        yield say("proof.seam"), say(f"proof.seam.{each.fit.pattern}")
    yield say("proof.line"), line_text(job, piece.pattern.line)
    yield say("proof.repeat"), say("proof.repeat.text", repeat=panel.repeat)
    measures = measured(panel, len(job.kit.palette))
    length = measures.longest * canvas.pitch_mm
    yield (
        say("proof.stitches"),
        say("proof.stitches.text", one=each.stitches, all=each.stitches * piece.copies),
    )
    yield say("proof.longest"), say("proof.longest.text", bars=measures.longest, length=length)
    yield say("proof.over_one"), str(measures.over_one)
    yield say("proof.turns"), str(measures.turns)
    yield (
        say("proof.symmetry"),
        say("proof.symmetry.text", across=measures.mirror_across, down=measures.mirror_down),
    )
    yield say("proof.finishing"), say("proof.finishing.text", one=each.finish_stitches)
    x, y = start_hole(job, each)
    yield say("proof.start_hole"), say("order.hole", x=x, y=y, against=False)
    plan = whole_tiling(job, panel)
    yield say("proof.chart"), say("proof.chart.text", pages=len(plan.tiles), hole=plan.hole_mm)
    yield say("proof.hours"), say("proof.hours.text", hours=half_hours(each.hours))


def _work(job: Job, each: PieceAmounts) -> Table:
    """Thread of one copy for each hand: fronts, backs, passes, starts, needlefuls."""
    say = job.say
    header = tuple(
        say(f"proof.work.{name}")
        for name in ("hand", "front", "back", "through", "all", "starts", "needlefuls", "longest")
    )
    rows = []
    for hand in HANDS:
        work = each.thread.works[hand]
        front, back, through = (int(array.sum()) / 100 for array in (work.front, work.back, work.through))
        rows.append(
            (
                say(f"hand.{hand}"),
                *(
                    say("proof.metres", mm=length)
                    for length in (front, back, through, front + back + through)
                ),
                str(int(work.start.max())),
                str(len(np.unique(work.needleful))),
                say("proof.mm", mm=int(work.back.max()) / 100),
            )
        )
    return Table(
        header,
        tuple(rows),
        (0.13, 0.12, 0.12, 0.13, 0.12, 0.11, 0.14, 0.13),
        "lrrrrrrr",
        say("proof.work.caption"),
    )


def _thread(job: Job) -> Table:
    say = job.say
    names = (
        "colour",
        "stitches",
        "stitch",
        "finish",
        "tails",
        "needlefuls",
        "spare",
        "in_put_up",
        "put_ups",
    )
    rows = tuple(
        (
            patch(job, use.colour.key),
            str(use.stitches),
            *(say("proof.metres", mm=length) for length in (use.stitch_mm, use.finish_mm, use.tails_mm)),
            str(use.needlefuls),
            str(use.spare),
            str(use.in_put_up),
            _pack(job, use),
        )
        for use in job.amounts.uses
    )
    widths = (0.19, 0.1, 0.1, 0.1, 0.1, 0.12, 0.08, 0.1, 0.11)
    return Table(
        tuple(say(f"proof.thread.{name}") for name in names),
        rows,
        widths,
        "lrrrrrrrr",
        say("proof.thread.caption"),
    )


def _pack(job: Job, use: Use) -> str:
    """What goes into the box, as the packer handles it."""
    if use.colour.thread.packed == "needlefuls":
        return Unit("needleful").counted(job.say, use.packed)
    return Unit(use.colour.thread.put_up, own=True).counted(job.say, use.put_ups)


def _shares(job: Job) -> Table:
    """What part each colour has of the stitched area, and of the thread."""
    say, kit = job.say, job.kit
    areas = area_shares(job)
    lengths = {use.colour.key: use.stitch_mm + use.finish_mm for use in job.amounts.uses}
    thread = sum(lengths.values()) or 1.0
    rows = tuple(
        (
            patch(job, colour.key),
            say("proof.percent", share=areas[at]),
            say("proof.percent", share=lengths.get(colour.key, 0.0) / thread),
        )
        for at, colour in enumerate(kit.palette)
    )
    header = tuple(say(f"proof.shares.{name}") for name in ("colour", "area", "thread"))
    return Table(header, rows, (0.4, 0.3, 0.3), "lrr")


def _grade(job: Job) -> Iterator[Block]:
    """The grade, and the rule that leads to it, part by part."""
    say, found = job.say, grade(job.amounts)
    yield Paragraph(
        say(
            "proof.grade.text",
            level=say(f"grade.{found.level}"),
            total=found.total,
            easy=EASY,
            practised=PRACTISED,
        )
    )
    rows = tuple(
        (
            say(f"grade.{part.id}"),
            str(part.value),
            say("grade.beyond", steps=say("list.or").join(map(str, steps))),
            str(part.points),
        )
        for part, (_, _, steps) in zip(found.parts, RULE, strict=True)
    )
    header = tuple(say(f"proof.grade.{name}") for name in ("part", "value", "rule", "points"))
    yield Table(header, rows, (0.42, 0.14, 0.3, 0.14), "lrlr")


def _cost(job: Job) -> Table:
    say, currency, cost = job.say, job.kit.house.currency, job.cost
    money = say.speech.money
    rows = [
        (
            pick_description(job, pick),
            str(pick.quantity),
            pick_unit(job, pick, pick.quantity),
            money(minor, currency),
        )
        for pick, minor in cost.lines
    ]
    rows.append(
        (
            say("proof.cost.packing"),
            say("proof.cost.minutes", minutes=job.kit.house.packing_minutes),
            "",
            money(cost.packing_minor, currency),
        )
    )
    rows.append((say("proof.cost.total"), "", "", money(cost.total_minor, currency)))
    header = tuple(say(f"proof.cost.{name}") for name in ("what", "quantity", "unit", "amount"))
    return Table(header, tuple(rows), (0.55, 0.13, 0.12, 0.2), "lrlr")
