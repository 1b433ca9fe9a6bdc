"""One build at a time in a folder: a lock of the operating system, which ends with those that hold it."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Final

from kitbuild.base.problem import Place, Problem, WriteProblem
from kitbuild.output.files import explained

AT_WORK: Final = "KB808"
PATIENCE_S: Final = 1.0
"""A build that was ended from outside needs a moment until its last process is gone."""


@contextmanager
def only_one(folder: Path, path: Path) -> Iterator[None]:
    """Hold the lock file at `path`; WriteProblem about `folder` when another build does."""
    with explained(folder):
        path.parent.mkdir(parents=True, exist_ok=True)
        handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o644)
    try:
        with explained(folder):
            held = _wait(handle)
        if not held:
            raise WriteProblem([_at_work(folder, handle)])
        with suppress(OSError):
            os.ftruncate(handle, 0)
            os.pwrite(handle, str(os.getpid()).encode("ascii"), 0) if os.name == "posix" else None
        yield
    finally:
        os.close(handle)


def _wait(handle: int) -> bool:
    """Whether the lock was got within the time of patience."""
    until = time.monotonic() + PATIENCE_S
    while not _locked(handle):
        if time.monotonic() > until:
            return False
        time.sleep(0.05)
    return True


def _locked(handle: int) -> bool:
    """Try once. A process that is forked from this one holds the lock with it."""
    if os.name != "posix":
        import msvcrt

        try:
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined]
        except OSError:
            return False
        return True
    import fcntl

    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True


def _at_work(folder: Path, handle: int) -> Problem:
    who = ""
    with suppress(OSError, ValueError):
        who = f" (process {int(os.read(handle, 20))})"
    cure = "wait until it has ended, then build again"
    return Problem(Place(folder.as_posix()), AT_WORK, f"another build is at work here{who}", cure)
