"""A production run from orders and stock to its lists: plan, then reserve, post or cancel."""

from __future__ import annotations

import datetime
import hashlib
from collections.abc import Callable, Iterable, Mapping
from contextlib import closing
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path
from typing import Final

from kitbuild.base.document import Document, DoesNotFit
from kitbuild.base.problem import Expected, InputProblems, Place, Problem, errors
from kitbuild.build import amounts_of, sheets, sources, speaking
from kitbuild.documents.job import Job, Judgement
from kitbuild.documents.run_check_sheet import run_check_sheet
from kitbuild.documents.run_cut_sheet import run_cut_sheet
from kitbuild.documents.run_job import RunJob
from kitbuild.documents.run_labels import run_labels
from kitbuild.documents.run_listings import run_listings
from kitbuild.documents.run_office import run_buy_sheet, run_cost_sheet
from kitbuild.documents.run_pick_sheets import run_kit_sheet, run_pick_sheet
from kitbuild.ledger import Ledger
from kitbuild.ledger_boxes import Posting
from kitbuild.outcome import Outcome
from kitbuild.plan_file import PLAN, Plan, plan_bytes, read_plan
from kitbuild.production.bundles import Bundle, about_bundles, usable
from kitbuild.production.buying import buys
from kitbuild.production.cautions import notes
from kitbuild.production.cost import cost
from kitbuild.production.cutting import CutPlan, blanks
from kitbuild.production.cutting import plan as plan_cuts
from kitbuild.production.licences import licence_faults, posting_faults
from kitbuild.production.orders import Order, read_orders
from kitbuild.production.packing import Packing, boxes_of
from kitbuild.production.picked import beyond, outturn, read_picked
from kitbuild.production.picked import waiting as short_of
from kitbuild.production.picks import picks
from kitbuild.production.run import plan_run
from kitbuild.production.run_cost import run_costs
from kitbuild.production.run_records import Boxed, Run
from kitbuild.production.stock import BUNDLE, Lot, items, read_stock
from kitbuild.run_names import RUN
from kitbuild.spec.folder import KITS, read_range
from kitbuild.spec.records import Kit, Range

ORDERS, STOCK, LEDGER = KITS / "orders.csv", KITS / "stock.csv", KITS / "stock.sqlite"
SHORT: Final = 4
"""The exit code where orders wait for stock."""
DOCUMENTS: Final = (
    run_pick_sheet,
    run_kit_sheet,
    run_cut_sheet,
    run_buy_sheet,
    run_check_sheet,
    run_cost_sheet,
)
Tell = Callable[[str], None]


@dataclass(frozen=True, slots=True, eq=False)
class Asked:
    """What a run is planned from: the range, the orders, the stock, and the bytes they were read from.

    `packed` are the boxes of each kit that the ledger knows to be packed, none where none was begun.
    """

    kits: Range
    orders: tuple[Order, ...]
    lots: tuple[Lot, ...]
    inputs: Mapping[str, bytes]
    packed: Mapping[str, int] = field(default_factory=dict)
    bundles: tuple[Bundle, ...] = ()


def batch(run: str, action: str, out: Path, tell: Tell) -> Outcome:
    """Plan a run into `out`/batch/`run`, or take a step with it; the exit code is 4 where orders wait."""
    steps = {"plan": _plan, "reserve": reserve, "post": post, "cancel": cancel}
    try:
        _named(run)
        return steps[action](run, out / "batch" / run, tell)
    except Expected as expected:
        return Outcome(expected.problems, expected.exit_code)


def _named(run: str) -> None:
    """InputProblems where a run's name cannot be used."""
    if not RUN.fullmatch(run):
        cure = "use letters, digits and hyphens, such as 2026-w41"
        raise InputProblems([Problem(Place("batch"), "KB624", "the run's name cannot be used", cure)])


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


def read_asked(run: str = "") -> Asked:
    """Orders, kits and stock; InputProblems with everything that is wrong with them."""
    kits, found = read_range(KITS)
    problems = list(errors(found)) if kits is None else []
    orders: tuple[Order, ...] = ()
    lots: tuple[Lot, ...] = ()
    packed: Mapping[str, int] = {}
    inputs: dict[str, bytes] = {}
    if kits:
        content = content_of(ORDERS, "KB101", "write a row for each order")
        orders, wrong = read_orders(ORDERS.as_posix(), content, [kit.code for kit in kits.kits])
        problems += [*wrong, *(errors(found) if any(each.code == "KB612" for each in wrong) else ())]
        lots, packed, told, counted = stock_of(kits, run)
        problems += [*told, *licence_faults(kits.kits, orders, packed)]
        inputs = {ORDERS.as_posix(): content, **counted}
    if problems or kits is None:
        raise InputProblems(problems)
    return Asked(kits, orders, lots, inputs, packed, _bundles())


_Stock = tuple[tuple[Lot, ...], Mapping[str, int], tuple[Problem, ...], dict[str, bytes]]


def stock_of(kits: Range, run: str) -> _Stock:
    """What is free and what was packed by the ledger, or what is in stock.csv where none was begun.

    With the problems of it, and what was read for it.
    """
    if LEDGER.exists():
        with closing(Ledger(LEDGER)) as ledger:
            if ledger.begun:
                ledger.refuse_unless_open(run)
                return ledger.free(run), ledger.packed(), (), {}
    content = content_of(STOCK, "KB614", "write a row for each lot: item,lot,bin,quantity,received")
    lots, problems = read_stock(STOCK.as_posix(), content, items(kits.materials, kits.kits))
    problems += never_made(lots, (), STOCK)
    return lots, {}, problems, {STOCK.as_posix(): content}


