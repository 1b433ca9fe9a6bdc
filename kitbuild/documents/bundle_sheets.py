"""Bundles of thread made ahead: the list to make them by, and the card that goes with each."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from kitbuild.base.blocks import (
    Block,
    Cell,
    Heading,
    PageBreak,
    Paragraph,
    PolygonMark,
    Steps,
    Table,
    TextBoxMark,
    TextMark,
    TickBox,
)
from kitbuild.base.colour import BLACK, ink_on
from kitbuild.base.document import SHEETS, Column, Document, Listing, Sheet
from kitbuild.documents.job import Job
from kitbuild.documents.run_labels import LEAST_PT, PAD_MM, Label, label_pages
from kitbuild.documents.words import patch, pick_unit
from kitbuild.production.bundles import Bundle, Making
from kitbuild.production.packing import PackedColour
from kitbuild.spec.house import LabelStock

_HEAD_MM = 13.0
_ROW_MM = 7.0


@dataclass(frozen=True, slots=True, eq=False)
class MakingJob:
    """A making with the job of its kit, in the workshop's language on one of its papers."""

    making: Making
    job: Job

    def on(self, sheet: Sheet) -> MakingJob:
        """The same on another sheet."""
        return replace(self, job=replace(self.job, sheet=sheet))

    def unit(self, colour: str, number: int = 1) -> str:
        """What a colour's thread is counted in, for so many."""
        pick = next(pick for pick in self.job.picks if pick.colour and pick.colour.key == colour)
        return pick_unit(self.job, pick, number)

    def document(self, name: str, kind: str, sheet: Sheet, blocks: tuple[Block, ...]) -> Document:
        """A document of the making; `kind` is the id of its title."""
        kit, say = self.making.kit, self.job.say
        title = say(f"bundle.{kind}.title", code=kit.kit, making=self.making.name)
        return Document(
            name=name,
            title=title,
            code=kit.kit,
            edition=kit.edition,
            language=say.language,
            sheet=sheet,
            blocks=blocks,
            footer=say("run.footer", title=title),
            author=self.job.kit.house.name,
        )


def making_list(job: MakingJob) -> Document:
    """What to take from which bin, and which lots the bundles are of."""
    return job.document("making-list", "list", job.job.sheet, tuple(_blocks(job)))


def _blocks(job: MakingJob) -> Iterator[Block]:
    say, making = job.job.say, job.making
    kit = making.kit
    yield Heading(1, say("bundle.heading", code=kit.kit, making=making.name))
    title = job.job.own(kit.title)
    yield Paragraph(say("bundle.lead", made=making.made, title=title, edition=kit.edition), "lead")
    if making.made < making.wanted:
        lacks = say("list.comma").join(making.lacks)
        yield Paragraph(say("bundle.short", waits=making.wanted - making.made, lacks=lacks))
    names = ("done", "bin", "colour", "thread", "lot", "each", "take", "unit")
    header = tuple(say(f"bundle.column.{name}") for name in names)
    yield Table(
        header, tuple(_take_rows(job)), (0.07, 0.1, 0.2, 0.16, 0.13, 0.11, 0.1, 0.13), "lllllrrl", "", "big"
    )
    yield Heading(2, say("bundle.lots"))
    names = ("bundles", "card", "holds")
    header = tuple(say(f"bundle.column.{name}") for name in names)
    rows = tuple((str(many), bundle.lot, _held(job, bundle)) for bundle, many in making.lots)
    yield Table(header, rows, (0.12, 0.2, 0.68), "rll", "", "big")
    yield Steps((say("bundle.one_lot"), say("bundle.card"), say("bundle.post", code=kit.kit)), "tick")
    yield Paragraph(say("pick.sign"))


def _take_rows(job: MakingJob) -> Iterator[tuple[Cell, ...]]:
    for line in sorted(job.making.lines, key=lambda line: (line.bin, line.number)):
        yield (
            TickBox(),
            line.bin,
            patch(job.job, line.colour),
            line.item,
            line.lot or "",
            str(line.per_kit),
            str(line.quantity),
            job.unit(line.colour, line.quantity),
        )


