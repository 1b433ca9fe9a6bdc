"""`build --watch`: build, and build again whenever a file of kits/ changes."""

from __future__ import annotations

import signal
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from types import FrameType

KITS = Path("kits")
LOOKS_EVERY_MS = 200
KINDS = (".yaml", ".yml", ".csv")


class Lacking(Exception):
    """What watching needs is not here; the message says the cure."""


def changes(build: Callable[[], int], tell: Callable[[str], None]) -> int:
    """Build now and at each change, until Ctrl-C; the exit code is that of the last build.

    The first build begins when watching has begun, so that no change is missed.
    Lacking when watchfiles is not installed, or there is no kits/ to watch.
    """
    try:
        from watchfiles import watch
    except ModuleNotFoundError as error:
        raise Lacking("--watch needs the package watchfiles: pip install 'kitbuild[watch]'") from error
    if not KITS.is_dir():
        raise Lacking("there is no kits/ to watch: run in the folder that holds it")
    code = None
    with _remembered_interrupt() as interrupted:
        for changed in watch(
            KITS,
            watch_filter=_is_read,
            rust_timeout=LOOKS_EVERY_MS,
            yield_on_timeout=True,
            stop_event=interrupted,
            raise_interrupt=False,
            recursive=False,
        ):
            if changed or code is None:
                first, code = code is None, build()
                if first:
                    tell("watching kits/; Ctrl-C ends it")
    return code or 0


@contextmanager
def _remembered_interrupt() -> Iterator[threading.Event]:
    """Set by Ctrl-C, which ends a build as ever; where Python drops that, the next look ends the watch.

    It drops what is raised while it clears up behind objects that have gone.
    """
    interrupted = threading.Event()

    def interrupt(number: int, frame: FrameType | None) -> None:
        interrupted.set()
        signal.default_int_handler(number, frame)

    before = signal.signal(signal.SIGINT, interrupt)
    try:
        yield interrupted
    finally:
        signal.signal(signal.SIGINT, before)


def _is_read(_change: object, path: str) -> bool:
    """Whether a file is one that builds read."""
    name = Path(path).name
    return name.endswith(KINDS) and not name.startswith(".")