def never_made(lots: Iterable[Lot], made: Iterable[Bundle], file: Path) -> tuple[Problem, ...]:
    """A problem for each lot of bundles of which nobody knows what is in them."""
    known = {(each.item, each.lot) for each in made}
    return tuple(
        Problem(
            Place(file.as_posix()),
            "KB634",
            f"{lot.item} has no lot {lot.lot or '(without a name)'} that was made here",
            "bundles come in when they are made: kitbuild bundle CODE NUMBER",
        )
        for lot in lots
        if lot.item.endswith(f"-{BUNDLE}") and (lot.item, lot.lot) not in known
    )


def _bundles() -> tuple[Bundle, ...]:
    """What the ledger knows of bundles made ahead."""
    if not LEDGER.exists():
        return ()
    with closing(Ledger(LEDGER)) as ledger:
        return ledger.bundles()


def content_of(path: Path, code: str, cure: str) -> bytes:
    """The bytes of a list; InputProblems with this code and cure where it cannot be read."""
    try:
        return path.read_bytes()
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        told = Problem(Place(path.as_posix()), code, f"the list cannot be read: {reason}", cure)
        raise InputProblems([told]) from error


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


def begun_ledger() -> Ledger:
    """The ledger, which a count must have begun."""
    if LEDGER.exists():
        ledger = Ledger(LEDGER)
        if ledger.begun:
            return ledger
        ledger.close()
    cure = "begin one with a count: kitbuild stock count"
    raise InputProblems([Problem(Place(LEDGER.as_posix()), "KB614", "there is no stock ledger", cure)])


def reserve(run: str, folder: Path, tell: Tell) -> Outcome:
    """Keep what the plan in `folder` takes for its run."""
    with closing(begun_ledger()) as ledger:
        plan, digest = read_plan(run, folder)
        ledger.reserve(run, digest, plan.taken, plan.free)
    tell(f"{run}: reserved")
    return Outcome((), 0)


def post_picked(run: str, file: Path, out: Path, tell: Tell) -> Outcome:
    """Post a run as its pick list came back; the exit code is 4 where orders wait for what was not picked."""
    try:
        _named(run)
        return post(run, out / "batch" / run, tell, file)
    except Expected as expected:
        return Outcome(expected.problems, expected.exit_code)


def post(run: str, folder: Path, tell: Tell, picked: Path | None = None) -> Outcome:
    """Take what a run has reserved out of stock, or what `picked` says was picked."""
    with closing(begun_ledger()) as ledger:
        ledger.must_be_reserved(run)
        plan, digest = read_plan(run, folder)
        today = datetime.date.today().isoformat()
        offcuts = tuple(replace(each, received=today) for each in plan.offcuts)
        packed, taken = plan.packing, None
        if picked:
            packed, taken = _as_picked(ledger, run, plan, picked, tell)
        posting = Posting(offcuts, packed.kits, boxes_of(packed), taken, _beyond_licences(packed))
        ledger.post(run, digest, posting)
    tell(f"{run}: posted")
    waits = tuple(short_of(plan.packing.orders, packed.orders, ORDERS.as_posix()))
    return Outcome(waits, SHORT if waits else 0)


def _as_picked(
    ledger: Ledger, run: str, plan: Plan, file: Path, tell: Tell
) -> tuple[Packing, Mapping[tuple[str, str], int]]:
    """What was packed and what leaves each lot; what differs from the plan is told."""
    content = content_of(file, "KB630", "name the run's pick list with its column `picked` filled in")
    rows, problems = read_picked(file.as_posix(), content, plan.packing, ledger.lots())
    if not problems:
        found = outturn(plan.packing, plan.taken, rows)
        problems = tuple(beyond(rows, found.taken, ledger.free(run)))
    if problems:
        raise InputProblems(problems)
    for row, many in found.over:
        tell(f"line {row.line.number}: {many} more of {row.line.item} are booked than the boxes take")
    for key in sorted(plan.taken.keys() | found.taken.keys()):
        if plan.taken.get(key, 0) != (now := found.taken.get(key, 0)):
            lot = f" lot {key[1]}" if key[1] else ""
            tell(f"{key[0]}{lot}: {now} booked, {plan.taken.get(key, 0)} planned")
    return found.packing, found.taken


def _beyond_licences(run: Packing) -> Callable[[Mapping[str, int]], Iterable[Problem]]:
    """What speaks against posting a run by the boxes packed before: others were posted since it was planned.

    InputProblems where a kit of the run cannot be read, since its licence is not known then.
    """
    kits, found = read_range(KITS)
    boxes: dict[str, int] = {}
    for each in run.orders:
        boxes[each.kit] = boxes.get(each.kit, 0) + each.boxes
    if kits is None or (errors(found) and boxes.keys() - {kit.code for kit in kits.kits}):
        raise InputProblems(errors(found))
    return partial(posting_faults, kits.kits, boxes)


def cancel(run: str, _folder: Path, tell: Tell) -> Outcome:
    """Let go of what a run has reserved."""
    with closing(begun_ledger()) as ledger:
        ledger.cancel(run)
    tell(f"{run}: cancelled")
    return Outcome((), 0)