def _held(job: MakingJob, bundle: Bundle) -> str:
    """The lots of all colours of a bundle in words."""
    say = job.job.say
    parts = [
        say("bundle.part", colour=job.job.own(each.name), lot=bundle.lots[each.colour])
        for each in job.making.kit.colours
    ]
    return say("list.joiner").join(parts)


def making_listing(job: MakingJob) -> Listing:
    """One row a colour of each lot of bundles: which thread lot, how much of it."""
    making = job.making
    each_of = {line.colour: line.per_kit for line in making.lines}
    rows = [(bundle, many, colour) for bundle, many in making.lots for colour in making.kit.colours]
    return Listing(
        "making-list.csv",
        (
            Column("making", [making.name] * len(rows)),
            Column("kit", [making.kit.kit] * len(rows)),
            Column("edition", [making.kit.edition] * len(rows)),
            Column("bundle_lot", [bundle.lot for bundle, _, _ in rows]),
            Column("bundles", [many for _, many, _ in rows]),
            Column("colour", [colour.colour for _, _, colour in rows]),
            Column("thread", [colour.item for _, _, colour in rows]),
            Column("lot", [bundle.lots[colour.colour] for bundle, _, colour in rows]),
            Column("needlefuls", [colour.needlefuls for _, _, colour in rows]),
            Column("per_bundle", [each_of[colour.colour] for _, _, colour in rows]),
            Column("quantity", [many * each_of[colour.colour] for _, many, colour in rows]),
            Column("unit", [job.unit(colour.colour) for _, _, colour in rows]),
        ),
    )


def cards(job: MakingJob) -> Document:
    """A card for each bundle, on sheets of box labels."""
    labels, say = job.job.kit.house.labels, job.job.say
    paper = SHEETS[labels.paper or job.job.kit.house.papers[0]]
    sheet = Sheet(paper.name, paper.width_mm, paper.height_mm, 0.0, 0.0)
    made = [card(job, bundle, labels.box) for bundle, many in job.making.lots for _ in range(many)]

    def alt(many: int) -> str:
        return say("bundle.cards.alt", cards=many, code=job.making.kit.kit)

    blocks: list[Block] = []
    for page in label_pages(alt, sheet, labels.box, made):
        blocks += [PageBreak(), page] if blocks else [page]
    return replace(job.document("cards", "cards", sheet, tuple(blocks)), footer="")


def card(job: MakingJob, bundle: Bundle, stock: LabelStock) -> Label:
    """The kit and the bundle's lot, then each colour with its symbol, needlefuls and dye lot."""
    say, kit = job.job.say, job.making.kit
    wide = stock.width_mm - 2 * PAD_MM
    words = say("bundle.card.lot", code=kit.kit, edition=kit.edition, lot=bundle.lot)
    marks: Label = [
        TextBoxMark(PAD_MM, PAD_MM, wide, 6.5, job.job.own(kit.title), 12.0, LEAST_PT, True),
        TextBoxMark(PAD_MM, PAD_MM + 7.0, wide, 5.0, words, 8.0, LEAST_PT),
    ]
    high = min(_ROW_MM, (stock.height_mm - 2 * PAD_MM - _HEAD_MM) / len(kit.colours))
    for at, colour in enumerate(kit.colours):
        lot = bundle.lots[colour.colour]
        marks += _card_row(job, colour, lot, (PAD_MM, PAD_MM + _HEAD_MM + at * high), wide, high)
    return marks


def _card_row(
    job: MakingJob, colour: PackedColour, lot: str, corner: tuple[float, float], wide: float, high: float
) -> Label:
    left, top = corner
    ink, side = job.job.ink(colour.colour), 0.86 * high
    square = [(left + x, top + y) for x, y in ((0, 0), (side, 0), (side, side), (0, side))]
    middle, drop = left + side / 2, max(0.0, (side - 3.4) / 2)
    text = job.job.say(
        "bundle.card.row",
        colour=job.job.own(colour.name),
        needlefuls=colour.needlefuls,
        item=colour.item,
        lot=lot,
    )
    return [
        PolygonMark(tuple(square), fill=ink.rgb, outline=BLACK),
        TextMark(middle, top + side / 2 + 0.23 * side, ink.symbol, 1.9 * side, "middle", ink_on(ink.rgb)),
        TextBoxMark(left + side + 1.5, top + drop, wide - side - 1.5, high - drop, text, 8.0, LEAST_PT),
    ]
