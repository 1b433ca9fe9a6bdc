"""What of the tool itself its outputs depend on: its program, schemas, wording and fonts, and its libraries.

Everything is read and digested at each run, which takes a few milliseconds and cannot be out of date.
"""

from __future__ import annotations

import hashlib
import os
import re
import sys
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Final, NamedTuple

PACKAGE: Final = Path(__file__).parent
LIBRARIES: Final = (
    *("babel", "coloraide", "jinja2", "jsonschema", "markupsafe"),
    *("numpy", "pillow", "python_stdnum", "pyyaml", "reportlab"),
)
"""Whose other version may give other bytes."""
_INSTALLED: Final = re.compile(r"(.+?)-[^-]+(-py[\d.]+)?\.(dist|egg)-info")


class Own(NamedTuple):
    """SHA-256 of the tool's parts: `files` as the manifest names them, and `libraries` with Python itself."""

    files: Mapping[str, str]
    libraries: str

    @property
    def drawing(self) -> str:
        """All that makes the same blocks into the same bytes."""
        return digest(repr((self.files["kitbuild/program"], self.files["kitbuild/fonts"], self.libraries)))

    @property
    def all(self) -> str:
        """Every part."""
        return digest(repr((sorted(self.files.items()), self.libraries)))


def digest(text: str) -> str:
    """SHA-256 of a text."""
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


@cache
def own() -> Own:
    """The parts as they lie on the disk, once in a process: what is loaded later is never older than that."""
    inside = PACKAGE / "schemas"
    files = {
        "kitbuild/fonts": _folder(PACKAGE / "fonts"),
        "kitbuild/program": _folder(PACKAGE, ("fonts", "schemas", "wording")),
        "kitbuild/schemas": _folder(inside if inside.is_dir() else PACKAGE.parent / "schemas"),
    }
    for entry in sorted(os.listdir(PACKAGE / "wording")):
        path = PACKAGE / "wording" / entry
        if path.suffix == ".yaml":
            files[f"kitbuild/wording/{entry}"] = hashlib.sha256(path.read_bytes()).hexdigest()
    return Own(files, digest(repr((sys.implementation.name, sys.version, sorted(_libraries())))))


def _folder(folder: Path, without: tuple[str, ...] = ()) -> str:
    """One digest of the names and bytes of all files of a folder, but for some folders directly in it."""
    found = hashlib.sha256()
    for name, path in _files(os.fspath(folder), "", without):
        with open(path, "rb") as file:
            content = hashlib.sha256(file.read()).hexdigest()
        found.update(f"{name}\0{content}\n".encode("utf-8", "surrogatepass"))
    return found.hexdigest()


def _files(folder: str, prefix: str, without: tuple[str, ...] = ()) -> Iterator[tuple[str, str]]:
    """Name and path of each file, in order; nothing that Python or an editor keeps for itself."""
    with os.scandir(folder) as entries:
        found = sorted(entries, key=lambda entry: entry.name)
    for entry in found:
        if entry.name in without or entry.name == "__pycache__" or entry.name.startswith("."):
            continue
        if entry.is_dir():
            yield from _files(entry.path, f"{prefix}{entry.name}/")
        elif entry.is_file() and not entry.name.endswith(".pyc"):
            yield prefix + entry.name, entry.path


def _libraries() -> Iterator[str]:
    """The libraries that are installed, with their versions, as their folders' names say them."""
    for folder in dict.fromkeys(sys.path):
        try:
            names = os.listdir(folder or ".")
        except OSError:
            continue
        for name in names:
            found = _INSTALLED.fullmatch(name)
            if found and re.sub(r"[-_.]+", "_", found[1]).lower() in LIBRARIES:
                yield name
