"""`make bench`: the time of each stage, for each kit of the demo range and for a large piece.

Times are the best of several runs in one process, in milliseconds; the ratio is to one numpy pass over an
array of as many holes, measured in the same run.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np

from kitbuild.base.document import SCREEN, SHEETS
from kitbuild.build import CUSTOMERS, SHOPS, sheets, speaking
from kitbuild.documents.job import Job, Judgement
from kitbuild.documents.listings import listings
from kitbuild.output.csv_text import render_csv
from kitbuild.output.html import render_html
from kitbuild.output.pdf import render_pdf
from kitbuild.pattern.expand import panels, plain
from kitbuild.production.cautions import notes
from kitbuild.production.cost import cost
from kitbuild.production.cutting import blanks, plan
from kitbuild.production.picks import picks
from kitbuild.quantity.amounts import measure
from kitbuild.spec.folder import read_range
from kitbuild.spec.records import Kit
from tests.bench import cuts, drawing, orders, patterns, runs, spec
from tests.bench.timing import best_ms
from tests.documents.jobs import large


def numpy_pass_ms(kit: Kit) -> float:
    """One cumulative sum over as many holes as the kit's pieces have."""
    fields = [np.ones((piece.rows, piece.columns), dtype=np.int64) for piece in kit.pieces]
    return best_ms(lambda: [field.cumsum(axis=0) for field in fields], 20)


def stages(kit: Kit) -> list[tuple[str, float]]:
    """Each stage with its time."""
    made = panels(kit)
    amounts = measure(kit, made)
    cut, picked = plan(blanks(amounts)), picks(amounts)
    sheet, say = sheets(kit)[0][0], speaking(kit)[0]
    job = Job(amounts, picked, cut, cost(kit, picked), notes(kit), Judgement((), ()), say, sheet)
    documents = [document(job) for document in (*CUSTOMERS, *SHOPS)]
    screen = replace(job, sheet=SCREEN)
    screens = [document(screen) for document in CUSTOMERS]
    listed = listings(job)
    return [
        ("pattern", best_ms(lambda: (plain.cache_clear(), panels(kit)))),
        ("quantity", best_ms(lambda: measure(kit, made))),
        ("production", best_ms(lambda: (plan(blanks(amounts)), picks(amounts)))),
        ("documents", best_ms(lambda: [document(job) for document in (*CUSTOMERS, *SHOPS)])),
        ("listings", best_ms(lambda: listings(job))),
        ("screens", best_ms(lambda: [document(screen) for document in CUSTOMERS])),
        ("html", best_ms(lambda: [render_html(document) for document in screens])),
        ("pdf", best_ms(lambda: [render_pdf(document) for document in documents])),
        ("csv", best_ms(lambda: [render_csv(each) for each in listed])),
    ]


def main() -> None:
    """Print one table a kit, one paper, one language."""
    folder = Path("kits")
    print(f"spec: {best_ms(lambda: read_range(folder)):.1f} ms for the whole range")
    spec.report()
    kits, problems = read_range(folder)
    if kits is None:
        sys.exit("\n".join(map(str, problems)))
    heath = next(kit for kit in kits.kits if kit.code == "HEATH")
    for kit in (*kits.kits, large(heath, 400, 300)):
        base = numpy_pass_ms(kit)
        rows = stages(kit)
        holes = sum(piece.columns * piece.rows for piece in kit.pieces)
        print(
            f"\n{kit.code}: {holes} holes, {SHEETS[kit.house.papers[0]].name}; one numpy pass {base:.3f} ms"
        )
        for name, taken in (*rows, ("all", sum(taken for _, taken in rows))):
            print(f"  {name:<11}{taken:9.1f} ms  {taken / base:9.0f} x")
    drawing.main()
    patterns.main()
    orders.main()
    cuts.main()
    runs.main()


if __name__ == "__main__":
    main()
