"""A document as PDF: tagged, bookmarked, and the same bytes for the same document.

reportlab is loaded at the first rendering, not at import, so that commands which draw nothing start quickly.
"""

from __future__ import annotations

from kitbuild.base.document import Document


def render_pdf(document: Document) -> bytes:
    """The bytes of `document` as a PDF file.

    Clock, locale, hash order and environment have no say in them.
    DoesNotFit when a figure is larger than the sheet's frame (or its cell of a grid).
    """
    from kitbuild.output.pdf_settings import neutral_settings

    with neutral_settings():
        from kitbuild.output.pdf_pages import draw_document

        return draw_document(document)
