"""The golden dumps: where they are kept and what they are made from; and how many pages each document has.

To renew them after a change that was meant, run `python -m tests.documents.renew` and read the difference.
"""

from __future__ import annotations

from pathlib import Path

import pypdfium2

from kitbuild.base.document import Document
from kitbuild.output.pdf import render_pdf
from tests.documents.demo import CODES, made

FOLDER = Path(__file__).parent / "golden"
PAGES = FOLDER / "pages.txt"
SECOND_PAPER = "WHIN"
"""The one kit whose documents on the second paper are kept too."""


def kept() -> dict[str, Document]:
    """`CODE/document` -> document of each golden dump."""
    return {
        f"{code}/{document.name}": document
        for code in CODES
        for document in made(code).documents
        if document.sheet.name == made(code).kit.house.papers[0] or code == SECOND_PAPER
    }


def path_of(name: str) -> Path:
    return FOLDER / f"{name}.txt"


def pages() -> str:
    """`CODE/document pages` of every document on every paper, one a line."""
    counts = {
        f"{code}/{document.name}": len(pypdfium2.PdfDocument(render_pdf(document)))
        for code in CODES
        for document in made(code).documents
    }
    return "".join(f"{name} {count}\n" for name, count in sorted(counts.items()))
