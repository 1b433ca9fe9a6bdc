"""A released edition made again: its own spec, as it was kept, with today's materials and workshop."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

from kitbuild.base.problem import InputProblems, Place, Problem, errors
from kitbuild.build import make
from kitbuild.documents.again_blocks import Remade
from kitbuild.editions import edition_folder, open_build, open_made
from kitbuild.kept import kept_spec, kept_values
from kitbuild.production.changes import Changes, changes
from kitbuild.production.used import today, used_changes
from kitbuild.spec.again import read_again


class Rerun(NamedTuple):
    """What came of it: the differences, what the materials are otherwise, and what is to be told."""

    found: Changes
    remade: Remade
    problems: tuple[Problem, ...]


def rerun(kits: Path, code: str, number: int) -> Rerun | None:
    """The edition made again; None where its spec was not kept, InputProblems where it cannot be read.

    Where it can be read but not made, the later side of the differences is the earlier one.
    """
    folder = edition_folder(kits, code, number)
    released, kept = open_build(folder), kept_spec(folder)
    if kept is None:
        return None
    values = kept_values(folder)
    again = read_again(kits, kept, code)
    used = tuple(used_changes(values, today(values, again.materials, again.house)))
    try:
        if again.kit is None:
            raise InputProblems(errors(again.problems))
        made = make(again.kit, tuple(each for each in again.problems if each.warning))
    except InputProblems as fault:
        faults = errors(fault.problems)
        return Rerun(changes(released, released), Remade(used, faults), (*faults, _unmade(folder, number)))
    return Rerun(changes(released, open_made(made)), Remade(used, ()), ())


def _unmade(folder: Path, number: int) -> Problem:
    message = f"edition {number} cannot be made from today's materials and workshop"
    cure = "the lines beside this one say why, the sheet what is otherwise"
    return Problem(Place(folder.as_posix()), "KB912", message, cure)


def unkept(kits: Path, code: str, number: int) -> Problem:
    """The warning that an edition has no spec of its own."""
    message = f"edition {number} was released before its spec was kept with it"
    cure = "today's spec stands in its place"
    place = Place(edition_folder(kits, code, number).as_posix())
    return Problem(place, "KB911", message, cure, warning=True)
