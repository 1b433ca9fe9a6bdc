"""Labels of a run on sheets of label stock: one for each box, one for each bundle of thread in it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from kitbuild.base.blocks import (
    Block,
    Figure,
    Mark,
    PageBreak,
    PolygonMark,
    TextBoxMark,
    TextMark,
    TextPart,
    TextStackMark,
)
from kitbuild.base.colour import BLACK, ink_on
from kitbuild.base.document import SHEETS, Document, DoesNotFit, Sheet
from kitbuild.documents.barcodes import ean, ean_marks, qr_marks, qr_size_mm
from kitbuild.documents.job import Job
from kitbuild.documents.run_job import RunJob
from kitbuild.documents.shop_facts import fibres
from kitbuild.documents.words import note_text, pick_counted, pick_description
from kitbuild.production.packing import box_number
from kitbuild.production.picks import Pick
from kitbuild.production.run_records import PickLine
from kitbuild.quantity.amounts import PieceAmounts
from kitbuild.spec.house import LabelStock

PAD_MM: Final = 3.0
LEAST_PT: Final = 6.0
GAP_MM: Final = 1.5
"""Between what stands above the code and what stands beside it."""
Label = list[Mark]


def run_labels(job: RunJob) -> Document:
    """Box labels, then bundle labels; each page is one sheet of labels."""
    labels = job.house.labels
    paper = SHEETS[labels.paper or job.house.papers[0]]
    sheet = Sheet(paper.name, paper.width_mm, paper.height_mm, 0.0, 0.0)
    boxes = [
        box_label(job, code, labels.box, number)
        for code in job.run.kits
        for number in range(1, job.run.boxes(code) + 1)
    ]
    bundles = [
        bundle_label(job, line, labels.bundle)
        for line in sorted(job.run.lines, key=lambda line: line.kit)
        if line.pick.kind == "thread"
        for _ in range(line.boxes)
    ]

    def alt(many: int) -> str:
        return job.say("run.labels.alt", labels=many, run=job.run.name)

    pages = [
        *label_pages(alt, sheet, labels.box, boxes),
        *label_pages(alt, sheet, labels.bundle, bundles),
    ]
    blocks: list[Block] = []
    for page in pages:
        blocks += [PageBreak(), page] if blocks else [page]
    return replace(job.document("labels", "labels", blocks), sheet=sheet, footer="")


def label_pages(
    alt: Callable[[int], str], sheet: Sheet, stock: LabelStock, labels: Sequence[Label]
) -> Iterator[Figure]:
    """Sheets filled row by row; `alt` says what a sheet of so many labels shows."""
    each = stock.columns * stock.rows
    for first in range(0, len(labels), each):
        marks: list[Mark] = []
        for at, label in enumerate(labels[first : first + each]):
            row, column = divmod(at, stock.columns)
            x = stock.left_mm + column * (stock.width_mm + stock.gap_across_mm)
            y = stock.top_mm + row * (stock.height_mm + stock.gap_down_mm)
            marks += [moved(mark, x, y) for mark in label]
        yield Figure(alt(len(labels[first : first + each])), sheet.width_mm, sheet.height_mm, tuple(marks))


def moved(mark: Mark, x: float, y: float) -> Mark:
    """A mark so much farther right and down."""
    match mark:
        case TextBoxMark() | TextStackMark():
            return replace(mark, left_mm=mark.left_mm + x, top_mm=mark.top_mm + y)
        case TextMark():
            return replace(mark, x_mm=mark.x_mm + x, y_mm=mark.y_mm + y)
        case PolygonMark():
            return replace(mark, points_mm=tuple((px + x, py + y) for px, py in mark.points_mm))
        case _:
            return replace(mark, ends_mm=np.add(mark.ends_mm, (x, y, x, y)))  # type: ignore[union-attr]


def box_label(job: RunJob, code: str, stock: LabelStock, number: int) -> Label:
    """What is in the box and its cautions above; its number and who made it below, beside its code.

    DoesNotFit where the label is too small for the code, or for the words in their least type.
    """
    say, one = job.say, job.jobs[code]
    name = box_number(job.run.name, code, number)
    marks, wide, high = _code(job, code, stock, name)
    kit, across = one.kit, stock.width_mm - 2 * PAD_MM
    upper = (
        TextPart(job.own(kit.title), 12.0, LEAST_PT, True),
        TextPart(say("run.labels.contents", contents=_contents(one)), 8.0, LEAST_PT),
        *_cautions(one),
    )
    lower = (
        TextPart(say("run.labels.box", box=name), 9.0, LEAST_PT, True),
        TextPart(say("run.labels.batch", code=code, edition=kit.edition, run=job.run.name), 8.0, LEAST_PT),
        *(TextPart(text, 7.5, LEAST_PT) for text in _about(job, one)),
    )
    tall = stock.height_mm - 2 * PAD_MM - high - GAP_MM
    marks.append(TextStackMark(PAD_MM, PAD_MM, across, tall, upper))
    marks.append(TextStackMark(PAD_MM, PAD_MM + tall + GAP_MM, across - wide - PAD_MM, high, lower))
    return marks


def _code(job: RunJob, code: str, stock: LabelStock, name: str) -> tuple[Label, float, float]:
    """The bar code of a kit's number, or a QR code, in the lower right corner; its width and height."""
    kit = job.jobs[code].kit
    right, bottom = stock.width_mm - PAD_MM, stock.height_mm - PAD_MM
    if kit.gtin:
        made = ean(kit.gtin, 0.45 * stock.width_mm, 0.5 * stock.height_mm)
        if made is None:
            raise DoesNotFit(f"the bar code of {code} on a label of {_size(stock)}")
        marks = ean_marks(made, right - made.width_mm, bottom - made.height_mm)
        return marks, made.width_mm, made.height_mm
    text = f"kit={code};edition={kit.edition};run={job.run.name};box={name}"
    room = min(0.33 * stock.width_mm, 0.4 * stock.height_mm)
    return (*_qr(text, right - room, bottom - room, room, stock), room, room)


