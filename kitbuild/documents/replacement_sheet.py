"""The replacement sheet: what changes when another thread or canvas takes the place of one."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from kitbuild.base.blocks import Block, Cell, Heading, Ink, Paragraph, Patch, Steps, Table
from kitbuild.base.document import Document, Guide, Sheet
from kitbuild.documents.unit_words import Unit
from kitbuild.documents.wording import Wording
from kitbuild.production.replacing import Replaced, Touched, apart, nearest
from kitbuild.quantity.amounts import PieceAmounts
from kitbuild.quantity.needle import needlefuls_in_put_up
from kitbuild.quantity.thread import Use
from kitbuild.spec.house import House
from kitbuild.spec.materials import Canvas, Thread
from kitbuild.spec.records import Colour, Kit

Row = tuple[Cell, ...]
_DOT = "●"
"""Stands on the patch of a thread, which has no symbol outside a kit."""


@dataclass(frozen=True, slots=True, eq=False)
class ReplacementJob:
    """A replacement ready to be told in one language on one sheet."""

    found: Replaced
    house: House
    say: Wording
    sheet: Sheet

    def on(self, sheet: Sheet) -> ReplacementJob:
        """The same for another sheet."""
        return replace(self, sheet=sheet)

    def money(self, minor: int) -> str:
        """An amount in the workshop's currency."""
        return self.say.speech.money(minor, self.house.currency)


def replacement_sheet(job: ReplacementJob) -> Document:
    """The sheet, for the workshop."""
    say, old = job.say, job.found.old
    title = say("replaced.title", old=old.key, new=job.found.new.key)
    screen = job.sheet.endless
    return Document(
        name="replacement",
        title=title,
        code=old.key,
        edition=0,
        language=say.language,
        sheet=job.sheet,
        blocks=tuple(_blocks(job)),
        footer=title if screen else say("run.footer", title=title),
        author=job.house.name,
        guide=Guide(*(say(f"screen.{word}") for word in ("skip", "contents", "scroll"))) if screen else None,
    )


def _blocks(job: ReplacementJob) -> Iterator[Block]:
    say, found = job.say, job.found
    yield Heading(1, say("replaced.heading", old=found.old.key, new=found.new.key))
    why = say.own(found.replacement.why)
    yield Paragraph(say("replaced.lead", date=found.replacement.begins, why=why), "lead")
    if found.new.replaced_by:
        by = found.new.replaced_by
        yield Paragraph(say("replaced.further", new=found.new.key, key=by.key, date=by.begins))
    yield from _materials(job)
    if not found.touched:
        yield Paragraph(say("replaced.no_kit"))
    else:
        yield from _colours(job)
        yield from _needs(job)
        yield from _sizes(job)
        yield from _costs(job)
        yield from _warnings(job)
        yield from _papers(job)
    yield from _stock(job)
    yield from _packed(job)


def _materials(job: ReplacementJob) -> Iterator[Block]:
    """The two materials side by side."""
    say, found = job.say, job.found
    old, new = found.old, found.new
    if isinstance(old, Thread) and isinstance(new, Thread):
        rows = [(say(f"replaced.thread.{name}"), *_both(job, name, old, new)) for name in _THREAD]
    else:
        rows = [(say(f"replaced.canvas.{name}"), *_both(job, name, old, new)) for name in _CANVAS]
    header = (say("replaced.what"), say("replaced.old"), say("replaced.new"))
    yield Table(header, tuple(rows), (0.3, 0.35, 0.35), "lll")


_THREAD = ("key", "title", "colour", "fibre", "thickness", "put_up", "needlefuls", "price", "bin")
_CANVAS = ("key", "title", "pitch", "holes", "thickness", "stock", "bin")


def _both(job: ReplacementJob, name: str, *materials: Thread | Canvas) -> tuple[Cell, ...]:
    return tuple(_value(job, name, each) for each in materials)


def _value(job: ReplacementJob, name: str, of: Thread | Canvas) -> Cell:
    """What a material says of itself under one of the names."""
    say = job.say
    if name in ("key", "bin"):
        return str(getattr(of, name))
    if name == "title":
        return say.own(of.title)
    if name == "thickness":
        return say("replaced.mm", mm=of.thickness_mm)
    if isinstance(of, Canvas):
        return _of_canvas(job, name, of)
    if name == "colour":
        return Patch(Ink(of.rgb, _DOT), say.own(of.colour_name))
    if name == "fibre":
        return say(f"fibre.{of.fibre}")
    if name == "put_up":
        return say("replaced.put_up", put_up=say.own(of.put_up), length=of.put_up_mm)
    if name == "needlefuls":
        return str(needlefuls_in_put_up(of, job.house.thread.needleful_mm))
    return job.money(of.cost_minor)


