"""A document as PDF: tagged, bookmarked, and the same bytes for the same document.

reportlab is loaded at the first rendering, not at import, so that commands which draw nothing start quickly.
"""

from __future__ import annotations

import re
from threading import Lock
from typing import Final

from kitbuild.base.document import Document

_ONE: Final = Lock()
"""Settings and fonts of the writer are the whole process's: of several threads, one draws at a time."""
_PAGE: Final = re.compile(rb"/Type /Page\b")


def render_pdf(document: Document) -> bytes:
    """The bytes of `document` as a PDF file.

    Clock, locale, hash order and environment have no say in them.
    DoesNotFit when a figure is larger than the sheet's frame (or its cell of a grid).
    """
    from kitbuild.output.pdf_settings import neutral_settings

    with _ONE, neutral_settings():
        from kitbuild.output.pdf_pages import draw_document

        return draw_document(document)


def page_count(content: bytes) -> int:
    """The pages of a PDF that `render_pdf` made: its page objects stand open in the file."""
    return len(_PAGE.findall(content))
