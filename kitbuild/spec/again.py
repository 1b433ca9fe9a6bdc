"""A kit from spec files that were kept, with today's workshop and materials."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Final

from kitbuild.base.problem import InputProblems, Problem, errors
from kitbuild.spec.charts import ChartFile, read_chart
from kitbuild.spec.check import Checked
from kitbuild.spec.draft import SECTIONS, Draft, sold
from kitbuild.spec.folder import gathered, range_of, read
from kitbuild.spec.house import House
from kitbuild.spec.make import house_record, materials_record
from kitbuild.spec.make_kits import kit_records, own_house, trial_record
from kitbuild.spec.materials import Materials
from kitbuild.spec.records import Kit, Trial
from kitbuild.spec.rules import faults

_KEPT_SECTIONS: Final = (*SECTIONS, "suppliers")


@dataclass(frozen=True, slots=True, eq=False)
class Again:
    """A kept spec read again.

    `materials` and `house` are today's, the house with the kit's own handling of thread where that can be
    read. `kit` is made of them, and of the kept ones where today has none; None where an error among
    `problems` forbids it.
    """

    kit: Kit | None
    materials: Materials
    house: House
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True, eq=False)
class _Kept:
    files: tuple[Checked, ...]
    charts: Mapping[str, ChartFile]
    problems: tuple[Problem, ...]

    def of(self, kind: str) -> tuple[Checked, ...]:
        return tuple(each for each in self.files if each.kind == kind)


def read_again(folder: Path, kept: Mapping[str, bytes], code: str) -> Again:
    """The kit `code` of kept files (shown name -> content) with what is in `folder` today.

    InputProblems where today's workshop file, materials or wording cannot be read.
    """
    found = gathered(folder)
    draft = replace(found.draft, kits=(), tests=(), classes=(), charts={}, all_kits=True)
    ground, problems = range_of(found._replace(draft=draft, withheld=frozenset()))
    if ground is None:
        raise InputProblems(errors(problems))
    old = _read(kept)
    joined = _joined(draft, old)
    own = {file.source.file for file in (*joined.kits, *joined.tests, *old.charts.values())}
    told = {*old.problems, *(each for each in faults(joined) if each.place.file in own)}
    told |= {each for each in problems if each.warning}
    unique = tuple(sorted(told))
    kit = None if errors(unique) else _kit(joined, ground.house.currency, code)
    data = next((file.data for file in joined.kits if code in {one.code for one in sold(file)}), {})
    return Again(kit, ground.materials, own_house(data, ground.house), unique)


def _read(kept: Mapping[str, bytes]) -> _Kept:
    """The kept files, each checked by itself."""
    files, charts, problems = [], {}, []
    for file, content in kept.items():
        if file.endswith(".csv"):
            charts[file.rpartition("/")[2]] = read_chart(file, content)
            continue
        one, found = read(file, content)
        if one:
            files.append(one)
        if one is None or one.kind in ("kit", "test"):
            problems += found
    return _Kept(tuple(files), charts, tuple(problems))


def _joined(draft: Draft, old: _Kept) -> Draft:
    """Today's files with the kept kit and its tests, and with what is kept of that which is gone."""
    had = {name: {key for key, _, _ in draft.parts(name)} for name in SECTIONS}
    had["suppliers"] = {key for file in draft.materials for key in file.data.get("suppliers", {})}
    lacking = tuple(_only(file, had) for file in old.of("materials"))
    boxes = {key: box for file in old.of("workshop") for key, box in file.data.get("boxes", {}).items()}
    return replace(
        draft,
        kits=old.of("kit"),
        tests=old.of("test"),
        charts=old.charts,
        materials=(*draft.materials, *lacking),
        workshops=tuple(_with_boxes(file, boxes) for file in draft.workshops),
    )


def _only(file: Checked, had: Mapping[str, set[str]]) -> Checked:
    """A kept materials file with those alone that today has not."""

    def left(data: Mapping[str, Any]) -> dict[str, Any]:
        return {**data, **{name: dict(_without(data.get(name, {}), had[name])) for name in _KEPT_SECTIONS}}

    return replace(file, data=left(file.data), written=left(file.written))


def _without(section: Mapping[str, Any], keys: set[str]) -> Iterator[tuple[str, Any]]:
    return ((key, part) for key, part in section.items() if key not in keys)


def _with_boxes(file: Checked, boxes: Mapping[str, Any]) -> Checked:
    def more(data: Mapping[str, Any]) -> dict[str, Any]:
        return {**data, "boxes": {**boxes, **data.get("boxes", {})}}

    return replace(file, data=more(file.data), written=more(file.written))


def _kit(draft: Draft, currency: str, code: str) -> Kit | None:
    """The kit of this code; everything about it was found to be sound."""
    house = house_record(draft.workshops[0], draft.wordings)
    materials = materials_record(draft.materials, currency)
    trials: dict[str, tuple[Trial, ...]] = {}
    for file in draft.tests:
        tested, trial = trial_record(file)
        trials[tested] = (*trials.get(tested, ()), trial)
    for file in draft.kits:
        for kit in kit_records(file, materials, house, draft.charts, trials):
            if kit.code == code:
                return kit
    return None
