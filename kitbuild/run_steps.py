"""The steps of a planned run: its stock is reserved, then taken as it was picked, or given back."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterable, Mapping
from contextlib import closing
from dataclasses import replace
from functools import partial
from pathlib import Path

from kitbuild.base.problem import Expected, InputProblems, Problem, errors
from kitbuild.ledger import Ledger
from kitbuild.ledger_boxes import Posting
from kitbuild.outcome import Outcome
from kitbuild.plan_file import Plan, read_plan
from kitbuild.production.licences import posting_faults
from kitbuild.production.packing import Packing, boxes_of
from kitbuild.production.picked import beyond, outturn, read_picked
from kitbuild.production.picked import waiting as short_of
from kitbuild.run_inputs import ORDERS, SHORT, begun_ledger, content_of, must_be_named
from kitbuild.spec.folder import KITS, read_range

Tell = Callable[[str], None]


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
        must_be_named(run)
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
