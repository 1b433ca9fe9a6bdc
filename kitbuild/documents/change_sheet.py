"""The sheet of changes between two editions: what they mean first, then every difference."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from kitbuild.base.blocks import Block, Heading, Paragraph, Steps, Table
from kitbuild.base.document import SCREEN, SHEETS, Document, Sheet
from kitbuild.documents.again_blocks import Remade, hindrances, used_blocks
from kitbuild.documents.change_papers import papers_table
from kitbuild.documents.change_tables import change_blocks
from kitbuild.documents.job import guide
from kitbuild.documents.unit_words import listed_unit
from kitbuild.documents.wording import Wording
from kitbuild.production.changes import Changes
from kitbuild.production.consequences import Consequences, Exchange, Reason
from kitbuild.production.opened import Opened
from kitbuild.production.stock import Stale


@dataclass(frozen=True, slots=True, eq=False)
class Comparison:
    """Two editions compared, in the language that their workshop reads, for paper or for a screen.

    `remade` is there where the later one is the earlier one, made again from what there is today. `stale` is
    printed matter in stock of editions before the new one, None where no stock is known.
    """

    found: Changes
    means: Consequences
    say: Wording
    screen: bool = False
    remade: Remade | None = None
    stale: tuple[Stale, ...] | None = None

    @property
    def sheet(self) -> Sheet:
        """The workshop's paper; A4 where it names none that there is."""
        return SCREEN if self.screen else SHEETS.get(self.found.new.facts["paper"], SHEETS["A4"])


def change_sheet(job: Comparison) -> Document:
    """The sheet of changes, for the workshop."""
    facts, say = job.found.new.facts, job.say
    title = say("edition.title", title=facts["title"])
    braced = title.replace("{", "{{").replace("}", "}}")
    on = {"code": facts["code"], "edition": facts["edition"]}
    return Document(
        name="change-sheet",
        title=title,
        code=facts["code"],
        edition=job.found.new.edition,
        language=say.language,
        sheet=job.sheet,
        blocks=tuple(_blocks(job)),
        footer=say("screen.footer", title=title, **on)
        if job.screen
        else say("page.footer", title=braced, **on),
        author=facts.get("maker", ""),
        date=facts["date"],
        guide=guide(say) if job.screen else None,
    )


def _blocks(job: Comparison) -> Iterator[Block]:
    say, found = job.say, job.found
    old, new = found.old.facts, found.new.facts
    yield Heading(1, say("edition.heading", title=new["title"]))
    yield Paragraph(_lead(job), "lead")
    if found.printed and old["edition"] == new["edition"]:
        yield Paragraph(say("edition.unraised", edition=new["edition"]))
    if _versions(found.old, found.new):
        yield Paragraph(say("edition.versions", old=found.old.version, new=found.new.version))
    if job.remade:
        yield from hindrances(say, job.remade)
    if found.any or found.numbered:
        yield Heading(2, say("edition.means.heading"))
        yield from _means(job)
    elif not (job.remade and job.remade.faults):
        yield Paragraph(say("edition.again.same" if job.remade else "edition.nothing"))
    yield from _shelf(job)
    if job.remade:
        yield from used_blocks(say, job.remade, (old["currency"], new["currency"]))
    yield from change_blocks(say, found, job.sheet)


def _shelf(job: Comparison) -> Iterator[Block]:
    """What is to be written off: printed matter of earlier editions; nothing where no stock is known."""
    say = job.say
    if job.stale is None:
        return
    yield Heading(3 if job.found.any or job.found.numbered else 2, say("edition.shelf.heading"))
    if not job.stale:
        yield Paragraph(say("edition.shelf.none", edition=job.found.new.edition))
        return
    total = sum(each.lot.quantity for each in job.stale)
    yield Paragraph(say("edition.shelf.text", total=total))
    header = tuple(say(f"edition.shelf.{name}") for name in ("item", "lot", "bin", "quantity"))
    lots = [each.lot for each in job.stale]
    rows = tuple((lot.item, lot.lot, lot.bin, str(lot.quantity)) for lot in lots)
    yield Table(header, rows, (0.35, 0.3, 0.2, 0.15), "lllr")


def _lead(job: Comparison) -> str:
    """Which editions of which kit are compared."""
    say, old, new = job.say, job.found.old.facts, job.found.new.facts
    if job.remade and job.remade.kept:
        return say("edition.lead.again", code=old["code"], edition=old["edition"], date=old["date"])
    if not job.found.numbered:
        return say("edition.lead.same", code=new["code"], edition=new["edition"], date=new["date"])
    return say(
        "edition.lead",
        code=new["code"],
        old=old["edition"],
        old_date=old["date"],
        new=new["edition"],
        new_date=new["date"],
    )


def _versions(old: Opened, new: Opened) -> bool:
    return bool(old.version and new.version and old.version != new.version)


def _means(job: Comparison) -> Iterator[Block]:
    say, means = job.say, job.means
    old = job.found.old.edition
    yield Heading(3, say("edition.papers.heading"))
    yield papers_table(say, means.papers)
    yield Heading(3, say("edition.boxes.heading"))
    yield Paragraph(say(f"edition.verdict.{means.verdict}", old=old))
    if means.reasons:
        yield Steps(tuple(_reason(say, reason) for reason in means.reasons), "dot")
    if means.exchange:
        yield Heading(3, say("edition.exchange.heading"))
        header = tuple(say(f"edition.exchange.{name}") for name in ("what", "in", "out"))
        rows = tuple(_exchanged(job.say, each) for each in means.exchange)
        yield Table(header, rows, (0.6, 0.2, 0.2), "lrr")
    yield from _buy(job)


def _reason(say: Wording, reason: Reason) -> str:
    values = dict(reason.values)
    if "unit" in values:
        number = int(str(values.get("add", values.get("count"))))
        values["counted"] = listed_unit(say, str(values["unit"])).counted(say, number)
    return say(f"edition.box.{reason.id}", **values)


def _exchanged(say: Wording, each: Exchange) -> tuple[str, str, str]:
    count = listed_unit(say, each.unit).counted(say, abs(each.quantity))
    return each.title, count if each.quantity > 0 else "", count if each.quantity < 0 else ""


def _buy(job: Comparison) -> Iterator[Block]:
    say, means = job.say, job.means
    if not any(each.quantity > 0 for each in means.exchange):
        return
    yield Heading(3, say("edition.buy.heading"))
    if means.packed is None:
        yield Paragraph(say("edition.buy.one"))
    else:
        yield Paragraph(say("edition.buy.all", packed=means.packed))
    if not means.buy:
        yield Paragraph(say("edition.buy.nothing"))
        return
    header = (say("edition.exchange.what"), say("edition.buy.quantity"))
    rows = tuple((each.title, listed_unit(say, each.unit).counted(say, each.quantity)) for each in means.buy)
    yield Table(header, rows, (0.75, 0.25), "lr")
