"""`bundle`: thread bundles made ahead, planned from free thread and then booked in for it."""

from __future__ import annotations

import datetime
import hashlib
import json
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any, Final

from kitbuild.base.problem import Expected, InputProblems, Place, Problem, errors
from kitbuild.batch import measured
from kitbuild.documents.bundle_sheets import MakingJob, cards, making_list, making_listing
from kitbuild.outcome import Outcome
from kitbuild.production.bundles import Bundle, Making, plan_making
from kitbuild.production.stock import Lot
from kitbuild.run_inputs import LEDGER, SHORT, begun_ledger
from kitbuild.spec.folder import KITS, read_range
from kitbuild.spec.records import Range
from kitbuild.variants import for_the_house, printed

FOLDER: Final = "bundles"
PLAN: Final = "making.json"
MOST: Final = 9999
Tell = Callable[[str], None]


def plan(code: str, wanted: int, place: str, out: Path, tell: Tell) -> Outcome:
    """Plan so many bundles for a kit, to lie in bin `place`; the exit code is 4 where thread is short."""
    folder = out / FOLDER / code
    try:
        boxed, job = measured(_range(), code)
        with closing(begun_ledger()) as ledger:
            lots, number = ledger.free(), ledger.makings() + 1
        making = plan_making(f"m{number}", boxed, wanted, lots)
        _write(MakingJob(making, job), lots, place, folder)
    except Expected as expected:
        return Outcome(expected.problems, expected.exit_code)
    tell(f"{code}: {making.made} of {wanted} bundles planned, {folder.as_posix()}")
    if making.made == wanted:
        return Outcome((), 0)
    message = f"{wanted - making.made} of {wanted} bundles of {code} wait: short of {', '.join(making.lacks)}"
    short = Problem(Place(LEDGER.as_posix()), "KB620", message, "buy thread, or make fewer")
    return Outcome((short,), SHORT)


def post(code: str, out: Path, tell: Tell) -> Outcome:
    """Book the thread of the planned bundles out and the bundles in, once."""
    folder = out / FOLDER / code
    try:
        data = _read(code, folder)
        today = datetime.date.today().isoformat()
        made = [
            (Bundle(*bundle), Lot(bundle[0], bundle[1], data["bin"], many, today))
            for bundle, many in data["lots"]
        ]
        taken = {(item, lot): many for item, lot, many, _ in data["taken"]}
        seen = {(item, lot): free for item, lot, _, free in data["taken"]}
        with closing(begun_ledger()) as ledger:
            ledger.make(data["making"], taken, seen, made)
    except Expected as expected:
        return Outcome(expected.problems, expected.exit_code)
    tell(f"{code}: {sum(lot.quantity for _, lot in made)} bundles booked in")
    return Outcome((), 0)


def _range() -> Range:
    kits, found = read_range(KITS)
    if kits is None:
        raise InputProblems(errors(found))
    return kits


def _write(job: MakingJob, lots: tuple[Lot, ...], place: str, folder: Path) -> None:
    from kitbuild import __version__
    from kitbuild.output.csv_text import render_csv
    from kitbuild.output.files import manifest_for, write_outputs
    from kitbuild.output.pdf import render_pdf

    making, house = job.making, for_the_house(job.job.kit.house)
    documents = [*printed(house, lambda each: making_list(job.on(each.sheet)))]
    if making.made:
        documents.append(cards(job))
    files = {f"{document.name}.pdf": render_pdf(document) for document in documents}
    listing = making_listing(job)
    files |= {listing.name: render_csv(listing), PLAN: _plan_bytes(making, lots, place)}
    manifest = manifest_for(
        version=__version__,
        code=making.kit.kit,
        edition=making.kit.edition,
        warnings=[],
        files=files,
        inputs={},
    )
    write_outputs(folder, files, manifest)


def _plan_bytes(making: Making, lots: tuple[Lot, ...], place: str) -> bytes:
    free = {(lot.item, lot.lot): lot.quantity for lot in lots}
    data = {
        "making": making.name,
        "bin": place,
        "taken": [[*key, many, free[key]] for key, many in making.taken.items()],
        "lots": [
            [[each.item, each.lot, each.kit, each.edition, each.made_of, dict(each.lots)], many]
            for each, many in making.lots
        ],
    }
    return (json.dumps(data, ensure_ascii=False, indent=1) + "\n").encode()


def _read(code: str, folder: Path) -> dict[str, Any]:
    """The plan as it was written; InputProblems where it is not there whole."""
    try:
        content = (folder / PLAN).read_bytes()
        outputs = json.loads((folder / "manifest.json").read_bytes())["outputs"]
        if outputs[PLAN]["sha256"] == hashlib.sha256(content).hexdigest():
            return json.loads(content)
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        pass
    message = f"bundles of {code} are not planned, or the plan was changed"
    cure = f"plan them: kitbuild bundle {code} 20"
    raise InputProblems([Problem(Place((folder / PLAN).as_posix()), "KB622", message, cure)])
