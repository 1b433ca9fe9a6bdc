"""The facts of a kit for any shop's form: a page and a list in each language, to copy from field by field."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from kitbuild.base.blocks import Block, Heading, Paragraph, Table
from kitbuild.base.document import Column, Document, Listing
from kitbuild.documents.booklet import finished_text
from kitbuild.documents.job import Job
from kitbuild.documents.wording import Wording
from kitbuild.documents.words import contents, half_hours, listed, note_text
from kitbuild.production.weights import weighed
from kitbuild.quantity.grade import grade

NAME = "shop-facts"


@dataclass(frozen=True, slots=True)
class Fact:
    """One field: its id, what it is called, and its text, of which a new line begins a new entry."""

    field: str
    label: str
    text: str


def shop_facts(job: Job, suffix: str = "") -> Document:
    """The page of facts; `job` is for the screen."""
    return job.document(NAME, "shop", _blocks(job), suffix)


def shop_listing(first: Job, speak: tuple[Wording, ...]) -> Listing:
    """One row an entry, in each language: a field of several entries has a row for each of them."""
    told = ((say.language, each) for say in speak for each in facts(replace(first, say=say)))
    rows = [(language, replace(each, text=text)) for language, each in told for text in each.text.split("\n")]
    return Listing(
        f"{NAME}.csv",
        (
            Column("language", [language for language, _ in rows]),
            Column("field", [each.field for _, each in rows]),
            Column("label", [each.label for _, each in rows]),
            Column("text", [each.text for _, each in rows]),
        ),
    )


def _blocks(job: Job) -> Iterator[Block]:
    say = job.say
    yield Heading(1, say("shop.heading", title=job.own(job.kit.title)))
    yield Paragraph(say("shop.lead"))
    rows = tuple((each.label, each.text) for each in facts(job))
    yield Table((say("shop.field"), say("shop.text")), rows, (0.25, 0.75), "ll")
    yield Paragraph(say("shop.notes"), "small")


def facts(job: Job) -> Iterator[Fact]:
    """Every field that something is known of."""
    for field, text in (*_of_the_kit(job), *_of_the_parcel(job)):
        if text:
            yield Fact(field, job.say(f"shop.{field}"), text)


def _of_the_kit(job: Job) -> Iterator[tuple[str, str]]:
    kit, say = job.kit, job.say
    yield "name", job.own(kit.title)
    yield "code", say("shop.code.text", code=kit.code, edition=kit.edition)
    yield "about", job.own(kit.about)
    yield "sizes", "\n".join(_sizes(job))
    yield "contents", "\n".join(contents(job).items)
    yield "hours", say("fact.hours.text", hours=half_hours(job.amounts.hours))
    yield "difficulty", say(f"grade.{grade(job.amounts).level}")
    yield "age", say("fact.age.text", grade=kit.age_grade)
    yield "fibre", fibres(job)
    yield "care", job.own(kit.care)
    yield "cautions", "\n".join(_cautions(job))
    yield "credit", job.own(kit.licence.credit) if kit.licence else ""


def _sizes(job: Job) -> Iterator[str]:
    """The finished size of each piece."""
    for each in job.amounts.pieces:
        piece = each.panel.piece
        name = job.say("fact.piece", piece=job.own(piece.title), copies=piece.copies)
        yield job.say("shop.size", piece=name, size=finished_text(job, each))


def fibres(job: Job) -> str:
    """The fibres of the threads in words."""
    keys = sorted({colour.thread.fibre for colour in job.kit.palette})
    return job.say("run.labels.fibres", fibres=listed(job, [job.say(f"fibre.{each}") for each in keys]))


def _cautions(job: Job) -> Iterator[str]:
    """All notes, those on danger with their signal words."""
    for note in job.notes:
        signed = note.severity != "fact"
        signal = job.say(f"signal.{note.severity}") if signed else ""
        text = note_text(job, note)
        yield job.say("shop.caution", signal=signal, text=text) if signal else text


def _of_the_parcel(job: Job) -> Iterator[tuple[str, str]]:
    """What a shop and a parcel form ask for beside the kit itself."""
    kit, say, sale = job.kit, job.say, job.cost.first
    found = weighed(kit, job.picks)
    currency = kit.house.currency
    yield "origin", job.own(kit.house.labels.origin)
    if kit.box:
        length, width, height = kit.box.inside_mm
        values = {"title": job.own(kit.box.title), "length": length, "width": width, "height": height}
        yield "box", say("shop.box.text", **values)
    if found and found.total_mg is not None:
        yield "weight", say("weigh.grams", grams=found.total_mg / 1000)
    yield "price", say.speech.money(sale.paid_minor, currency)
    yield "net", say.speech.money(sale.net_minor, currency)
    yield "cost", say.speech.money(job.cost.total_minor, currency)
    yield "gtin", kit.gtin
    yield "tariff_code", kit.tariff_code
    yield "maker", "\n".join((kit.house.name, *kit.house.address, kit.house.contact))
