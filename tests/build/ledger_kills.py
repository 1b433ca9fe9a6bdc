"""`python -m tests.build.ledger_kills FOLDER STEP EVERY`: a step of the ledger, killed at its moments.

A moment is just before a statement of SQL, before a write to the disk and halfway through it, before the
removal of the journal and after it. Each has a process of its own, which kills itself there; what it leaves
must be, row for row, what was there before the step, or what is there after it.
"""

from __future__ import annotations

import _sqlite3
import ctypes
import json
import os
import shutil
import signal
import sqlite3
import sys
from collections import Counter
from collections.abc import Callable, Sequence
from contextlib import closing
from pathlib import Path
from typing import Any, Final

from kitbuild.ledger import Ledger
from kitbuild.ledger_boxes import Posting
from kitbuild.production.bundles import Bundle
from kitbuild.production.packing import Boxes, PackedColour, PackedKit
from kitbuild.production.spares import Spare, spare_from
from kitbuild.production.stock import Lot
from tests.build.alone import alone
from tests.build.first_ledger import FIRST

MANY = 40
DAY = "2026-11-01"
COLOURS = tuple(
    PackedColour(f"c{at}", "Red", "x", "ff0000", f"item-{at}", "Wool", 5, 76000, 13) for at in range(MANY)
)
KITS = (PackedKit("WHIN", 2, "Coaster", COLOURS),)
BOXES = (Boxes("WHIN", 2, "1001", 1, 7, tuple((each.colour, "A") for each in COLOURS)),)
KEYS = tuple((each.item, "A") for each in COLOURS)
OFFCUTS = (Lot("plastic-7", "30 x 40 holes", "C-01", 2, DAY),)


def lots(many: int) -> list[Lot]:
    return [Lot(*key, "A-01", many, DAY) for key in KEYS]


def count(ledger: Ledger) -> None:
    ledger.count(lots(10), all_lots=True)


def reserve(ledger: Ledger) -> None:
    ledger.reserve("r", "plan", dict.fromkeys(KEYS, 7), dict.fromkeys(KEYS, 10))


def post(ledger: Ledger) -> None:
    ledger.post("r", "plan", Posting(OFFCUTS, KITS, BOXES))


def cancel(ledger: Ledger) -> None:
    ledger.cancel("r")


def make(ledger: Ledger) -> None:
    bundle = Bundle("WHIN-bundle", "ed2-m1-1", "WHIN", 2, "[]", {each.colour: "A" for each in COLOURS})
    made = [(bundle, Lot("WHIN-bundle", "ed2-m1-1", "B-09", 2, DAY))]
    ledger.make("m1", dict.fromkeys(KEYS, 2), dict.fromkeys(KEYS, 3), made)


def send(ledger: Ledger) -> None:
    box, colour = ledger.box("r-WHIN-007"), COLOURS[7]
    assert box is not None

    def choose(free: Sequence[tuple[Lot, int]]) -> Spare:
        spare = spare_from(colour, "A", free, 3, DAY)
        assert spare is not None
        return spare

    ledger.send(box, colour, choose)


def write_off(ledger: Ledger) -> None:
    ledger.write_off(KEYS[3], None, lambda lot: sys.exit(f"{lot} is not there"))


Step = Callable[[Ledger], None]
STEPS: Final[dict[str, tuple[Step | None, tuple[Step, ...]]]] = {
    "count": (count, ()),
    "reserve": (reserve, (count,)),
    "cancel": (cancel, (count, reserve)),
    "post": (post, (count, reserve)),
    "make": (make, (count, reserve, post)),
    "spare": (send, (count, reserve, post)),
    "write off": (write_off, (count, reserve, post)),
    "first": (None, ()),
}
"""Each step, and those before it; `first` is opening a ledger that the first version left."""


class Moments:
    """Counts the moments of this process from when it is armed; kills it at one of them, if one is named."""

    def __init__(self) -> None:
        self.seen: list[str] = []
        self.fatal = self.armed = 0
        self.kept: list[object] = []

    def arm(self, fatal: int) -> None:
        """From now on count; the `fatal`-th moment, from 1, is the last. 0 for none."""
        self.armed, self.fatal = 1, fatal

    def tick(self, kind: str) -> None:
        if not self.armed:
            return
        self.seen.append(kind)
        if len(self.seen) == self.fatal:
            os.kill(os.getpid(), signal.SIGKILL)

    def watch(self) -> None:
        """See each statement of connections made from now on, and each write of the library."""
        moments, plain = self, sqlite3.connect

        def connect(*of: Any, **more: Any) -> sqlite3.Connection:
            made = plain(*of, **more)
            made.set_trace_callback(lambda statement: moments.tick(statement.split()[0]))
            return made

        sqlite3.connect = connect  # type: ignore[assignment]
        vfs = _vfs()
        self._watch_write(vfs)
        self._watch_unlink(vfs)

    def _watch_write(self, vfs: Any) -> None:
        kind = ctypes.CFUNCTYPE(
            ctypes.c_ssize_t, ctypes.c_int, ctypes.c_void_p, ctypes.c_size_t, ctypes.c_int64
        )
        name = next(each for each in (b"pwrite64", b"pwrite") if vfs.get(each))
        real = kind(vfs.get(name))

        def write(file: int, data: int, size: int, at: int) -> int:
            self.tick("write")
            done = real(file, data, size // 2, at)
            self.tick("half")
            return done + real(file, data + done, size - done, at + done)

        self._replace(vfs, name, kind(write))

    def _watch_unlink(self, vfs: Any) -> None:
        kind = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.c_char_p)
        real = kind(vfs.get(b"unlink"))

        def unlink(path: bytes) -> int:
            self.tick("unlink")
            done = real(path)
            self.tick("unlinked")
            return done

        self._replace(vfs, b"unlink", kind(unlink))

    def _replace(self, vfs: Any, name: bytes, call: Any) -> None:
        self.kept.append(call)
        assert vfs.set(name, ctypes.cast(call, ctypes.c_void_p)) == 0


