"""`compare` and `release`: what changed between two editions of a kit, and freezing one."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path

from kitbuild.base.document import Document
from kitbuild.base.problem import Expected, InputProblems, Place, Problem, errors
from kitbuild.build import Made, make
from kitbuild.commands import warnings_of
from kitbuild.documents.change_listing import change_listing
from kitbuild.documents.change_sheet import Comparison, change_sheet
from kitbuild.documents.wording import Wording, languages, wording
from kitbuild.editions import compared, edition_folder, gone, last_released, open_build, open_made
from kitbuild.outcome import Outcome
from kitbuild.production.changes import Changes
from kitbuild.production.consequences import consequences
from kitbuild.release import release
from kitbuild.shelf import shelf_of
from kitbuild.spec.folder import KITS, read_range

CHANGES = "changes"
"""The folder, beside those of the kits, that sheets of changes are written to."""


def compare(
    what: Sequence[str], out: Path, packed: int | None, width: int, tell: Callable[[str], None]
) -> Outcome:
    """Compare two builds, or a kit's last released edition with what would be built today.

    Tells the differences in lines of at most `width` columns, and writes the sheet of changes below `out`.
    """
    try:
        found, warnings = _two_builds(*map(Path, what)) if len(what) == 2 else _with_release(what[0])
        shelf = shelf_of(found.new.code, found.new.edition)
        job = Comparison(found, consequences(found, packed), _speaker(found), stale=shelf.stale)
        sheet = change_sheet(job)
        try:
            folder = _write(job, out)
        finally:
            for line in _text(sheet, width):
                tell(line)
        tell(f"\n{folder.as_posix()}")
    except Expected as expected:
        return Outcome(expected.problems, expected.exit_code)
    return Outcome((*warnings, *shelf.told), 0)


def _two_builds(old: Path, new: Path) -> tuple[Changes, tuple[Problem, ...]]:
    """What differs between two build folders; both are read before anything is said of either."""
    opened, problems = [], []
    for folder in (old, new):
        try:
            opened.append(open_build(folder))
        except InputProblems as fault:
            problems += fault.problems
    if problems:
        raise InputProblems(problems)
    return compared(*opened, Place(new.as_posix())), ()


def _with_release(code: str) -> tuple[Changes, tuple[Problem, ...]]:
    """What today's spec and materials make of a kit against its last released edition."""
    try:
        made, _ = _made(code)
    except InputProblems as unmade:
        raise InputProblems([*unmade.problems, *_gone(code)]) from unmade
    released = last_released(KITS, code)
    if released is None:
        cure = f"`kitbuild release {code}` keeps one, or name two build folders"
        raise InputProblems([Problem(made.kit.at(), "KB909", f"no edition of {code} is released", cure)])
    return compared(released, open_made(made), made.kit.at()), made.warnings


def _gone(code: str) -> Iterator[Problem]:
    """What a kit's last released edition packs and the materials have no more."""
    kits, released = read_range(KITS)[0], last_released(KITS, code)
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

    sheet, listing = change_sheet(job), change_listing(job.found, job.means.papers, job.stale or ())
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
