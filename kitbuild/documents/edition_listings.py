"""Open data that tells two editions of a kit apart: facts, palette, cautions, cost, and what is printed."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from typing import Final

from kitbuild.base.blocks import Block, Caution, Cell, Figure, Grid, Heading, Paragraph, Steps, Table
from kitbuild.base.document import Column, Document, Listing
from kitbuild.base.scene import Scene
from kitbuild.base.units import money_text
from kitbuild.documents.job import Job
from kitbuild.documents.price_tables import prices
from kitbuild.documents.wording import Wording
from kitbuild.documents.words import note_text, pick_unit
from kitbuild.production.picks import Pick
from kitbuild.production.weights import weighed
from kitbuild.quantity.amounts import PieceAmounts

LISTS: Final = ("pick-list", "cut-list")
"""Workshop papers that are listings too."""
KEPT_WITH_BOXES: Final = ("chart-booklet", "instructions", "pick-list", "cut-list")
"""Documents that lie about in print while kits are packed and sold, so that an edition can outlive them."""


def edition_listings(
    job: Job,
    speak: tuple[Wording, ...],
    documents: tuple[Document, ...],
    screens: tuple[Document, ...],
    pictures: Mapping[str, Scene],
) -> tuple[Listing, ...]:
    """The listings by which two editions are compared: what a kit is, what it says, and in which files."""
    kept = [each for each in documents if _base(each) in KEPT_WITH_BOXES]
    told = {each.name: each for each in (*screens, *kept) if each.name == _told_by(each, speak)}
    return (
        *(facts(job), palette(job), cautions(job, speak), cost(job), prices(job)),
        wording_listing(job, speak, told.values(), pictures),
        documents_listing(job, speak, kept, screens, pictures),
    )


def _base(document: Document) -> str:
    return document.name.split(".")[0]


def _told_by(document: Document, speak: tuple[Wording, ...]) -> str:
    """The document whose texts a document has: that of its language and hand, on the first paper."""
    name, *words = document.name.split(".")
    told = ("left", *(say.language for say in speak))
    return ".".join((name, *(word for word in words if word in told)))


def documents_listing(
    job: Job,
    speak: tuple[Wording, ...],
    printed: Iterable[Document],
    shown: Iterable[Document],
    pictures: Mapping[str, Scene],
) -> Listing:
    """One row a file that is read or seen: `document` is the one in wording.csv whose texts it has.

    `shows` tells two drawings of a picture apart; it is empty for documents.
    """
    rows = [
        (f"{each.name}.{suffix}", _told_by(each, speak), each.language, each.sheet.name, "")
        for some, suffix in ((printed, "pdf"), (shown, "html"))
        for each in some
    ]
    rows += [
        (f"{name}.{suffix}", name, job.say.language, "", _digest(scene))
        for name, scene in pictures.items()
        for suffix in ("svg", "png")
    ]
    names = ("file", "document", "language", "sheet", "shows")
    return Listing(
        "documents.csv", tuple(Column(name, [row[at] for row in rows]) for at, name in enumerate(names))
    )


def _digest(scene: Scene) -> str:
    """SHA-256 of all faces of a picture, in hex."""
    size = repr((scene.width_mm, scene.height_mm)).encode("ascii")
    return hashlib.sha256(size + scene.quads.tobytes() + scene.rgb.tobytes()).hexdigest()


def facts(job: Job) -> Listing:
    """What a kit is: one row a fact."""
    kit = job.kit
    rows = (
        ("code", kit.code),
        ("title", kit.title),
        ("edition", str(kit.edition)),
        ("date", kit.date),
        ("age_grade", kit.age_grade),
        ("toy", "" if kit.toy is None else "yes" if kit.toy else "no"),
        ("policy", kit.policy),
        ("price", _amount(kit.price_minor, kit.house.currency)),
        ("currency", kit.house.currency),
        ("gtin", kit.gtin),
        ("untested", " ".join(kit.untested.split())),
        ("maker", kit.house.name),
        ("language", job.say.language),
        ("paper", job.sheet.name),
        ("hours", f"{job.amounts.hours:.1f}"),
        ("box", kit.box.key if kit.box else ""),
        ("packed_weight_g", _packed_weight(job)),
    )
    return Listing(
        "kit.csv", (Column("fact", [name for name, _ in rows]), Column("value", [v for _, v in rows]))
    )


def _packed_weight(job: Job) -> str:
    """The weight of the packed box in grams, "" where it is not known."""
    found = weighed(job.kit, job.picks)
    return f"{found.total_mg / 1000:.3f}" if found and found.total_mg is not None else ""


def palette(job: Job) -> Listing:
    """One row a colour: how it is drawn and called, and the thread that it is worked in."""
    colours = job.kit.palette
    threads = [colour.thread for colour in colours]
    return Listing(
        "palette.csv",
        (
            Column("colour", [colour.key for colour in colours]),
            Column("name", [colour.name for colour in colours]),
            Column("rgb", ["#{:02x}{:02x}{:02x}".format(*colour.rgb) for colour in colours]),
            Column("symbol", [colour.symbol_name for colour in colours]),
            Column("thread", [thread.key for thread in threads]),
            Column("title", [thread.title for thread in threads]),
            Column("put_up", [thread.put_up for thread in threads]),
            Column("put_up_mm", [thread.put_up_mm for thread in threads], 2),
        ),
    )


def cautions(job: Job, speak: tuple[Wording, ...]) -> Listing:
    """One row a note and language."""
    rows = [(note, say, note_text(_in(job, say), note)) for say in speak for note in job.notes]
    return Listing(
        "cautions.csv",
        (
            Column("note", [note.id for note, _, _ in rows]),
            Column("severity", [note.severity for note, _, _ in rows]),
            Column("language", [say.language for _, say, _ in rows]),
            Column("text", [text for _, _, text in rows]),
        ),
    )


def cost(job: Job) -> Listing:
    """One row a line of the cost of a box, then packing and total; the price, tax, fee and royalty, margin.

    Price to margin are those of the workshop's first channel; what is not taken off has no row.
    """
    kit, costs, sale = job.kit, job.cost, job.cost.first
    rows: list[tuple[object, ...]] = [
        (pick.kind, pick.item, *_for(pick), pick.quantity, pick_unit(job, pick), minor)
        for pick, minor in costs.lines
    ]
    sums = {"packing": costs.packing_minor, "total": costs.total_minor}
    taken = {"tax": sale.tax_minor, "fee": sale.fee_minor, "royalty": sale.royalty_minor}
    sums |= {"price": sale.paid_minor, **{name: minor for name, minor in taken.items() if minor}}
    sums["margin"] = costs.margin_minor
    rows += [(name, "", "", "", "", "", minor) for name, minor in sums.items()]
    names = ("what", "item", "colour", "piece", "quantity", "unit")
    columns = [Column(name, [row[at] for row in rows]) for at, name in enumerate(names)]
    columns.append(Column("amount", [_amount(int(str(row[-1])), kit.house.currency) for row in rows]))
    return Listing("cost.csv", (*columns, Column("currency", [kit.house.currency] * len(rows))))


def _for(pick: Pick) -> tuple[str, str]:
    """The palette colour and the piece that a line is for, "" for none."""
    piece = pick.source.panel.piece.key if isinstance(pick.source, PieceAmounts) else ""
    return pick.colour.key if pick.colour else "", piece


def wording_listing(
    job: Job, speak: tuple[Wording, ...], documents: Iterable[Document], pictures: Mapping[str, Scene]
) -> Listing:
    """One row a text of the papers, in reading order; `…` stands where one names the edition.

    What the rows of the workshop's lists say is in the listings of their names.
    """
    rows = []
    for document in documents:
        say = next(say for say in speak if say.language == document.language)
        named = tuple(_edition_texts(_in(job, say)))
        for kind, text in texts(document.blocks, rows=_base(document) not in LISTS):
            rows.append((document.name, document.language, kind, _without(text, named)))
    rows += [(name, each.language, "figure", each.alt) for name, each in pictures.items()]
    names = ("document", "language", "kind", "text")
    return Listing(
        "wording.csv", tuple(Column(name, [row[at] for row in rows]) for at, name in enumerate(names))
    )


def _amount(minor: int, currency: str) -> str:
    """An amount without its currency, with a point for decimals."""
    return money_text(minor, currency).split()[0]


def _in(job: Job, say: Wording) -> Job:
    return replace(job, say=say)


def _edition_texts(job: Job) -> Iterator[tuple[str, str]]:
    """Each sentence that names the edition as it is printed, and with `…` for its edition and date.

    The foot of each page, which names it too, is no text of the pages.
    """
    kit, say = job.kit, job.say
    values = {"code": kit.code, "title": job.own(kit.title), "edition": kit.edition}
    named = (
        say("cover.edition", **values, date=kit.date),
        say("pick.lead", **values, date=kit.date),
        say("pick.booklet", **values),
        say("pick.sheet", **values),
        say("pick.watch.edition", **values),
        say("pick.order.printed", **values),
        say("cut.lead", **values),
        say("shop.code.text", **values),
    )
    yield from ((told, f"{kit.code} …") for told in named)


def _without(text: str, named: Iterable[tuple[str, str]]) -> str:
    for told, instead in named:
        text = text.replace(told, instead)
    return text


def texts(blocks: Iterable[Block], *, rows: bool = True) -> Iterator[tuple[str, str]]:
    """Kind and words of every text in blocks, each in one line, in reading order; empty ones are left out.

    Without `rows` the header and caption of a table stand for it.
    """
    for block in blocks:
        for kind, text in _texts(block, rows=rows):
            if line := " ".join(text.split()):
                yield kind, line


def _texts(block: Block, *, rows: bool) -> Iterator[tuple[str, str]]:
    match block:
        case Heading() | Paragraph():
            yield type(block).__name__.lower(), block.text
        case Steps():
            yield from (("step", item) for item in block.items)
        case Table():
            yield "table", block.caption
            told = (block.header, *(block.rows if rows else ()))
            yield from (("table", " | ".join(map(_cell, row))) for row in told)
        case Caution():
            yield "caution", f"{block.signal} {block.text}"
        case Figure():
            yield from (("figure", text) for text in (block.caption, block.alt))
        case Grid():
            for cell in block.cells:
                yield from texts(cell, rows=rows)
        case _:
            return


def _cell(cell: Cell) -> str:
    return cell if isinstance(cell, str) else cell.text
