"""Releasing an edition: what keeps it from being released, and writing it into kits/released/."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

from kitbuild.base.problem import InputProblems, Problem
from kitbuild.build import Made, amounts_of, render
from kitbuild.documents.used_listing import used_listing
from kitbuild.editions import digests_of, edition_folder, last_released, open_data, open_made
from kitbuild.kept import keep_spec
from kitbuild.production.changes import changes
from kitbuild.production.opened import Opened
from kitbuild.spec.records import Kit


def release(made: Made, kits: Path, tell: Callable[[str], None]) -> None:
    """Freeze the edition of a kit; InputProblems with all that speaks against it, or WriteProblem."""
    kit, last = made.kit, last_released(kits, made.kit.code)
    if last is not None and last.edition == kit.edition and not changes(last, open_made(made)).printed:
        tell(f"{kit.code}: edition {kit.edition} is released already and still the same")
        return
    problems = [*made.warnings, *_obstacles(made, last)]
    if any(not problem.warning for problem in problems):
        raise InputProblems(problems)
    render(made)
    folder = _write(made, kits)
    tell(f"{kit.code}: edition {kit.edition} released, {folder.as_posix()}")


def _obstacles(made: Made, last: Opened | None) -> Iterator[Problem]:
    """All that keeps an edition from being released."""
    kit = made.kit
    yield from _number(kit, last)
    if made.warnings:
        count = len(made.warnings)
        message = f"{count} warning{'s are' if count > 1 else ' is'} open"
        yield Problem(kit.at(), "KB905", message, "cure them, or accept each with its reason under `accept`")
    if not kit.untested and not amounts_of(kit)[0].found:
        message = f"no test stitch of edition {kit.edition} counts"
        cure = "write its answers into a file of `kind: test`, or say why there is none under `untested`"
        yield Problem(kit.at(), "KB906", message, cure)
    for piece in kit.pieces:
        if piece.finish.kind in ("sleeve", "box") and not piece.canvas.measured:
            message = f"the {piece.finish.kind}'s size rests on the nominal count of {piece.canvas.key}"
            cure = "measure 50 holes of a real sheet and state measured_pitch in the materials"
            yield Problem(piece.at("canvas"), "KB907", message, cure)


def _number(kit: Kit, last: Opened | None) -> Iterator[Problem]:
    """An edition that differs from the last has a higher number."""
    if last is not None and kit.edition <= last.edition:
        message = f"edition {last.edition} is released, and this one is not numbered above it"
        yield Problem(kit.file("edition"), "KB908", message, f"write `edition: {last.edition + 1}`")


def _write(made: Made, kits: Path) -> Path:
    """The kept spec first: an edition whose own manifest is missing is none."""
    from kitbuild import __version__
    from kitbuild.output.csv_text import render_csv
    from kitbuild.output.files import manifest_for, write_outputs

    kit, listing = made.kit, used_listing(made.kit)
    files = {**open_data(made), listing.name: render_csv(listing)}
    manifest = manifest_for(
        version=__version__,
        code=kit.code,
        edition=kit.edition,
        warnings=[],
        files=files,
        inputs=dict.fromkeys(files, digests_of(made)),
    )
    folder = edition_folder(kits, kit.code, kit.edition)
    keep_spec(made, folder, __version__)
    write_outputs(folder, files, manifest)
    return folder
