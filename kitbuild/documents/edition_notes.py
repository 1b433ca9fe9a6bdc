"""The proof's part on editions: the chart pages of each, and what stands otherwise in it than usual."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from kitbuild.base.blocks import Block, Heading, Paragraph, Table
from kitbuild.base.document import Sheet
from kitbuild.documents.chart_pages import whole_tiling
from kitbuild.documents.chart_plan import key
from kitbuild.documents.edition import Edition, editions
from kitbuild.documents.job import Job
from kitbuild.documents.words import listed


def edition_blocks(job: Job) -> Iterator[Block]:
    """A table of the editions on the proof's own paper; nothing where there is the usual one alone."""
    asked = list(editions(job.kit.house.editions))
    if len(asked) == 1:
        return
    say = job.say
    yield Heading(2, say("proof.editions.heading"))
    yield Paragraph(say("proof.editions.text"))
    header = tuple(say(f"proof.editions.{name}") for name in ("edition", "charts", "fallbacks"))
    yield Table(header, tuple(_row(job, each, job.sheet) for each in asked), (0.18, 0.4, 0.42), "lll")


def _row(job: Job, edition: Edition, paper: Sheet) -> tuple[str, str, str]:
    printed = replace(job, edition=edition, sheet=edition.sheet(paper))
    name = job.say("list.and").join(
        job.say(f"proof.editions.{word}") for word in edition.word.split(".")[1:] or ("usual",)
    )
    charts = "\n".join(_charts(printed))
    return name, charts, "\n".join(_fallbacks(printed)) or job.say("proof.editions.none")


def _charts(job: Job) -> Iterator[str]:
    for each in job.amounts.pieces:
        plan = whole_tiling(job, each.panel)
        yield job.say(
            "proof.editions.chart",
            piece=job.own(each.panel.piece.title),
            pages=len(plan.tiles),
            hole=plan.hole_mm,
        )


def _fallbacks(job: Job) -> Iterator[str]:
    """What stands otherwise than usual in the booklet and the sheet of an edition, each with its number."""
    say = job.say
    found = job.fallbacks[job.edition.word] if job.edition.fits else {}
    for word, count in sorted(found.items()):
        yield say(f"fallback.{word}", count_of=count)
    bare = [each.panel.piece.title for each in job.amounts.pieces if not key(job, each.panel.stitches)]
    if bare:
        yield say("fallback.strip", pieces=listed(job, [job.own(title) for title in bare]))
