"""`python -m tests.bench.drawing`: charts against a bare writer of the same marks, and each kit's documents.

The charts are the pages of a whole piece of 400 x 300 holes, 30,000 stitches. Time at most 2.5 times the bare
writer's, size at most 1.6 times. A kit's documents, in one language on one paper, should take no more than
150 ms of a processor, in a process that has drawn before. Times are the best of several runs.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace

from kitbuild.base.blocks import Figure, LineMarks, StitchMarks
from kitbuild.base.document import Document
from kitbuild.build import CUSTOMERS, SHOPS
from kitbuild.documents.chart_pages import whole_pages
from kitbuild.documents.job import Job
from kitbuild.output.pdf import render_pdf
from tests.bench.bare import bare_pdf
from tests.documents.demo import CODES
from tests.documents.jobs import job_of, large_job

MOST_TIME, MOST_SIZE, MOST_KIT_MS = 2.5, 1.6, 150.0


def processor_ms(work: Callable[[], object], runs: int = 5) -> float:
    """The least processor time of `runs` runs, in milliseconds."""
    times = []
    for _ in range(runs):
        begin = time.process_time()
        work()
        times.append(time.process_time() - begin)
    return min(times) * 1000


def charts(job: Job) -> Document:
    """The pages of the whole first piece alone."""
    return job.document("charts", "booklet", whole_pages(job, job.amounts.pieces[0]))


def marks_of(figures: list[Figure]) -> int:
    """How many marks figures hold: a stitch that bears a symbol is two."""
    total = 0
    for mark in (mark for figure in figures for mark in figure.marks):
        match mark:
            case StitchMarks():
                symbols = 0 if mark.symbol_x is None else int((mark.symbol_x == mark.symbol_x).sum())
                total += len(mark.x1) + symbols
            case LineMarks():
                total += len(mark.ends_mm)
            case _:
                total += 1
    return total


def report_charts() -> None:
    """Time and size of the chart pages as ratios to the bare writer's."""
    job = large_job(400, 300)
    document = charts(job)
    figures = [block for block in document.blocks if isinstance(block, Figure)]
    bare, marks = bare_pdf(figures, job.sheet)
    assert marks == marks_of(figures)
    ours = render_pdf(document)
    bare_ms = processor_ms(lambda: bare_pdf(figures, job.sheet))
    ours_ms = processor_ms(lambda: render_pdf(document))
    stitches = len(job.amounts.pieces[0].panel.stitches)
    print(f"\n{stitches} stitches on {len(figures)} pages, {marks} marks")
    print(f"  bare writer {bare_ms:9.1f} ms  {len(bare) / 1024:9.1f} KiB")
    print(f"  our charts  {ours_ms:9.1f} ms  {len(ours) / 1024:9.1f} KiB")
    print(f"  ratios      {ours_ms / bare_ms:9.2f} x   {len(ours) / len(bare):9.2f} x")
    print(f"  at most     {MOST_TIME:9.2f} x   {MOST_SIZE:9.2f} x")


def report_kits() -> None:
    """Processor time of all documents of each demo kit, made and drawn."""
    print(f"\nall documents of a kit, one language, one paper; at most {MOST_KIT_MS:.0f} ms of a processor")
    print("  kit      made   drawn     all  customer's")
    for code in CODES:
        job = replace(job_of(code))
        makers = (*CUSTOMERS, *SHOPS)
        documents = [make(job, "") for make in makers]
        made = processor_ms(lambda job=job, makers=makers: [make(job, "") for make in makers])
        drawn = [processor_ms(lambda each=each: render_pdf(each)) for each in documents]
        print(f"  {code:<7}{made:6.1f}{sum(drawn):8.1f}{made + sum(drawn):8.1f}{sum(drawn[:2]):12.1f}")


def main() -> None:
    """Both reports."""
    report_charts()
    report_kits()


if __name__ == "__main__":
    main()
