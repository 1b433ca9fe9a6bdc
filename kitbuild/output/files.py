"""Writing a set of files into a folder: all of them beside their places first, then each into its place.

A reader sees an old file or a new one, never half of one. `manifest.json` comes last, so that a build that
was interrupted is simply not built. When anything cannot be written, nothing has been replaced.
"""

from __future__ import annotations

import errno
import hashlib
import json
import os
import re
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Final

from kitbuild.base.problem import Place, Problem, WriteProblem

MANIFEST: Final = "manifest.json"
MODE: Final = 0o644

_LEFTOVER: Final = re.compile(r"\..+\.tmp-(\d+)")

FOLDER, SPACE, IN_THE_WAY, OUTSIDE, BUSY, OTHER = "KB801", "KB802", "KB803", "KB804", "KB805", "KB806"

#: errno → code, what is wrong, cure.
_FAULTS: Final[dict[int, tuple[str, str, str]]] = {
    errno.ENOSPC: (SPACE, "the disk is full", "free some space, then build again"),
    errno.EDQUOT: (SPACE, "your share of the disk is full", "free some space and build again"),
    errno.EFBIG: (SPACE, "the file would be larger than is allowed here", "raise the limit (ulimit -f)"),
    errno.EROFS: (FOLDER, "the disk is read-only", "build into another folder with --out"),
    errno.ENOTDIR: (FOLDER, "a file stands where a folder must be", "move that file away, or choose --out"),
    errno.EEXIST: (FOLDER, "a file stands where a folder must be", "move that file away, or choose --out"),
    errno.EISDIR: (IN_THE_WAY, "a folder stands where the file must go", "move that folder away"),
}
_BUSY: Final = (
    BUSY,
    "not allowed to write it, or another program has it open",
    "close the viewer that shows it, or make the folder writable; then build again",
)


def write_outputs(
    folder: Path, files: Mapping[str, bytes], manifest: Mapping[str, object], kept: Collection[str] = ()
) -> None:
    """Write `files` (plain name → content) and then the manifest into `folder`, which is made when needed.

    Files that the folder's earlier manifest names and this one does not are removed at the end, but for those
    `kept` as they are. WriteProblem, with every earlier file as it was, when one of them cannot be written;
    ValueError for a name with a path.
    """
    wanted = {**dict(sorted(files.items())), MANIFEST: manifest_bytes(manifest)}
    for name in wanted:
        if not _plain(name) or (name == MANIFEST and name in files):
            raise ValueError(f"not the name of an output: {name!r}")
    _refuse_link(folder)
    with explained(folder):
        folder.mkdir(parents=True, exist_ok=True)
    _remove_leftovers(folder)
    before = _names_in_manifest(folder)
    _refuse_obstacles(folder, wanted)
    _write_and_replace(folder, wanted)
    for name in sorted(before.difference(wanted, kept)):
        with explained(folder / name):
            _remove_file(folder / name)


def manifest_for(
    *,
    version: str,
    code: str,
    edition: int,
    warnings: Sequence[str],
    files: Mapping[str, bytes],
    inputs: Mapping[str, Mapping[str, str]],
    kept: Mapping[str, str] | None = None,
) -> dict[str, object]:
    """What was built, by which version, from what.

    `inputs` gives each output's inputs (file → SHA-256); an output without an entry has none. `kept` are
    outputs that stay as they are, each with its SHA-256.
    """
    digests = {name: hashlib.sha256(content).hexdigest() for name, content in files.items()} | (kept or {})
    outputs = {
        name: {"sha256": digest, "inputs": dict(inputs.get(name, {}))} for name, digest in digests.items()
    }
    return {
        "tool": "kitbuild",
        "version": version,
        "code": code,
        "edition": edition,
        "warnings": list(warnings),
        "outputs": outputs,
    }


def manifest_bytes(manifest: Mapping[str, object]) -> bytes:
    """A manifest as it stands on disk: JSON in UTF-8, keys sorted, a new line at the end."""
    return (json.dumps(manifest, ensure_ascii=False, indent=2, sort_keys=True) + "\n").encode("utf-8")


def _plain(name: str) -> bool:
    return bool(name) and not name.startswith(".") and not re.search(r"[/\\:\0]", name)