def _of_canvas(job: ReplacementJob, name: str, of: Canvas) -> str:
    """How far its holes lie apart, how many of them lie in a length, and what it comes in."""
    say = job.say
    if name == "pitch":
        return say("replaced.pitch", mm=of.pitch_mm)
    if name == "holes":
        return say("replaced.holes", holes=100 / of.pitch_mm)
    sizes = [(stock.columns, stock.rows) for stock in of.stock]
    return say("list.comma").join(say("size.holes", columns=columns, rows=rows) for columns, rows in sizes)


def _colours(job: ReplacementJob) -> Iterator[Block]:
    """How far the colours lie apart, and what is most like each of them in every kit."""
    say, found = job.say, job.found
    if not (isinstance(found.old, Thread) and isinstance(found.new, Thread)):
        return
    yield Heading(2, say("replaced.colours.heading"))
    full, *some = apart(found.old, found.new).values()
    yield Paragraph(say("replaced.colours.text", full=full, most=max(some), least=min(some)))
    header = tuple(say(f"replaced.colours.{name}") for name in ("kit", "colour", "before", "after"))
    rows = []
    for each in found.touched:
        if each.colour and each.new_colour and each.after:
            after = _nearest(job, each.new_colour, each.after.amounts.kit)
            before = _nearest(job, each.colour, each.kit)
            rows.append((_kit(job, each), say.own(each.colour.name), before, after))
    if rows:
        yield Table(header, tuple(rows), (0.2, 0.2, 0.3, 0.3), "llll", say("replaced.colours.caption"))


def _nearest(job: ReplacementJob, colour: Colour, kit: Kit) -> str:
    found = nearest(colour, kit)
    if found is None:
        return job.say("replaced.none")
    other, least = found
    return job.say("replaced.colours.nearest", colour=job.say.own(other.name), least=least)


def _needs(job: ReplacementJob) -> Iterator[Block]:
    """The thread of one box anew."""
    say = job.say
    rows = []
    for each in job.found.touched:
        for need in each.needs:
            before, after = need.before, need.after
            rows.append(
                (
                    _kit(job, each),
                    Patch(Ink(after.colour.rgb, after.colour.symbol), say.own(after.colour.name)),
                    _arrow(job, _needlefuls(job, before), _needlefuls(job, after)),
                    _arrow(job, _packs(job, before), _packs(job, after)),
                    _arrow(job, *map(job.money, need.costs_minor)),
                )
            )
    yield Heading(2, say("replaced.need.heading"))
    if not rows:
        yield Paragraph(say("replaced.need.same"))
        return
    tested = any(each.before.amounts.found for each in job.found.touched)
    yield Paragraph(say("replaced.need.text", tested=tested))
    names = ("kit", "colour", "needlefuls", "put_ups", "cost")
    header = tuple(say(f"replaced.need.{name}") for name in names)
    yield Table(header, tuple(rows), (0.16, 0.18, 0.2, 0.22, 0.24), "lllll")


def _needlefuls(job: ReplacementJob, use: Use) -> str:
    return job.say("replaced.need.count", needlefuls=use.needlefuls, spare=use.spare)


def _packs(job: ReplacementJob, use: Use) -> str:
    """What goes into the box of a colour."""
    if use.colour.thread.packed == "needlefuls":
        return Unit("needleful").counted(job.say, use.packed)
    return Unit(use.colour.thread.put_up, own=True).counted(job.say, use.put_ups)


def _arrow(job: ReplacementJob, before: str, after: str) -> str:
    """The old and the new, or that it stays."""
    if before == after:
        return job.say("replaced.stays", what=before)
    return job.say("replaced.becomes", before=before, after=after)


def _sizes(job: ReplacementJob) -> Iterator[Block]:
    """The pieces that come out in another size, and how they fit."""
    say = job.say
    rows: list[Row] = []
    for each in job.found.touched:
        for one, other in each.resized:
            title = say.own(one.panel.piece.title)
            finished = (
                _mm(job, side.sizes.finished.width_mm, side.sizes.finished.height_mm) for side in (one, other)
            )
            blanks = (
                say("size.holes", columns=s.sizes.blank.columns, rows=s.sizes.blank.rows)
                for s in (one, other)
            )
            fits = (_fit(job, side) for side in (one, other))
            rows.append(
                (_kit(job, each), title, _arrow(job, *finished), _arrow(job, *blanks), _arrow(job, *fits))
            )
    if rows:
        yield Heading(2, say("replaced.size.heading"))
        header = tuple(say(f"replaced.size.{name}") for name in ("kit", "piece", "finished", "blank", "fit"))
        yield Table(header, tuple(rows), (0.17, 0.14, 0.28, 0.19, 0.22), "lllll")


