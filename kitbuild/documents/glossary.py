"""The words of this kit, one meaning each, as booklet and sheet use them."""

from __future__ import annotations

from collections.abc import Iterator

from kitbuild.base.blocks import Block, Heading, Table
from kitbuild.documents.job import Job
from kitbuild.documents.words import line_kind


def glossary(job: Job) -> Iterator[Block]:
    """Words and meanings, those that this kit's papers use, in the order in which hands meet them."""
    say, rules = job.say, job.kit.house.thread
    values = {
        "over": max(each.panel.piece.pattern.overs[-1] for each in job.amounts.pieces),
        "plastic": any(piece.canvas.weave == "plastic" for piece in job.kit.pieces),
        "woven": any(piece.canvas.weave == "woven" for piece in job.kit.pieces),
        "needleful": rules.needleful_mm,
        "tail": rules.start_tail_mm,
    }
    rows = tuple(
        (say(f"glossary.{word}.word", **values), say(f"glossary.{word}.meaning", **values))
        for word in _words(job)
    )
    yield Heading(2, say("glossary.heading"))
    yield Table((say("glossary.word"), say("glossary.meaning")), rows, (0.2, 0.8), "ll")


def _words(job: Job) -> Iterator[str]:
    kinds = {line_kind(each.panel) for each in job.amounts.pieces}
    yield from ("hole", "bar", "column", "hole_row", "over")
    if kinds - {"charted"}:
        yield from ("group", "line")
    yield "row"
    if "rings" in kinds:
        yield "ring"
    yield from ("needleful", "tail", "run_under")
    if any(piece.finish.colour for piece in job.kit.pieces):
        yield "overcast"
    if any(piece.finish.seam for piece in job.kit.pieces):
        yield "seam"