@contextmanager
def explained(path: Path) -> Iterator[None]:
    """Any error of the operating system within becomes a WriteProblem at `path`."""
    try:
        yield
    except OSError as error:
        code, message, cure = _fault(error)
        raise WriteProblem([Problem(Place(path.as_posix()), code, message, cure)]) from error


def _fault(error: OSError) -> tuple[str, str, str]:
    if isinstance(error, PermissionError):
        return _BUSY
    unknown = (OTHER, f"could not be written: {error.strerror or error}", "see to the disk and build again")
    return _FAULTS.get(error.errno or 0, unknown)


def _refuse_link(folder: Path) -> None:
    """WriteProblem where the folder is a link that leads out of the one that it stands in."""
    if folder.is_symlink() and not folder.resolve().is_relative_to(folder.parent.resolve()):
        message = "it is a link that leads out of its folder"
        raise WriteProblem([Problem(Place(folder.as_posix()), OUTSIDE, message, "remove the link")])


def _refuse_obstacles(folder: Path, names: Mapping[str, bytes]) -> None:
    """WriteProblem with all that stands in the way, found before anything is written."""
    problems = [problem for name in names for problem in _obstacles(folder, folder / name)]
    if problems:
        raise WriteProblem(problems)


def _obstacles(folder: Path, path: Path) -> Iterator[Problem]:
    place = Place(path.as_posix())
    if path.is_symlink() and not path.resolve().is_relative_to(folder.resolve()):
        yield Problem(place, OUTSIDE, "it is a link that leads out of the folder", "remove the link")
    elif path.is_dir():
        yield Problem(place, *_FAULTS[errno.EISDIR])


def replace_file(path: Path, content: bytes) -> None:
    """Write one file beside its place and put it there; WriteProblem when that cannot be done."""
    _write_and_replace(path.parent, {path.name: content})


def sweep(folder: Path) -> None:
    """Remove what interrupted runs left in a folder, for one who knows that no other run is at work there."""
    _remove_leftovers(folder, alive=False)


def _write_and_replace(folder: Path, wanted: Mapping[str, bytes]) -> None:
    beside = {folder / name: folder / f".{name}.tmp-{os.getpid()}" for name in wanted}
    try:
        for (path, temporary), content in zip(beside.items(), wanted.values(), strict=True):
            with explained(path):
                _write(temporary, content)
        _each(beside, _stay_put)
        _each(beside, lambda path, temporary: os.replace(temporary, path))
        with explained(folder):
            _sync_folder(folder)
    finally:
        for temporary in beside.values():
            with suppress(OSError):
                temporary.unlink(missing_ok=True)


def _each(beside: Mapping[Path, Path], act: Callable[[Path, Path], None]) -> None:
    for path, temporary in beside.items():
        with explained(path):
            act(path, temporary)


def _stay_put(path: Path, _temporary: Path) -> None:
    """Rename a file to its own name: where an open file cannot be replaced, this fails before anything is."""
    if path.exists():
        os.replace(path, path)


def _write(path: Path, content: bytes) -> None:
    """Content on the disk, not only in its cache, readable by all whatever the mask."""
    with open(path, "xb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
    os.chmod(path, MODE)


def _sync_folder(folder: Path) -> None:
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _remove_leftovers(folder: Path, *, alive: bool = True) -> None:
    """Remove what an interrupted run left; one that lives keeps its files, where any can be `alive`."""
    with explained(folder):
        names = sorted(os.listdir(folder))
    for name in names:
        match = _LEFTOVER.fullmatch(name)
        if match and not (alive and lives(int(match[1]))):
            with explained(folder / name):
                _remove_file(folder / name)


def lives(process: int) -> bool:
    """Whether another process has this number. Windows cannot be asked, but removes no open file."""
    if os.name != "posix" or process == os.getpid():
        return False
    try:
        os.kill(process, 0)
    except (ProcessLookupError, OverflowError):
        return False
    except PermissionError:
        return True
    return True


def _remove_file(path: Path) -> None:
    if path.is_symlink() or path.is_file():
        path.unlink(missing_ok=True)


def _names_in_manifest(folder: Path) -> set[str]:
    """The outputs that the folder's manifest names; none when there is no manifest that can be read."""
    try:
        names = json.loads((folder / MANIFEST).read_bytes())["outputs"]
        return {name for name in names if isinstance(name, str) and _plain(name) and name != MANIFEST}
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return set()
