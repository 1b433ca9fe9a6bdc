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
OTHERWISE = "FERN"
"""The one kit whose documents in large print, in black alone and to be folded are kept too."""
PARTS = ("chart-booklet", "instructions", "pick-list", "cut-list", "proof", "test-sheet")
VARIANTS = ("chart-booklet.fr", "chart-booklet.de", "chart-booklet.left")
VARIANTS += ("instructions.fr", "instructions.de", "instructions.left")
SCREENS = ["WHIN/chart-booklet.html", "WHIN/chart-booklet.fr.html", "WHIN/chart-booklet.de.html"]
SCREENS += ["WHIN/instructions.html", "ROWAN/chart-booklet.html", "WINDS/chart-booklet.html"]
NAMES = frozenset(
    SCREENS
    + [f"{code}/{part}" for code in CODES for part in (*PARTS, *VARIANTS)]
    + [f"{SECOND_PAPER}/{part}.letter" for part in PARTS]
    + [f"{OTHERWISE}/{part}.{edition}" for part in PARTS[:2] for edition in ("large", "mono", "imposed")]
)
"""Every kit in every language, and for the left hand, not crossed; one kit in the other editions too. Of the
documents for the screen all languages once, a shaped piece, and sideways stitches."""


def kept() -> dict[str, Document]:
    """`CODE/document` -> document of each golden dump."""
    printed = {f"{code}/{each.name}": each for code in CODES for each in made(code).documents}
    shown = {f"{code}/{each.name}.html": each for code in CODES for each in made(code).screens}
    return {name: each for name, each in (printed | shown).items() if name in NAMES}


def path_of(name: str) -> Path:
    return FOLDER / f"{name}.txt"


def pages() -> str:
    """`CODE/document pages` of the dumped documents, and of the usual ones on the other paper."""
    counted = NAMES | {f"{code}/{part}.letter" for code in CODES for part in PARTS}
    counts = {
        f"{code}/{document.name}": len(pypdfium2.PdfDocument(render_pdf(document)))
        for code in CODES
        for document in made(code).documents
        if f"{code}/{document.name}" in counted
    }
    return "".join(f"{name} {count}\n" for name, count in sorted(counts.items()))