def _mm(job: ReplacementJob, width: float, height: float) -> str:
    return job.say("replaced.size.mm", width=width, height=height)


def _fit(job: ReplacementJob, each: PieceAmounts) -> str:
    if each.fit is None:
        return job.say("replaced.none")
    return job.say("replaced.size.inside", fit=each.fit, fits=each.fit.fits)


def _costs(job: ReplacementJob) -> Iterator[Block]:
    """What one box costs and leaves with each of the two."""
    say = job.say
    header = tuple(say(f"replaced.cost.{name}") for name in ("kit", "before", "after", "margin"))
    rows = tuple(
        (
            _kit(job, each),
            job.money(each.before.cost.total_minor),
            job.money(each.after.cost.total_minor),
            _arrow(job, *(job.money(side.cost.margin_minor) for side in (each.before, each.after))),
        )
        for each in job.found.touched
        if each.after
    )
    if rows:
        yield Heading(2, say("replaced.cost.heading"))
        yield Table(header, rows, (0.2, 0.22, 0.22, 0.36), "lrrr")


def _warnings(job: ReplacementJob) -> Iterator[Block]:
    """What is told of the kits with the new material that was not told before."""
    say = job.say
    told = [
        say("replaced.warning", kit=_kit(job, each), code=problem.code, message=problem.message)
        for each in job.found.touched
        for problem in (*each.faults, *each.told_anew)
    ]
    yield Heading(2, say("replaced.warnings.heading"))
    yield Steps(tuple(told), "dot") if told else Paragraph(say("replaced.warnings.none"))


def _papers(job: ReplacementJob) -> Iterator[Block]:
    """The printed matter that shows the old one, and the editions that were kept with it."""
    say, found = job.say, job.found
    yield Heading(2, say("replaced.papers.heading"))
    yield Paragraph(say("replaced.papers.text"))
    rows = tuple(
        (_kit(job, each), say("list.comma").join(f"{paper}.pdf" for paper in each.papers))
        for each in found.touched
        if each.papers
    )
    if rows:
        header = (say("replaced.papers.kit"), say("replaced.papers.files"))
        yield Table(header, rows, (0.2, 0.8), "ll")
    if found.released:
        kept = say("list.comma").join(
            say("run.kit", code=code, edition=edition) for code, edition in found.released
        )
        yield Paragraph(say("replaced.papers.released", kept=kept))


def _stock(job: ReplacementJob) -> Iterator[Block]:
    """What is left of both, lot by lot, and the boxes that the old one still makes."""
    say, found = job.say, job.found
    yield Heading(2, say("replaced.stock.heading"))
    if not found.lots:
        yield Paragraph(say("replaced.stock.none"))
        return
    names = ("item", "lot", "bin", "received", "quantity")
    header = tuple(say(f"replaced.stock.{name}") for name in names)
    rows = tuple(
        (lot.item, lot.lot, lot.bin, say.speech.day(lot.received), _amount(job, lot.item, lot.quantity))
        for lot in found.lots
    )
    yield Table(header, rows, (0.22, 0.22, 0.14, 0.26, 0.16), "llllr")
    left = [say("replaced.stock.boxes", kit=_kit(job, each), boxes=each.boxes) for each in found.touched]
    if left:
        how = "left" if isinstance(found.old, Thread) else "cut"
        yield Paragraph(say(f"replaced.stock.{how}", old=found.old.key))
        yield Steps(tuple(left), "dot")


def _amount(job: ReplacementJob, item: str, quantity: int) -> str:
    """An amount of stock: of a roll in metres."""
    materials = (job.found.old, job.found.new)
    stocks = [stock for each in materials if isinstance(each, Canvas) for stock in each.stock]
    if any(stock.key == item and stock.form == "roll" for stock in stocks):
        return job.say("run.metres", metres=quantity / 100)
    return str(quantity)


def _packed(job: ReplacementJob) -> Iterator[Block]:
    """The boxes that hold the old one."""
    say, packed = job.say, job.found.packed
    yield Heading(2, say("replaced.packed.heading"))
    if not packed:
        yield Paragraph(say("replaced.packed.unknown" if packed is None else "replaced.packed.none"))
        return
    names = ("run", "kit", "lots", "boxes")
    header = tuple(say(f"replaced.packed.{name}") for name in names)
    rows = tuple(
        (
            each.run,
            say("run.kit", code=each.kit, edition=each.edition),
            say("list.comma").join(each.lots) or say("replaced.none"),
            str(each.boxes),
        )
        for each in packed
    )
    yield Table(header, rows, (0.3, 0.25, 0.3, 0.15), "lllr")
    yield Paragraph(say("replaced.packed.text"))


def _kit(job: ReplacementJob, each: Touched) -> str:
    return job.say("run.kit", code=each.kit.code, edition=each.kit.edition)
