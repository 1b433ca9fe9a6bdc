"""A run's plan as run.json keeps it: what it takes of each lot, its offcuts, and what goes into which box."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import astuple, dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any, Final

from kitbuild.base.problem import InputProblems, Place, Problem
from kitbuild.production.packing import PackedColour, PackedKit, PackedLine, PackedOrder, Packing, packing
from kitbuild.production.run_records import Run
from kitbuild.production.stock import Item, Lot
from kitbuild.run_names import command_of

PLAN: Final = "run.json"
Key = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Plan:
    """`taken` leaves each lot, of which so much was free; `offcuts` come in on the day of posting."""

    taken: Mapping[Key, int]
    free: Mapping[Key, int]
    offcuts: tuple[Lot, ...]
    packing: Packing


def plan_bytes(run: Run, lots: Iterable[Lot], items: Mapping[str, Item]) -> bytes:
    """The plan of a run from these free lots."""
    free = {(lot.item, lot.lot): lot.quantity for lot in lots}
    packed = packing(run)
    plan = {
        "run": run.name,
        "taken": [[*key, quantity, free[key]] for key, quantity in run.taken.items()],
        "offcuts": [[*key, items[key[0]].bin, many] for key, many in run.offcuts.items()],
        "kits": [[*astuple(kit)[:3], [astuple(each) for each in kit.colours]] for kit in packed.kits],
        "lines": [[*astuple(line)[:-1], str(line.share)] for line in packed.lines],
        "orders": [astuple(each) for each in packed.orders],
        "bundles": [[*key, lots] for key, lots in packed.bundles.items()],
    }
    return (json.dumps(plan, ensure_ascii=False, indent=1) + "\n").encode()


def read_plan(run: str, folder: Path) -> tuple[Plan, str]:
    """A plan as it was written, with its digest; InputProblems where it is not there whole."""
    try:
        content = (folder / PLAN).read_bytes()
        outputs = json.loads((folder / "manifest.json").read_bytes())["outputs"]
        digest = hashlib.sha256(content).hexdigest()
        if outputs[PLAN]["sha256"] == digest:
            return _plan(json.loads(content)), digest
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        pass
    message = f"the plan of run {run} is not there, or was changed"
    place = Place((folder / PLAN).as_posix())
    raise InputProblems([Problem(place, "KB622", message, f"plan it: {command_of(run)}")])


def _plan(data: Mapping[str, Any]) -> Plan:
    taken = data["taken"]
    return Plan(
        {(item, lot): quantity for item, lot, quantity, _ in taken},
        {(item, lot): free for item, lot, _, free in taken},
        tuple(Lot(item, lot, place, many, "") for item, lot, place, many in data["offcuts"]),
        Packing(
            data["run"],
            tuple(_kit(*each) for each in data["kits"]),
            tuple(PackedLine(*each[:-1], Fraction(each[-1])) for each in data["lines"]),
            tuple(PackedOrder(*each) for each in data["orders"]),
            {(item, lot): lots for item, lot, lots in data["bundles"]},
        ),
    )


def _kit(kit: str, edition: int, title: str, colours: Iterable[Sequence[Any]]) -> PackedKit:
    return PackedKit(kit, edition, title, tuple(PackedColour(*each) for each in colours))
