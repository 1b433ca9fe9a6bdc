"""The packing slip of thread that is sent after a box."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from kitbuild.base.blocks import Block, Caution, Heading, Ink, Paragraph, Patch, Steps, Table
from kitbuild.base.colour import parse_rgb
from kitbuild.base.document import Column, Document, Listing, Sheet
from kitbuild.documents.wording import Wording
from kitbuild.production.packing import PackedColour
from kitbuild.production.spares import Box, Spare
from kitbuild.spec.house import House


@dataclass(frozen=True, slots=True, eq=False)
class Slip:
    """What was sent with slip `number` for a colour of a box, to be printed in one language on one paper."""

    number: int
    box: Box
    colour: PackedColour
    spare: Spare
    house: House
    say: Wording
    sheet: Sheet

    @property
    def name(self) -> str:
        """The slip's file name without its suffix."""
        return f"spare-{self.number:04}"


def spare_slip(slip: Slip) -> Document:
    """The slip: what is sent, what it belongs to, and a plain warning where it is of another lot."""
    say = slip.say
    title = say("spare.title", number=slip.number, box=slip.box.name)
    return Document(
        name=slip.name,
        title=title,
        code=slip.box.kit.kit,
        edition=slip.box.kit.edition,
        language=say.language,
        sheet=slip.sheet,
        blocks=tuple(_blocks(slip)),
        footer=say("run.footer", title=title),
        author=slip.house.name,
    )


def _blocks(slip: Slip) -> Iterator[Block]:
    say, box, colour, spare = slip.say, slip.box, slip.colour, slip.spare
    yield Heading(1, say("spare.heading", box=box.name))
    yield Paragraph(
        say("spare.lead", needlefuls=spare.needlefuls, colour=say.own(colour.name), day_sent=spare.day),
        "lead",
    )
    if not spare.same:
        words = say("spare.other", lot=spare.lot, box_lot=spare.box_lot)
        yield Caution(say("signal.notice"), words, "notice")
    names = ("colour", "thread", "needlefuls", "length", "lot")
    header = tuple(say(f"spare.column.{name}") for name in names)
    row = (
        Patch(Ink(parse_rgb(f"#{colour.rgb}"), colour.symbol), say.own(colour.name)),
        f"{say.own(colour.title)} ({colour.item})",
        str(spare.needlefuls),
        say("spare.length", length_mm=colour.needleful / 100),
        spare.lot,
    )
    yield Table(header, (row,), (0.2, 0.36, 0.14, 0.16, 0.14), "llrll", "", "big")
    yield Heading(2, say("spare.box"))
    yield Steps(tuple(_belongs(slip)), "dot")
    yield Heading(2, say("spare.pack"))
    yield Steps(tuple(_packing(slip)), "tick")
    yield Paragraph(say("list.comma").join((slip.house.name, *slip.house.address, slip.house.contact)))


def _belongs(slip: Slip) -> Iterator[str]:
    say, box = slip.say, slip.box
    yield say("spare.kit", title=say.own(box.kit.title), code=box.kit.kit, edition=box.kit.edition)
    yield say("spare.run", run=box.run, order=box.order)
    yield say("spare.lot", lot=slip.spare.box_lot)


def _packing(slip: Slip) -> Iterator[str]:
    """What the packer does, in this order."""
    say, spare = slip.say, slip.spare
    values = {"item": spare.item, "lot": spare.lot, "bin": spare.bin}
    yield say("spare.open" if spare.put_ups else "spare.rest", put_ups=spare.put_ups, **values)
    yield say("spare.cut", needlefuls=spare.needlefuls, length_mm=slip.colour.needleful / 100)
    if spare.rest:
        yield say("spare.keep", rest=spare.rest, **values)


def spare_listing(slip: Slip) -> Listing:
    """The slip as one row; `same_lot` says whether it is the lot that lies in the box."""
    box, colour, spare = slip.box, slip.colour, slip.spare
    row = {
        "slip": slip.number,
        "day": spare.day,
        "box": box.name,
        "run": box.run,
        "order": box.order,
        "kit": box.kit.kit,
        "edition": box.kit.edition,
        "colour": colour.colour,
        "symbol": colour.symbol,
        "thread": spare.item,
        "lot": spare.lot,
        "box_lot": spare.box_lot,
        "same_lot": "yes" if spare.same else "no",
        "bin": spare.bin,
        "needlefuls": spare.needlefuls,
        "needleful_mm": colour.needleful / 100,
        "put_ups": spare.put_ups,
        "rest": spare.rest,
    }
    decimals = {"needleful_mm": 2}
    return Listing(
        f"{slip.name}.csv", tuple(Column(name, [value], decimals.get(name)) for name, value in row.items())
    )
