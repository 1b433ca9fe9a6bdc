"""A production run from orders and stock to its lists: plan, then reserve, post or cancel."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Final

from kitbuild.base.document import Document, DoesNotFit
from kitbuild.base.problem import Expected, InputProblems, Problem
from kitbuild.build import amounts_of, sheets, sources, speaking
from kitbuild.documents.job import Job, Judgement
from kitbuild.documents.run_check_sheet import run_check_sheet
from kitbuild.documents.run_cut_sheet import run_cut_sheet
from kitbuild.documents.run_job import RunJob
from kitbuild.documents.run_labels import run_labels
from kitbuild.documents.run_listings import run_listings
from kitbuild.documents.run_office import run_buy_sheet, run_cost_sheet
from kitbuild.documents.run_pick_sheets import run_kit_sheet, run_pick_sheet
from kitbuild.outcome import Outcome
from kitbuild.plan_file import PLAN, plan_bytes
from kitbuild.production.bundles import about_bundles, usable
from kitbuild.production.buying import buys
from kitbuild.production.cautions import notes
from kitbuild.production.cost import cost
from kitbuild.production.cutting import CutPlan, blanks
from kitbuild.production.cutting import plan as plan_cuts
from kitbuild.production.picks import picks
from kitbuild.production.run import plan_run
from kitbuild.production.run_cost import run_costs
from kitbuild.production.run_records import Boxed, Run
from kitbuild.production.stock import items
from kitbuild.run_inputs import SHORT, Asked, must_be_named, read_asked
from kitbuild.run_steps import cancel, post, reserve
from kitbuild.spec.records import Kit, Range

DOCUMENTS: Final = (
    run_pick_sheet,
    run_kit_sheet,
    run_cut_sheet,
    run_buy_sheet,
    run_check_sheet,
    run_cost_sheet,
)
Tell = Callable[[str], None]


def batch(run: str, action: str, out: Path, tell: Tell) -> Outcome:
    """Plan a run into `out`/batch/`run`, or take a step with it; the exit code is 4 where orders wait."""
    steps = {"plan": _plan, "reserve": reserve, "post": post, "cancel": cancel}
    try:
        must_be_named(run)
        return steps[action](run, out / "batch" / run, tell)
    except Expected as expected:
        return Outcome(expected.problems, expected.exit_code)


def _plan(run: str, folder: Path, tell: Tell) -> Outcome:
    """Everything that can be made, written; what waits is told."""
    from kitbuild.production.cut_plan import cut

    asked = read_asked(run)
    amounts = {code: measured(asked.kits, code) for code in sorted({order.kit for order in asked.orders})}
    boxed = {code: each[0] for code, each in amounts.items()}
    planned = plan_run(run, asked.orders, boxed, asked.lots, cut, usable(asked.bundles, boxed))
    job = run_job(asked.kits, planned, {code: each[1] for code, each in amounts.items()})
    _write(asked, job, folder)
    for told in about_bundles(asked.bundles, planned, asked.lots):
        tell(told)
    boxes = sum(each.boxes for each in planned.served)
    tell(f"{run}: {boxes} of {sum(order.quantity for order in asked.orders)} boxes planned, {folder}")
    return Outcome(waiting(planned), SHORT if planned.short else 0)


def waiting(run: Run) -> tuple[Problem, ...]:
    """A problem for each order that waits: for how many boxes, and for which items."""
    cure = "see the buy list; the others are planned"
    return tuple(
        Problem(
            each.order.place,
            "KB620",
            f"order {each.order.order} waits for {each.waits} of {each.order.quantity} {each.order.kit}: "
            f"short of {', '.join(each.lacks)}",
            cure,
        )
        for each in run.served
        if each.waits
    )


def measured(kits: Range, code: str) -> tuple[Boxed, Job]:
    """One kit as a run sees it, and as its documents do; InputProblems where it cannot be made."""
    kit = next(kit for kit in kits.kits if kit.code == code)
    amounts, _ = amounts_of(kit)
    cut, picked = blanks(amounts), picks(amounts)
    plan_cuts(cut)
    costs = cost(kit, picked)
    say, sheet = speaking(kit)[0], sheets(kit)[0][0]
    job = Job(amounts, picked, CutPlan(()), costs, notes(kit), Judgement((), ()), say, sheet)
    return Boxed(kit, picked, cut, costs, amounts.hours), job


def run_job(kits: Range, run: Run, jobs: Mapping[str, Job]) -> RunJob:
    """A run ready to be printed in the language and on the paper of its kits' `jobs`."""
    first = next(iter(jobs.values()))
    known = items(kits.materials, kits.kits)
    orders = buys(run.balances, known, kits.materials.suppliers)
    house = kits.house
    return RunJob(run, house, jobs, known, orders, run_costs(run, house), first.say, first.sheet)


def documents_of(job: RunJob, kit: Kit) -> tuple[Document, ...]:
    """Every document of a run on each of the workshop's papers."""
    made: list[Document] = []
    for sheet, suffix in sheets(kit):
        for each in DOCUMENTS:
            document = each(replace(job, sheet=sheet))
            made.append(replace(document, name=document.name + suffix))
    return (*made, run_labels(job))


def _write(asked: Asked, job: RunJob, folder: Path) -> None:
    from kitbuild import __version__
    from kitbuild.output.files import manifest_for, write_outputs

    kits = [each.kit for each in job.run.boxed.values()]
    files = _render(job, kits[0])
    files[PLAN] = plan_bytes(job.run, asked.lots, job.items)
    read = {name: content for kit in kits for name, content in sources(kit).items()} | asked.inputs
    inputs = {name: hashlib.sha256(content).hexdigest() for name, content in sorted(read.items())}
    manifest = manifest_for(
        version=__version__,
        code=job.run.name,
        edition=0,
        warnings=[str(problem) for problem in waiting(job.run)],
        files=files,
        inputs=dict.fromkeys(files, inputs),
    )
    write_outputs(folder, files, manifest)


def _render(job: RunJob, kit: Kit) -> dict[str, bytes]:
    from kitbuild.output.csv_text import render_csv
    from kitbuild.output.pdf import render_pdf

    try:
        files = {f"{document.name}.pdf": render_pdf(document) for document in documents_of(job, kit)}
    except DoesNotFit as error:
        cure = "use larger labels or paper (`labels`, `papers`), or shorten titles of the kits and materials"
        place = job.house.at("labels")
        raise InputProblems([Problem(place, "KB704", f"the run does not fit: {error}", cure)]) from error
    return files | {listing.name: render_csv(listing) for listing in run_listings(job)}