_POINTERS = ("xOpen", "xDelete", "xAccess", "xFullPathname", "xDlOpen", "xDlError", "xDlSym", "xDlClose")
_POINTERS += ("xRandomness", "xSleep", "xCurrentTime", "xGetLastError", "xCurrentTimeInt64")


class _Vfs(ctypes.Structure):
    """The library's way to files, whose calls can be replaced: https://www.sqlite.org/c3ref/vfs.html."""

    _fields_ = [
        *((name, ctypes.c_int) for name in ("iVersion", "szOsFile", "mxPathname")),
        ("pNext", ctypes.c_void_p),
        ("zName", ctypes.c_char_p),
        ("pAppData", ctypes.c_void_p),
        *((name, ctypes.c_void_p) for name in _POINTERS),
        ("xSetSystemCall", ctypes.CFUNCTYPE(ctypes.c_int, ctypes.c_void_p, ctypes.c_char_p, ctypes.c_void_p)),
        ("xGetSystemCall", ctypes.CFUNCTYPE(ctypes.c_void_p, ctypes.c_void_p, ctypes.c_char_p)),
    ]

    def set(self, name: bytes, call: ctypes.c_void_p) -> int:
        return self.xSetSystemCall(ctypes.addressof(self), name, call)

    def get(self, name: bytes) -> int | None:
        return self.xGetSystemCall(ctypes.addressof(self), name)


def _vfs() -> _Vfs:
    find = ctypes.CDLL(_sqlite3.__file__).sqlite3_vfs_find
    find.restype, find.argtypes = ctypes.POINTER(_Vfs), [ctypes.c_char_p]
    return find(None).contents


def begun(path: Path, step: str) -> None:
    """A ledger in which only this step is left to be taken."""
    if step == "first":
        with closing(sqlite3.connect(path)) as base:
            base.executescript(FIRST)
        return
    with closing(Ledger(path)) as ledger:
        for before in STEPS[step][1]:
            before(ledger)


def rows(path: Path) -> str:
    """Everything in a ledger as text; a whole file."""
    with closing(sqlite3.connect(path)) as base:
        assert base.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        version = base.execute("PRAGMA user_version").fetchone()
        return "\n".join([*base.iterdump(), str(version)])


def take(path: Path, step: str, fatal: int) -> list[str]:
    """Take a step in this process, which ends at its `fatal`-th moment; the moments that there were."""
    moments = Moments()
    moments.watch()
    taken, _ = STEPS[step]
    if taken is None:
        moments.arm(fatal)
    with closing(Ledger(path)) as ledger:
        moments.arm(fatal)
        if taken:
            taken(ledger)
    moments.armed = 0
    return moments.seen


def in_another(path: Path, step: str, fatal: int) -> list[str]:
    """The same in a process of its own; its moments where it was not killed."""
    reader, writer = os.pipe()
    child = os.fork()
    if not child:
        os.write(writer, json.dumps(take(path, step, fatal)).encode())
        os._exit(0)
    os.close(writer)
    with os.fdopen(reader) as told:
        text = told.read()
    _, status = os.waitpid(child, 0)
    assert os.WIFSIGNALED(status) == bool(fatal), (step, fatal, status)
    return json.loads(text) if text else []


def kill_at_each(folder: Path, step: str, every: int) -> dict[str, int]:
    """What came of killing a step at every so many of its moments, the last ones all."""
    first, after = folder / "first.sqlite", folder / "after.sqlite"
    begun(first, step)
    shutil.copyfile(first, after)
    seen = in_another(after, step, 0)
    old, new = rows(first), rows(after)
    assert old != new
    commit = max(at for at, kind in enumerate(seen, 1) if kind == "COMMIT")
    told: Counter[str] = Counter()
    often = range(commit, len(seen) + 1, max(1, every // 4))
    for fatal in sorted({*range(1, len(seen) + 1, every), *often, len(seen)}):
        path = folder / "killed.sqlite"
        shutil.copyfile(first, path)
        in_another(path, step, fatal)
        now = rows(path)
        assert now in (old, new), f"{step}, killed at moment {fatal} ({seen[fatal - 1]}), is in between"
        told.update(("kills", "old" if now == old else "new"))
        told["inside"] += fatal > seen.index("BEGIN") + 1
        told["committing"] += fatal > commit
        path.unlink()
    return {"moments": len(seen)} | told


def report(folder: Path, step: str, every: int) -> dict[str, int]:
    """`kill_at_each` in a process that has one thread alone, so that it can be divided."""
    return alone("tests.build.ledger_kills", folder, step, every)


if __name__ == "__main__":
    print(json.dumps(kill_at_each(Path(sys.argv[1]), sys.argv[2], int(sys.argv[3]))))
