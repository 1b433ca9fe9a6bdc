"""The golden dumps: where they are kept and what they are made from; and how many pages each document has.

To renew them after a change that was meant, run `python -m tests.documents.renew` and read the difference.
"""

from __future__ import annotations

from pathlib import Path

import pypdfium2

from kitbuild.base.document import Document
from kitbuild.batch import documents_of
from kitbuild.output.pdf import render_pdf
from tests.documents.demo import CODES, made
from tests.documents.runs import run_job

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
RUN = "w41"
"""The run whose documents are kept too: two kits, an order that waits, a colour from two lots."""
RUNS = ("pick-list", "pick-list-by-kit", "cut-list", "buy-list", "check-sheet", "cost", "labels")
NAMES = frozenset(
    SCREENS
    + [f"{code}/{part}" for code in CODES for part in (*PARTS, *VARIANTS)]
    + [f"{SECOND_PAPER}/{part}.letter" for part in PARTS]
    + [f"{RUN}/{part}" for part in RUNS]
    + [f"{OTHERWISE}/{part}.{edition}" for part in PARTS[:2] for edition in ("large", "mono", "imposed")]
)
"""Every kit in every language, and for the left hand, not crossed; one kit in the other editions too. Of the
documents for the screen all languages once, a shaped piece, and sideways stitches."""


def kept() -> dict[str, Document]:
    """`CODE/document` -> document of each golden dump."""
    printed = {f"{code}/{each.name}": each for code in CODES for each in made(code).documents}
    shown = {f"{code}/{each.name}.html": each for code in CODES for each in made(code).screens}
    return {name: each for name, each in (printed | shown | run()).items() if name in NAMES}


def run() -> dict[str, Document]:
    """The documents of the run, each on all papers."""
    job = run_job()
    return {f"{RUN}/{each.name}": each for each in documents_of(job, job.jobs["WHIN"].kit)}


def path_of(name: str) -> Path:
    return FOLDER / f"{name}.txt"


def pages() -> str:
    """`CODE/document pages` of the dumped documents, and of the usual ones on the other paper."""
    counted = NAMES | {f"{code}/{part}.letter" for code in CODES for part in PARTS}
    documents = {f"{code}/{each.name}": each for code in CODES for each in made(code).documents} | run()
    counts = {
        name: len(pypdfium2.PdfDocument(render_pdf(each)))
        for name, each in documents.items()
        if name in counted or name.startswith(f"{RUN}/")
    }
    return "".join(f"{name} {count}\n" for name, count in sorted(counts.items()))
