"""Work shared out over processes; results come as they are done."""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from itertools import islice
from typing import TypeVar

Result = TypeVar("Result")
_work: Callable[[int], object] | None = None


class Ended(Exception):
    """A process of the crew was ended from outside."""


def cores() -> int:
    """How many processes can work at once."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def crew(
    tasks: Sequence[int], work: Callable[[int], Result], jobs: int, begun: Callable[[int], None]
) -> Iterator[Result]:
    """The result of each task, in the order in which they are done; `begun` is told when one begins.

    One process works where more would not help, or where the system has no room for more. Ended when a
    process of the crew is gone. After an interruption each process finishes the task in its hands.
    """
    pool = _pool(work, min(jobs, len(tasks)))
    if pool is None:
        for task in tasks:
            begun(task)
            yield work(task)
        return
    try:
        yield from _shared_out(pool, iter(tasks), jobs, begun)
    except BrokenProcessPool as broken:
        raise Ended from broken
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


def _pool(work: Callable[[int], object], jobs: int) -> ProcessPoolExecutor | None:
    """So many processes; None for one, and where the system gives no means for them to speak together.

    They are forked where that is sound, so that what was read need not be sent to each.
    """
    if jobs <= 1:
        return None
    context = multiprocessing.get_context("fork" if sys.platform.startswith("linux") else "spawn")
    try:
        return ProcessPoolExecutor(jobs, context, _enter, (work,))
    except (OSError, ImportError, NotImplementedError):
        return None


def _shared_out(
    pool: ProcessPoolExecutor, tasks: Iterator[int], jobs: int, begun: Callable[[int], None]
) -> Iterator[Result]:
    """No more tasks are given out than there are processes, so that an interruption soon ends."""
    running: set[Future[Result]] = set()
    while True:
        for task in islice(tasks, jobs - len(running)):
            begun(task)
            running.add(pool.submit(_do, task))  # type: ignore[arg-type]
        if not running:
            return
        done, running = wait(running, return_when=FIRST_COMPLETED)
        yield from (future.result() for future in done)


def _enter(work: Callable[[int], object]) -> None:
    """A process of the crew leaves interruptions to the first one, and does not outlive it."""
    global _work
    _work = work
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with_the_first, daemon=True).start()


def _end_with_the_first() -> None:
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)


def _do(task: int) -> object:
    assert _work is not None
    return _work(task)
