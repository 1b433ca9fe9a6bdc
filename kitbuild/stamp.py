"""The stamp of an output folder: what was read, and how the files looked, when all was well.

It lets a build with nothing to do end after reading kits/ and asking for the state of each output, with no
parser and no library loaded. It is a help alone: without it the build looks more closely. What cannot be
trusted is digested, and an output is as good as its SHA-256 in the manifest says.
"""

from __future__ import annotations

import hashlib
import json
import marshal
import os
import time
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, NamedTuple
from zlib import crc32

if TYPE_CHECKING:
    from kitbuild.base.problem import Problem

KEPT: Final = ".kitbuild"
"""The folder beside the kits' folders with the lock, the stamp and what is remembered of each kit."""
STAMP: Final = "stamp.json"
MANIFEST: Final = "manifest.json"
RELEASED: Final = "released"
"""The folder of kits/ with the open data of released editions."""
FORM: Final = 2
COARSE_NS: Final = 2_000_000_000
"""Some disks know the time of a change to two seconds only."""

Look = tuple[int, int, int, int]
"""Size, times of the last changes of content and of state (ns), and number on the disk."""
Row = list[Any]
"""A problem as it is written: file, line, column, code, message, cure, whether it is a warning."""


class PackedLooks(Mapping[str, Look]):
    """How files looked, packed: a build of very many kits keeps those of all until its end."""

    __slots__ = ("_packed",)

    def __init__(self, looks: Mapping[str, Look]) -> None:
        self._packed = marshal.dumps(dict(looks))

    def __getitem__(self, name: str) -> Look:
        return self._looks[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._looks)

    def __len__(self) -> int:
        return len(self._looks)

    @property
    def _looks(self) -> dict[str, Look]:
        looks: dict[str, Look] = marshal.loads(self._packed)
        return looks


class KitStamp(NamedTuple):
    """One kit: how its files looked, the digest of its manifest, and what is told of it again.

    `fresh` says whether it was made from what the stamp says was read, `complete` whether `looks` has all of
    its files.
    """

    fresh: bool
    complete: bool
    manifest: str
    looks: Mapping[str, Look]
    sources: tuple[str, ...]
    left: tuple[Row, ...]
    accepted: tuple[Row, ...]


class Stamp(NamedTuple):
    """All that was read (file → SHA-256), the problems of reading, and the kits that there are.

    `clean` says whether the range was read without an error, `tidy` whether nothing lies there of other kits.
    `pages` is how the pages of the range looked.
    """

    own: str
    clean: bool
    tidy: bool
    inputs: Mapping[str, str]
    codes: tuple[str, ...]
    found: tuple[Row, ...]
    kits: Mapping[str, KitStamp]
    pages: Mapping[str, Look] = {}


def read_stamp(out: Path) -> Stamp | None:
    """The stamp of an output folder; None where there is none that can be read."""
    try:
        with open(out / KEPT / STAMP, "rb") as file:
            data = json.loads(unsealed(file.read()))
        if data.pop("form") != FORM:
            return None
        kits = {code: KitStamp(*parts) for code, parts in data.pop("kits").items()}
        return Stamp(kits=kits, **data)
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return None


def stamp_bytes(stamp: Stamp) -> bytes:
    """A stamp as it stands on disk."""
    data = {"form": FORM, **stamp._asdict()}
    return sealed(json.dumps(data, separators=(",", ":"), default=dict).encode("ascii"))


def sealed(content: bytes) -> bytes:
    """What is remembered, with a sum at its end by which harm to it shows."""
    return b"%b\n%08x\n" % (content, crc32(content))


def unsealed(content: bytes) -> bytes:
    """The same without its sum; ValueError where it was harmed."""
    found = content[:-10]
    if sealed(found) != content:
        raise ValueError("the sum is another")
    return found


def looks_the_same(folder: str, looks: Mapping[str, Look]) -> bool:
    """Whether every file is as it was seen last; a file that was not seen for certain is not."""
    stat = os.stat
    try:
        for name, seen in looks.items():
            now = stat(f"{folder}/{name}")
            if [now.st_size, now.st_mtime_ns, now.st_ctime_ns, now.st_ino] != seen:
                return False
    except OSError:
        return False
    return True


def examined(
    folder: Path, digests: Mapping[str, str], looks: Mapping[str, Look]
) -> tuple[tuple[str, ...], dict[str, Look]]:
    """The files that do not have these digests, and how the others look; known looks are trusted."""
    differing: list[str] = []
    seen: dict[str, Look] = {}
    for name, wanted in digests.items():
        path = folder / name
        before = look(path)
        if before is not None and list(before) == list(looks.get(name, ())):
            seen[name] = before
        elif before is None or file_digest(path) != wanted or look(path) != before:
            differing.append(name)
        elif settled(before):
            seen[name] = before
    return tuple(differing), seen


def look(path: Path) -> Look | None:
    """How a file looks without reading it; None where there is none."""
    try:
        now = os.stat(path)
    except OSError:
        return None
    return now.st_size, now.st_mtime_ns, now.st_ctime_ns, now.st_ino


def settled(seen: Look) -> bool:
    """Whether a later change would show in the file's times: they are fine, or long enough ago."""
    last = max(seen[1], seen[2])
    return bool(last % 1_000_000_000) or time.time_ns() - last > COARSE_NS


def file_digest(path: Path) -> str:
    """SHA-256 of a plain file; "" when it cannot be read. A pipe would never end, so none is opened."""
    if not os.path.isfile(path):
        return ""
    try:
        with open(path, "rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError:
        return ""


def inputs_now(folder: Path, charts: Iterable[str]) -> dict[str, str]:
    """File → SHA-256 of all spec files of a folder, and of those `charts` of it that were read before.

    A file that cannot be read has an empty digest, which no stamp holds.
    """
    try:
        names = os.listdir(folder)
    except OSError:
        return {}
    prefix = f"{folder.resolve().name}/"
    specs = {name for name in names if name.endswith((".yaml", ".yml")) and not name.startswith(".")}
    specs.update(chart.removeprefix(prefix) for chart in charts)
    return {prefix + name: file_digest(folder / name) for name in specs} | released_now(folder)


def released_now(folder: Path) -> dict[str, str]:
    """File → SHA-256 of the manifest of every released edition; its other files are proven by it."""
    if not os.path.isdir(folder / RELEASED):
        return {}
    paths = sorted((folder / RELEASED).glob(f"*/*/{MANIFEST}"))
    name = folder.resolve().name
    return {f"{name}/{path.relative_to(folder).as_posix()}": file_digest(path) for path in paths}


def manifest_digests(manifest: bytes) -> dict[str, str]:
    """Output → SHA-256 as a manifest has them, plain names alone; none when it is no manifest."""
    try:
        outputs = json.loads(manifest)["outputs"].items()
        return {name: output["sha256"] for name, output in outputs if not {"/", "\\", "\0"} & {*name}}
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return {}


def row_of(problem: Problem) -> Row:
    """A problem as a row."""
    place = problem.place
    return [
        place.file,
        place.line,
        place.column,
        problem.code,
        problem.message,
        problem.cure,
        problem.warning,
    ]


def problem_of(row: Row) -> Problem:
    """The problem of a row."""
    from kitbuild.base.problem import Place, Problem

    file, line, column, *rest = row
    return Problem(Place(file, line, column), *rest)
