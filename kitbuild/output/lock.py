"""One build at a time in a folder: a lock of the operating system, which ends with those that hold it."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Final

from kitbuild.base.problem import Place, Problem, WriteProblem
from kitbuild.output.files import explained, lives

AT_WORK: Final = "KB808"
PATIENCE_S: Final = 0.5
ENDING_S: Final = 20.0
"""How long to wait for a build that lives, and for one whose first process is gone."""


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
    """Whether the lock was got in time; the last processes of a build that was ended need a while to go."""
    began = time.monotonic()
    while not _locked(handle):
        holder = _holder(handle)
        alive = holder == os.getpid() or lives(holder)
        if time.monotonic() - began > (PATIENCE_S if alive else ENDING_S):
            return False
        time.sleep(0.05)
    return True


def _holder(handle: int) -> int:
    """The process that wrote itself into the lock file; 0 when none can be read."""
    with suppress(OSError, ValueError):
        os.lseek(handle, 0, os.SEEK_SET)
        return int(os.read(handle, 20))
    return 0


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
    who = f" (process {_holder(handle)})" if _holder(handle) else ""
    cure = "wait until it has ended, then build again"
    return Problem(Place(folder.as_posix()), AT_WORK, f"another build is at work here{who}", cure)
