"""Golden dumps of the papers beside a kit's own: of classes, spares, bundles, prints and replacements.

To renew them after a change that was meant, run `python -m tests.documents.renew` and read the difference.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pypdfium2

from kitbuild.base.document import Document
from kitbuild.documents.bundle_sheets import MakingJob, cards, making_list
from kitbuild.documents.print_order import print_order
from kitbuild.documents.replacement_sheet import replacement_sheet
from kitbuild.documents.spare_slip import spare_slip
from kitbuild.documents.wording import Wording, wording
from kitbuild.output.pdf import render_pdf
from kitbuild.production.bundles import plan_making
from tests.build.test_replaced import every_sheet
from tests.documents.classes import class_job, papers
from tests.documents.dump import dump
from tests.documents.runs import kit_job, print_orders, slips
from tests.production.lessons import LESSON
from tests.production.stores import boxed, plenty

FOLDER = Path(__file__).parent / "golden_life"
LANGUAGES = ("en", "fr", "de")


def _made(say: Wording) -> Iterator[tuple[str, Document]]:
    for each in papers(class_job(LESSON, plenty(), say)):
        yield f"class-{each.name}", each
    same, other = slips(say)
    yield from (("spare-same", spare_slip(same)), ("spare-other", spare_slip(other)))
    yield "print-order", print_order(next(iter(print_orders(say))))
    making = MakingJob(plan_making("m1", boxed()["WHIN"], 2, plenty()), kit_job("WHIN", say))
    yield from (("making-list", making_list(making)), ("cards", cards(making)))
    thread, _, canvas, *_ = every_sheet(say)
    yield from (
        ("replaced-thread", replacement_sheet(thread)),
        ("replaced-canvas", replacement_sheet(canvas)),
    )


@cache
def texts() -> dict[str, str]:
    """File -> dump of each paper in each language, and how many pages each has."""
    made = {(language, name): each for language in LANGUAGES for name, each in _made(wording(language))}
    dumps = {f"{name}.{language}.txt": dump(each) for (language, name), each in made.items()}
    counts = {f"{name}.{language}": _pages(each) for (language, name), each in made.items()}
    dumps["pages.txt"] = "".join(f"{name} {count}\n" for name, count in sorted(counts.items()))
    return dumps


def _pages(document: Document) -> int:
    return len(pypdfium2.PdfDocument(render_pdf(document)))


def renew() -> None:
    """Write all of them anew, and remove those that no paper has."""
    FOLDER.mkdir(exist_ok=True)
    for path in FOLDER.glob("*.txt"):
        if path.name not in texts():
            path.unlink()
            print(f"removed {path.name}")
    for name, text in texts().items():
        path = FOLDER / name
        if not path.exists() or path.read_text(encoding="utf-8") != text:
            path.write_text(text, encoding="utf-8", newline="\n")
            print(f"wrote {FOLDER.name}/{name}")
