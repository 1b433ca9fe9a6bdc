"""Rules for class files: they teach a kit of the range and a piece of it, each under a name of its own."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

from kitbuild.base.problem import Place, Problem
from kitbuild.spec.draft import Draft, sold
from kitbuild.spec.trial_rules import all_codes
from kitbuild.spec.words import shown, suggestion

_NOT_STITCHING: Final = ("welcome", "threading", "start", "break", "end")


def taught_kits_are_known(draft: Draft) -> Iterator[Problem]:
    """A class names a kit of the range, and one of its pieces."""
    codes, kits = all_codes(draft), {one.code: one for kit in draft.kits for one in sold(kit)}
    for file in draft.classes:
        code, piece = file.data.get("kit"), file.data.get("piece")
        if codes is not None and code is not None and code not in codes:
            cure = suggestion(code, codes, "name a kit of the range, or take the file out")
            yield Problem(file.at("kit"), "KB345", f"there is no kit {shown(code)}", cure)
        pieces = kits[code].file.names("pieces") if code in kits else None
        if pieces is not None and piece is not None and piece not in pieces:
            cure = suggestion(piece, pieces, "name one of its pieces")
            yield Problem(file.at("piece"), "KB345", f"{code} has no piece {shown(piece)}", cure)


def a_class_has_a_name_of_its_own(draft: Draft) -> Iterator[Problem]:
    """Two classes of one name would overwrite each other's papers."""
    seen: dict[str, Place] = {}
    for file in draft.classes:
        name = file.data.get("name")
        if name is None:
            continue
        if name in seen:
            message = f"the name {shown(name)} is taken by the class at {seen[name]}"
            yield Problem(file.at("name"), "KB346", message, "give each class a name of its own")
        seen.setdefault(name, file.at("name"))


def a_class_has_time_to_stitch(draft: Draft) -> Iterator[Problem]:
    """What is not stitching leaves at least a quarter of an hour of the class."""
    for file in draft.classes:
        times, minutes = file.data.get("times", {}), file.data.get("minutes")
        if minutes is None or any(name not in times for name in _NOT_STITCHING):
            continue
        other = sum(times[name] for name in _NOT_STITCHING)
        if minutes - other < 15:
            message = f"of {minutes} minutes {max(minutes - other, 0)} are left to stitch"
            cure = f"plan {other + 15} minutes or more, or shorten what is under `times`"
            yield Problem(file.at("minutes"), "KB347", message, cure)


RULES: Final[tuple[Callable[[Draft], Iterator[Problem]], ...]] = (
    taught_kits_are_known,
    a_class_has_a_name_of_its_own,
    a_class_has_time_to_stitch,
)
