"""`batch RUN print`: the print order of a planned run, from documents that were built of today's specs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Final

from kitbuild.base.problem import Expected, InputProblems, Place, Problem, errors
from kitbuild.documents.print_order import Print, PrintJob, print_listing, print_order
from kitbuild.fresh import nothing_to_do
from kitbuild.outcome import Outcome
from kitbuild.output.files import manifest_for, write_outputs
from kitbuild.plan_file import PLAN, read_plan
from kitbuild.production.packing import PackedLine
from kitbuild.production.stock import PRINTED
from kitbuild.spec.folder import KITS, read_range
from kitbuild.spec.records import Kit, Range
from kitbuild.variants import for_the_house, printed

DOCUMENTS: Final = {"booklet": "chart-booklet", "sheet": "instructions"}
"""What an item of printed matter is printed from."""
FOLDER: Final = "print"


def order_prints(run: str, out: Path, tell: Callable[[str], None]) -> Outcome:
    """Write the print order of a run below its folder; what is in stock already is not printed."""
    folder = out / "batch" / run
    try:
        plan, digest = read_plan(run, folder)
        kits, found = read_range(KITS)
        if kits is None:
            raise InputProblems(errors(found))
        wanted = [
            line for line in plan.packing.lines if line.kind in PRINTED and line.lot is None and line.quantity
        ]
        editions = {kit.kit: kit.edition for kit in plan.packing.kits}
        _must_be_built(kits, sorted({line.kit for line in wanted}), editions, out)
        by_code = {kit.code: kit for kit in kits.kits}
        prints = tuple(_print(by_code[line.kit], line, out) for line in wanted)
        first = for_the_house(kits.house)[0]
        job = PrintJob(run, prints, kits.house, first.say, first.sheet)
        _write(job, folder / FOLDER, {f"{run}/{PLAN}": digest})
    except Expected as expected:
        return Outcome(expected.problems, expected.exit_code)
    copies, paper = sum(each.copies for each in prints), sum(each.paper_needed for each in prints)
    tell(f"{run}: {copies} copies on {paper} sheets of paper, {(folder / FOLDER).as_posix()}")
    return Outcome((), 0)


def _must_be_built(kits: Range, codes: list[str], editions: dict[str, int], out: Path) -> None:
    """InputProblems where a kit's documents are not those of today's spec and of the run's edition."""
    problems = []
    for code in codes:
        kit = next((kit for kit in kits.kits if kit.code == code), None)
        place = Place((out / code).as_posix())
        if kit is None or kit.edition != editions[code]:
            message = f"the run packs edition {editions[code]} of {code}, the spec says otherwise"
            problems.append(Problem(place, "KB632", message, "plan the run again"))
        elif nothing_to_do([code], KITS, out) is None:
            message = f"the documents of {code} are not those of today's spec"
            problems.append(Problem(place, "KB632", message, f"kitbuild build {code}"))
    if problems:
        raise InputProblems(problems)


def _print(kit: Kit, line: PackedLine, out: Path) -> Print:
    """One file to print: the folded booklet where the workshop makes one."""
    from kitbuild.output.pdf import page_count

    folded = "imposed" in kit.house.editions
    file = out / kit.code / f"{DOCUMENTS[line.kind]}{'.imposed' if folded else ''}.pdf"
    content = file.read_bytes()
    paper = kit.house.papers[0]
    return Print(
        line.item, kit.title, kit.edition, file.as_posix(), paper, page_count(content), folded, line.quantity
    )


def _write(job: PrintJob, folder: Path, inputs: dict[str, str]) -> None:
    from kitbuild import __version__
    from kitbuild.output.csv_text import render_csv
    from kitbuild.output.pdf import render_pdf

    papers = printed(for_the_house(job.house), lambda each: print_order(replace(job, sheet=each.sheet)))
    files, listing = {f"{paper.name}.pdf": render_pdf(paper) for paper in papers}, print_listing(job)
    files[listing.name] = render_csv(listing)
    manifest = manifest_for(
        version=__version__,
        code=job.run,
        edition=0,
        warnings=[],
        files=files,
        inputs=dict.fromkeys(files, inputs),
    )
    write_outputs(folder, files, manifest)