def _qr(text: str, left: float, top: float, room: float, stock: LabelStock) -> tuple[Label]:
    module = qr_size_mm(text, room)
    if module is None:
        raise DoesNotFit(f"a QR code on a label of {_size(stock)}")
    return (qr_marks(text, left, top, module),)


def _size(stock: LabelStock) -> str:
    return f"{stock.width_mm:g} x {stock.height_mm:g} mm"


def _contents(one: Job) -> str:
    """How many of everything, as the pick list calls it."""
    parts = [
        one.say(
            "run.labels.part",
            quantity=pick.quantity,
            counted=pick_counted(one, pick, pick.quantity),
            what=_short(one, pick),
            thread=pick.kind == "thread",
        )
        for pick in one.picks
    ]
    return one.say("list.comma").join(parts)


def _short(one: Job, pick: Pick) -> str:
    """What the contents call it: colours by their names, canvas by its piece."""
    if isinstance(pick.source, PieceAmounts):
        return one.say("weigh.blank", piece=one.own(pick.source.sizes.piece.title))
    return one.own(pick.colour.name) if pick.colour else pick_description(one, pick)


def _about(job: RunJob, one: Job) -> Iterator[str]:
    """Whose design it is, its fibres in words, where it is made and by whom, as far as is stated."""
    if one.kit.licence:
        yield job.own(one.kit.licence.credit)
    yield from filter(None, (fibres(one), job.own(job.house.labels.origin)))
    yield job.say("list.comma").join((job.house.name, *job.house.address, job.house.contact))


def _cautions(one: Job) -> Iterator[TextPart]:
    """Notes on death or injury, each with its signal word, in no smaller type than it must have."""
    for note in one.notes:
        if note.severity in ("danger", "warning"):
            signal = one.say(f"signal.{note.severity}")
            words = one.say("run.labels.caution", signal=signal, text=note_text(one, note))
            yield TextPart(words, max(8.0, note.points), max(LEAST_PT, note.points))


def bundle_label(job: RunJob, line: PickLine, stock: LabelStock) -> Label:
    """The colour of a bundle with its symbol, its kit and lot, and a QR code of them."""
    say, one, colour = job.say, job.jobs[line.kit], line.pick.colour
    lot = line.lot.lot if line.lot else ""
    room = stock.height_mm - 2 * PAD_MM
    text = f"kit={line.kit};edition={one.kit.edition};run={job.run.name};item={line.pick.item};lot={lot}"
    (marks,) = _qr(text, stock.width_mm - PAD_MM - room, PAD_MM, room, stock)
    left = stock.width_mm - 3 * PAD_MM - room
    if colour is None:
        raise ValueError("a bundle is of thread")
    ink, side = one.ink(colour.key), 7.0
    corners = [(PAD_MM + x, PAD_MM + y) for x, y in ((0, 0), (side, 0), (side, side), (0, side))]
    marks.append(PolygonMark(tuple(corners), fill=ink.rgb, outline=BLACK))
    middle = PAD_MM + side / 2
    marks.append(TextMark(middle, middle + 1.6, ink.symbol, 13, "middle", ink_on(ink.rgb)))
    name = job.own(colour.name)
    marks.append(TextBoxMark(PAD_MM + side + 1, PAD_MM, left - side - 1, side, name, 9.0, LEAST_PT, True))
    words = say(
        "run.labels.bundle",
        code=line.kit,
        edition=one.kit.edition,
        counted=pick_counted(one, line.pick, line.pick.quantity),
        item=line.pick.item,
        lot=lot,
        run=job.run.name,
    )
    top = PAD_MM + side + 1
    marks.append(TextBoxMark(PAD_MM, top, left, stock.height_mm - PAD_MM - top, words, 8.0, LEAST_PT))
    return marks
