"""From blocks to the file: lay out all pages, then draw them with their footers."""

from __future__ import annotations

from collections.abc import Iterator
from io import BytesIO

from reportlab.lib.utils import simpleSplit
from reportlab.pdfgen.canvas import Canvas

from kitbuild.base.document import Document, DoesNotFit, Sheet
from kitbuild.output import pdf_ink
from kitbuild.output.folding import folding_order
from kitbuild.output.pdf_breaks import Page, TooHigh, paged
from kitbuild.output.pdf_flow import Content, draw_stack
from kitbuild.output.pdf_metadata import describe
from kitbuild.output.pdf_story import Studio, sections
from kitbuild.output.pdf_style import FAINT_RULE_RGB, FOOT_RGB, PLAIN, colour, load_fonts, mm

_FOOT_SIZES_PT = (8.0, 7.5, 7.0, 6.5, 6.0, 5.5, 5.0)
_LARGE_FOOT_SIZES_PT = (18.0,)

Spot = tuple[int, float]
"""A page, from 1, and how many points from the left its own left edge lies on its side of paper."""


def draw_document(document: Document) -> bytes:
    """The PDF of `document`; call it within `neutral_settings`."""
    load_fonts()
    studio = Studio(large=document.press.large)
    pages = lay_out(sections(studio, document.blocks), document.sheet)
    target = BytesIO()
    canvas = _open(target, document)
    sides = list(_sides(document, len(pages)))
    for side in sides:
        for number, left in side:
            studio.tree.place = number
            _draw_page(canvas, document, pages[number - 1], left)
            foot = document.footer.format(page=number, pages=len(pages))
            with studio.tree.artifact(canvas, "<</Type /Pagination /Subtype /Footer>>"):
                draw_foot(canvas, document.sheet, foot, left, large=document.press.large)
        canvas.showPage()
    _finish(canvas, studio, [", ".join(str(number) for number, _ in side) for side in sides])
    return _saved(canvas, target)


def _sides(document: Document, pages: int) -> Iterator[tuple[Spot, ...]]:
    """The sides of paper to print, each with the pages that stand on it."""
    folded = document.press.folded
    if folded is None:
        yield from (((number, 0.0),) for number in range(1, pages + 1))
        return
    half = mm(folded.height_mm / 2)
    inset = (half - mm(document.sheet.width_mm)) / 2
    for left, right in folding_order(pages):
        halves = ((left, inset), (right, half + inset))
        yield tuple((number, at) for number, at in halves if number)


def _finish(canvas: Canvas, studio: Studio, labels: list[str]) -> None:
    """Bookmarks in reading order, labels of pages, and the tree of all that was drawn."""
    first = True
    for mark in sorted(studio.bookmarks):
        canvas.addOutlineEntry(mark.text, mark.key, level=0 if first else mark.level - 1)
        first = False
    pdf_ink.label_pages(canvas, labels)
    studio.tree.write(canvas, len(labels))


def _saved(canvas: Canvas, target: BytesIO) -> bytes:
    pdf_ink.seal(canvas)
    canvas.save()
    return target.getvalue()


def lay_out(parts: list[Content], sheet: Sheet) -> list[Content]:
    """Each page's flowables; every part starts on a new page, and there is at least one page."""
    page = Page(mm(sheet.frame_width_mm), mm(sheet.frame_height_mm))
    try:
        return [each for content in parts for each in paged(content, page)] or [[]]
    except TooHigh as error:
        names = ", ".join(error.piece.figures()) or "a block"
        raise DoesNotFit(f"{names}: too much for {sheet.frame_height_mm} mm of {sheet.name}") from error


def _open(target: BytesIO, document: Document) -> Canvas:
    sheet, folded = document.sheet, document.press.folded
    subject = f"{document.code} {document.edition}" if document.edition else document.code
    info = pdf_ink.Info(document.title, document.author, subject, document.date)
    wide, high = (folded.height_mm, folded.width_mm) if folded else (sheet.width_mm, sheet.height_mm)
    size, mono = (round(mm(wide), 2), round(mm(high), 2)), document.press.mono
    canvas = pdf_ink.open_canvas(target, size, PLAIN, document.language, info, mono=mono)
    canvas.setViewerPreference("DisplayDocTitle", "true")
    describe(canvas, document)
    return canvas


def _draw_page(canvas: Canvas, document: Document, content: Content, left: float) -> None:
    sheet, folded = document.sheet, document.press.folded
    top = mm((folded.width_mm if folded else sheet.height_mm) - sheet.margin_mm)
    draw_stack(canvas, content, left + mm(sheet.margin_mm), top, mm(sheet.frame_width_mm))


def draw_foot(canvas: Canvas, sheet: Sheet, text: str, left: float = 0.0, *, large: bool = False) -> None:
    """A thin rule and `text` below it in the foot; a second line, at most, hangs into the margin."""
    left, width = left + mm(sheet.margin_mm), mm(sheet.frame_width_mm)
    rule = mm(sheet.margin_mm + sheet.foot_mm) - (9 if large else 4)
    canvas.saveState()
    canvas.setStrokeColor(colour(FAINT_RULE_RGB))
    canvas.setLineWidth(0.4)
    canvas.line(left, rule, left + width, rule)
    for size in _LARGE_FOOT_SIZES_PT if large else _FOOT_SIZES_PT:
        rows = simpleSplit(text, PLAIN, size, width)
        if len(rows) < 3:
            break
    canvas.setFillColor(colour(FOOT_RGB))
    canvas.setFont(PLAIN, size)
    for index, row in enumerate(rows):
        canvas.drawCentredString(left + width / 2, rule - size * (1.15 + 1.1 * index), row)
    canvas.restoreState()
