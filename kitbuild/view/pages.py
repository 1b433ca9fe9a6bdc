"""The pages of a kit's documents as pictures, for the live page: the very PDFs that a build writes."""

from __future__ import annotations

from contextlib import closing
from functools import lru_cache
from io import BytesIO
from threading import Lock
from typing import Final

from kitbuild.base.document import Document
from kitbuild.build import Made
from kitbuild.output.pdf import page_count, render_pdf
from kitbuild.view.shown import Unknown

WIDTH_PX: Final = 900
"""Width of a page's picture."""
_ONE: Final = Lock()
"""The reader of PDFs is not for several threads at once, not even when it closes what it opened."""


def document_list(made: Made) -> list[dict[str, object]]:
    """Name, title and number of pages of each document in its plain form."""
    return [
        {"name": document.name, "title": document.title, "pages": page_count(_pdf(document))}
        for document in made.documents
        if "." not in document.name
    ]


def pdf_bytes(made: Made, name: str) -> bytes:
    """A document as PDF; Unknown where there is none of that name."""
    return _pdf(_named(made, name))


def page_png(made: Made, name: str, number: int) -> bytes:
    """One page of a document, numbered from 1, as PNG; Unknown where there is no such page."""
    document = _named(made, name)
    if not 1 <= number <= page_count(_pdf(document)):
        raise Unknown(f"{name}, page {number}")
    return _png(document, number)


def _named(made: Made, name: str) -> Document:
    for document in made.documents:
        if document.name == name:
            return document
    raise Unknown(name)


@lru_cache(maxsize=24)
def _pdf(document: Document) -> bytes:
    return render_pdf(document)


@lru_cache(maxsize=64)
def _png(document: Document, number: int) -> bytes:
    content = _pdf(document)
    with _ONE:
        return _drawn(content, number)


def _drawn(content: bytes, number: int) -> bytes:
    """A page as PNG; all that was opened for it is closed."""
    from pypdfium2 import PdfDocument

    out = BytesIO()
    with (
        closing(PdfDocument(content)) as pdf,
        closing(pdf[number - 1]) as page,
        closing(page.render(scale=WIDTH_PX / page.get_width())) as bitmap,
    ):
        bitmap.to_pil().save(out, "PNG")
    return out.getvalue()
