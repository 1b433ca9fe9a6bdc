"""From blocks to the file: lay out all pages, then draw them with their footers."""

from __future__ import annotations

from io import BytesIO

from reportlab.lib.utils import simpleSplit
from reportlab.pdfgen.canvas import Canvas

from kitbuild.base.document import Document, DoesNotFit, Sheet
from kitbuild.output import pdf_ink
from kitbuild.output.pdf_flow import Content, draw_stack, split_stack
from kitbuild.output.pdf_story import Studio, sections
from kitbuild.output.pdf_style import FAINT_RULE_RGB, FOOT_RGB, PLAIN, colour, load_fonts, mm

_FOOT_SIZES_PT = (8.0, 7.5, 7.0, 6.5, 6.0, 5.5, 5.0)


def draw_document(document: Document) -> bytes:
    """The PDF of `document`; call it within `neutral_settings`."""
    load_fonts()
    studio = Studio()
    pages = lay_out(sections(studio, document.blocks), document.sheet)
    target = BytesIO()
    canvas = _open(target, document)
    for number, content in enumerate(pages, start=1):
        _draw_page(canvas, document.sheet, content)
        foot = document.footer.format(page=number, pages=len(pages))
        with studio.tree.artifact(canvas, "<</Type /Pagination /Subtype /Footer>>"):
            draw_foot(canvas, document.sheet, foot)
        canvas.showPage()
    studio.tree.write(canvas, len(pages))
    pdf_ink.seal(canvas)
    canvas.save()
    return target.getvalue()


def lay_out(parts: list[Content], sheet: Sheet) -> list[Content]:
    """Each page's flowables; every part starts on a new page, and there is at least one page."""
    width, height = mm(sheet.frame_width_mm), mm(sheet.frame_height_mm)
    pages: list[Content] = []
    for content in parts:
        while content:
            cut = split_stack(content, width, height)
            if cut is None:
                names = ", ".join(content[0].figures()) or "a block"
                raise DoesNotFit(f"{names}: too much for {sheet.frame_height_mm} mm of {sheet.name}")
            page, content = cut
            pages.append(page)
    return pages or [[]]


def _open(target: BytesIO, document: Document) -> Canvas:
    sheet = document.sheet
    subject = f"{document.code} {document.edition}" if document.edition else document.code
    info = pdf_ink.Info(document.title, document.author, subject, document.date)
    size = (round(mm(sheet.width_mm), 2), round(mm(sheet.height_mm), 2))
    canvas = pdf_ink.open_canvas(target, size, PLAIN, document.language, info)
    canvas.setViewerPreference("DisplayDocTitle", "true")
    return canvas


def _draw_page(canvas: Canvas, sheet: Sheet, content: Content) -> None:
    top = mm(sheet.height_mm - sheet.margin_mm)
    draw_stack(canvas, content, mm(sheet.margin_mm), top, mm(sheet.frame_width_mm))


def draw_foot(canvas: Canvas, sheet: Sheet, text: str) -> None:
    """A thin rule and `text` below it in the foot; a second line, at most, hangs into the margin."""
    left, width = mm(sheet.margin_mm), mm(sheet.frame_width_mm)
    rule = mm(sheet.margin_mm + sheet.foot_mm) - 4
    canvas.saveState()
    canvas.setStrokeColor(colour(FAINT_RULE_RGB))
    canvas.setLineWidth(0.4)
    canvas.line(left, rule, left + width, rule)
    for size in _FOOT_SIZES_PT:
        rows = simpleSplit(text, PLAIN, size, width)
        if len(rows) < 3:
            break
    canvas.setFillColor(colour(FOOT_RGB))
    canvas.setFont(PLAIN, size)
    for index, row in enumerate(rows):
        canvas.drawCentredString(left + width / 2, rule - size * (1.15 + 1.1 * index), row)
    canvas.restoreState()
