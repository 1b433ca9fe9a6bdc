"""`compare` and `release`: what changed between two editions of a kit, and freezing one."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import NamedTuple

from kitbuild.again import rerun, unkept
from kitbuild.base.document import Document
from kitbuild.base.problem import Expected, InputProblems, Place, Problem, errors
from kitbuild.build import Made, make
from kitbuild.commands import warnings_of
from kitbuild.documents.again_blocks import Remade
from kitbuild.documents.change_listing import change_listing
from kitbuild.documents.change_sheet import Comparison, change_sheet
from kitbuild.documents.wording import Wording, languages, wording
from kitbuild.editions import (
    compared,
    edition_folder,
    editions,
    gone,
    last_released,
    open_build,
    open_made,
)
from kitbuild.outcome import Outcome
from kitbuild.production.changes import Changes
from kitbuild.production.consequences import consequences
from kitbuild.release import release
from kitbuild.shelf import shelf_of
from kitbuild.spec.folder import KITS, read_range

CHANGES = "changes"
"""The folder, beside those of the kits, that sheets of changes are written to."""


class Asked(NamedTuple):
    """What to compare: two build folders, or a code's released edition (the last, or that of `edition`).

    `again` takes that edition's own spec and not today's. `packed` boxes of the earlier one lie about.
    """

    what: Sequence[str]
    edition: int | None = None
    again: bool = False
    packed: int | None = None


def compare(asked: Asked, out: Path, width: int, tell: Callable[[str], None]) -> Outcome:
    """Compare two builds, or a kit's released edition with what would be built today.

    Tells the differences in lines of at most `width` columns, and writes the sheet of changes below `out`.
    """
    try:
        found, remade, problems = _compared(asked)
        shelf = shelf_of(found.new.code, found.new.edition)
        means = consequences(found, asked.packed)
        if remade and remade.faults:
            means = replace(means, papers=())
        job = Comparison(found, means, _speaker(found), remade=remade, stale=shelf.stale)
        sheet = change_sheet(job)
        try:
            folder = _write(job, out)
        finally:
            for line in _text(sheet, width):
                tell(line)
        tell(f"\n{folder.as_posix()}")
    except Expected as expected:
        return Outcome(expected.problems, expected.exit_code)
    return Outcome((*problems, *shelf.told), int(bool(errors(problems))))


def _compared(asked: Asked) -> tuple[Changes, Remade | None, tuple[Problem, ...]]:
    """What differs, how the edition was made again where it was, and what is to be told of it."""
    if len(asked.what) == 2:
        return _two_builds(*map(Path, asked.what)), None, ()
    (code,), number = asked.what, asked.edition
    if not asked.again:
        found, warnings = _with_release(code, number)
        return found, None, warnings
    released = last_released(KITS, code, number)
    if released is None:
        raise InputProblems([_unreleased(code, number, Place(KITS.as_posix()))])
    if again := rerun(KITS, code, released.edition):
        return again
    found, warnings = _with_release(code, number)
    return found, Remade((), (), kept=False), (*warnings, unkept(KITS, code, released.edition))


def _two_builds(old: Path, new: Path) -> Changes:
    """What differs between two build folders; both are read before anything is said of either."""
    opened, problems = [], []
    for folder in (old, new):
        try:
            opened.append(open_build(folder))
        except InputProblems as fault:
            problems += fault.problems
    if problems:
        raise InputProblems(problems)
    return compared(*opened, Place(new.as_posix()))


def _with_release(code: str, number: int | None) -> tuple[Changes, tuple[Problem, ...]]:
    """What today's spec and materials make of a kit against its last released edition, or `number`."""
    try:
        made, _ = _made(code)
    except InputProblems as unmade:
        raise InputProblems([*unmade.problems, *_gone(code, number)]) from unmade
    released = last_released(KITS, code, number)
    if released is None:
        raise InputProblems([_unreleased(code, number, made.kit.at())])
    return compared(released, open_made(made), made.kit.at()), made.warnings


def is_released(code: str) -> bool:
    """Whether an edition of a kit is kept, be it in the range or not."""
    return bool(editions(KITS, code))


def _unreleased(code: str, number: int | None, place: Place) -> Problem:
    """The problem that there is no released edition, or none of a number."""
    numbers = editions(KITS, code)
    if number is not None and numbers:
        message = f"no edition {number} of {code} is released"
        return Problem(place, "KB909", message, f"name one of: {', '.join(map(str, numbers))}")
    cure = f"`kitbuild release {code}` keeps one, or name two build folders"
    return Problem(place, "KB909", f"no edition of {code} is released", cure)


def _gone(code: str, number: int | None) -> Iterator[Problem]:
    """What a kit's released edition packs and the materials have no more."""
    kits, released = read_range(KITS)[0], last_released(KITS, code, number)
    if kits and released:
        yield from gone(released, edition_folder(KITS, code, released.edition), kits.materials)


def _made(code: str) -> tuple[Made, tuple[Problem, ...]]:
    """A kit of the range as it would be built; InputProblems where it cannot be."""
    kits, found = read_range(KITS)
    kit = next((kit for kit in (kits.kits if kits else ()) if kit.code == code), None)
    if kit is None:
        raise InputProblems(errors(found))
    return make(kit, warnings_of(kit, found)), found


def _speaker(found: Changes) -> Wording:
    """The catalogue of the workshop's first language, English where there is none."""
    language = found.new.facts["language"]
    return wording(language if language in languages() else "en")


def _text(sheet: Document, width: int) -> Iterator[str]:
    from kitbuild.output.plain_text import render_text

    return render_text(sheet, width)


def _write(job: Comparison, out: Path) -> Path:
    """Write the sheet of changes, its page for a screen and its open data; the folder that they are in."""
    from kitbuild import __version__
    from kitbuild.output.csv_text import render_csv
    from kitbuild.output.files import manifest_for, write_outputs
    from kitbuild.output.html import render_html
    from kitbuild.output.pdf import render_pdf

    used = job.remade.used if job.remade else ()
    sheet = change_sheet(job)
    listing = change_listing(job.found, job.means.papers, used, job.stale or ())
    page = change_sheet(replace(job, screen=True))
    files = {
        f"{sheet.name}.pdf": render_pdf(sheet),
        f"{page.name}.html": render_html(page),
        listing.name: render_csv(listing),
    }
    manifest = manifest_for(
        version=__version__, code=sheet.code, edition=sheet.edition, warnings=[], files=files, inputs={}
    )
    folder = out / CHANGES / sheet.code
    write_outputs(folder, files, manifest)
    return folder


def release_edition(code: str, tell: Callable[[str], None]) -> Outcome:
    """Freeze a kit's edition into the range, or say all that speaks against it."""
    try:
        made, _ = _made(code)
        release(made, KITS, tell)
    except Expected as expected:
        return Outcome(expected.problems, expected.exit_code)
    return Outcome((), 0)
