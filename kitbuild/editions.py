"""Editions of a kit on disk: builds, and those released into kits/released/, each read back by its hashes."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any, Final

from kitbuild.base.problem import InputProblems, Place, Problem
from kitbuild.build import Made, sources
from kitbuild.production.changes import Changes, changes
from kitbuild.production.opened import LATER, READ, Opened, Unreadable, opened
from kitbuild.spec.materials import Materials
from kitbuild.stamp import MANIFEST, RELEASED

_MEND: Final = "build the kit again, or bring the folder back from a copy"


def open_build(folder: Path) -> Opened:
    """The open data of a build or of a released edition, proven by its manifest; else InputProblems."""
    manifest = _manifest(folder)
    outputs = manifest["outputs"]
    problems, files = [], {}
    for name in READ:
        if name in LATER and name not in outputs:
            continue
        content = _content(folder / name)
        digest = outputs[name].get("sha256") if isinstance(outputs.get(name), dict) else None
        if wrong := _wrong(content, digest):
            problems.append(Problem(Place(_shown(folder / name)), "KB903", wrong, _MEND))
        elif content is not None:
            files[name] = content
    if problems:
        raise InputProblems(problems)
    return _read(folder, files, str(manifest.get("version", "")), manifest)


def _read(folder: Path, files: Mapping[str, bytes], version: str, manifest: Mapping[str, Any]) -> Opened:
    try:
        found = opened(files, version)
    except Unreadable as fault:
        place = Place(_shown(folder / fault.file))
        raise InputProblems([Problem(place, "KB903", fault.what, _MEND)]) from fault
    if (found.code, found.edition) != (manifest.get("code"), manifest.get("edition")):
        place, message = (
            Place(_shown(folder / MANIFEST)),
            "it is of another kit or edition than the files beside it",
        )
        raise InputProblems([Problem(place, "KB903", message, _MEND)])
    return found


def _wrong(content: bytes | None, digest: object) -> str:
    """What is wrong with a file against its digest; "" when nothing is."""
    if content is None:
        return "the file is missing or cannot be read"
    if digest is None:
        return "the manifest does not name this file: an earlier version of kitbuild made it"
    return "" if hashlib.sha256(content).hexdigest() == digest else "the file is not the one that was built"


def _manifest(folder: Path) -> dict[str, Any]:
    """A folder's manifest; InputProblems when the folder is no build."""
    place = Place(_shown(folder))
    cure = "name a folder of one kit, such as build/WHIN"
    if not folder.is_dir():
        what = "this is no folder" if folder.exists() else "there is no such folder"
        raise InputProblems([Problem(place, "KB902", what, cure)])
    content = _content(folder / MANIFEST)
    if content is None:
        raise InputProblems([Problem(place, "KB902", "this is no build: it has no manifest.json", cure)])
    try:
        manifest = json.loads(content)
    except (ValueError, RecursionError):
        manifest = None
    if not isinstance(manifest, dict) or not isinstance(manifest.get("outputs"), dict):
        told = Problem(Place(_shown(folder / MANIFEST)), "KB902", "the manifest is damaged", _MEND)
        raise InputProblems([told])
    return manifest


def _content(path: Path) -> bytes | None:
    try:
        return path.read_bytes()
    except OSError:
        return None


def _shown(path: Path) -> str:
    from kitbuild.spec.words import shown

    return shown(path.as_posix()).strip("`")


def editions(kits: Path, code: str) -> tuple[int, ...]:
    """The numbers of a kit's released editions, upwards; one that was not written to its end is none."""
    folder = kits / RELEASED / code
    if not folder.is_dir():
        return ()
    numbers = (int(each.name) for each in folder.iterdir() if each.name.isdecimal())
    return tuple(sorted(number for number in numbers if (folder / str(number) / MANIFEST).exists()))


def edition_folder(kits: Path, code: str, number: int) -> Path:
    """Where a released edition is kept."""
    return kits / RELEASED / code / str(number)


def last_released(kits: Path, code: str, number: int | None = None) -> Opened | None:
    """The last released edition of a kit, or that of a number; None when there is none.

    InputProblems when it is damaged.
    """
    numbers = [each for each in editions(kits, code) if number in (None, each)]
    return open_build(edition_folder(kits, code, numbers[-1])) if numbers else None


def open_data(made: Made) -> dict[str, bytes]:
    """File name -> content of all listings of a kit."""
    from kitbuild.output.csv_text import render_csv

    return {listing.name: render_csv(listing) for listing in made.listings}


def open_made(made: Made) -> Opened:
    """A kit as it would be built today."""
    from kitbuild import __version__

    return opened(open_data(made), __version__)


def since_release(made: Made, kits: Path) -> Made:
    """The kit with a warning where what it prints or packs is not what was released under its number."""
    released = last_released(kits, made.kit.code)
    if released is None or made.kit.edition > released.edition:
        return made
    if made.kit.edition == released.edition and not changes(released, open_made(made)).printed:
        return made
    message = f"edition {released.edition} is released, and what is printed or packed differs from it"
    cure = f"write `edition: {released.edition + 1}`; `kitbuild compare {made.kit.code}` says what differs"
    told = Problem(made.kit.file("edition"), "KB901", message, cure, warning=True)
    return replace(made, warnings=tuple(sorted({*made.warnings, told})))


def gone(released: Opened, folder: Path, materials: Materials) -> Iterator[Problem]:
    """Everything that a released edition packs and that is no longer among the materials."""
    known = {*materials.canvases, *materials.threads, *materials.needles, *materials.extras}
    printed = {f"{released.code}-{kind}" for kind in ("booklet", "sheet")}
    for row in released["pick-list.csv"]:
        if row["item"] not in known | printed:
            what = f"{row['quantity']} × {row['unit']} of {row['item']} ({row['description']})"
            message = f"edition {released.edition} packs {what}, which the materials have no more"
            cure = "put it back into the materials, or write another into the spec and raise the edition; "
            cure += f"`kitbuild compare {released.code} --again` lists all else that differs"
            yield Problem(Place(_shown(folder / "pick-list.csv")), "KB910", message, cure)


def compared(old: Opened, new: Opened, place: Place) -> Changes:
    """What differs between two editions; InputProblems at `place` when they are of different kits."""
    if old.code != new.code:
        message = f"these are two kits, {old.code} and {new.code}"
        raise InputProblems([Problem(place, "KB904", message, "name two builds of one kit")])
    return changes(old, new)


def digests_of(made: Made) -> dict[str, str]:
    """File -> SHA-256 of everything in kits/ that a kit was made from."""
    return {name: hashlib.sha256(content).hexdigest() for name, content in sorted(sources(made.kit).items())}
