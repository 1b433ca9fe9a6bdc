"""What a released edition was made of, kept beside its open data: its spec files, and the values used."""

from __future__ import annotations

import hashlib
import re
from pathlib import Path
from typing import Final

from kitbuild.base.problem import InputProblems, Place, Problem
from kitbuild.build import Made, sources
from kitbuild.output.files import manifest_for, write_outputs
from kitbuild.production.opened import Unreadable
from kitbuild.production.used import FILE, Value, read_used
from kitbuild.stamp import MANIFEST, manifest_digests

SPEC: Final = "spec"
"""The folder, in that of a released edition, with the files that it was parsed from."""
_MEND: Final = "bring the folder back from a copy"


def keep_spec(made: Made, folder: Path, version: str) -> None:
    """Write the files that a kit was parsed from into its edition's folder; WriteProblem if it cannot."""
    kit, files = made.kit, {_plain(name): content for name, content in sources(made.kit).items()}
    manifest = manifest_for(
        version=version, code=kit.code, edition=kit.edition, warnings=[], files=files, inputs={}
    )
    write_outputs(folder / SPEC, files, manifest)


def _plain(name: str) -> str:
    """A file's own name, with nothing in it that a path could be made of."""
    return re.sub(r"[\\:]", "_", name.rpartition("/")[2])


def kept_spec(folder: Path) -> dict[str, bytes] | None:
    """Shown name -> content of the kept spec files; None where none were kept, InputProblems where harmed."""
    if not (folder / SPEC).is_dir():
        return None
    digests = manifest_digests(_read(folder / SPEC / MANIFEST) or b"")
    if not digests:
        raise _harmed(folder / SPEC / MANIFEST, "the manifest is missing or damaged")
    files: dict[str, bytes] = {}
    for name, digest in digests.items():
        path = folder / SPEC / name
        content = _read(path)
        if content is None or hashlib.sha256(content).hexdigest() != digest:
            raise _harmed(path, "the file is not the one that was released")
        files[path.as_posix()] = content
    return files


def kept_values(folder: Path) -> tuple[Value, ...]:
    """The values that an edition was made with; InputProblems where they are missing or harmed."""
    path = folder / FILE
    content, manifest = _read(path), _read(folder / MANIFEST) or b""
    if content is None or manifest_digests(manifest).get(FILE) != hashlib.sha256(content).hexdigest():
        raise _harmed(path, "the file is not the one that was released")
    try:
        return read_used(content)
    except Unreadable as fault:
        raise _harmed(path, fault.what) from fault


def _harmed(path: Path, what: str) -> InputProblems:
    return InputProblems([Problem(Place(path.as_posix()), "KB903", what, _MEND)])


def _read(path: Path) -> bytes | None:
    try:
        return path.read_bytes()
    except OSError:
        return None
