"""`python -m tests.build.print_kills FOLDER EVERY`: a print order written anew, killed at its moments.

A moment is just before a file is made safe on the disk, or is put into its place. Whatever is left, each file
is whole, and the manifest is not that of the new order before all of its files are there.
"""

from __future__ import annotations

import json
import os
import shutil
import signal
import sys
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

from tests.build.alone import alone
from tests.build.places import digests
from tests.build.tiny import quick, tiny_shop
from tests.spec.ranges import KITS

CALLS = ("fsync", "chmod", "replace")
RUN = "w41"


def _watch(fatal: int) -> list[str]:
    """The calls that are made from now on; the `fatal`-th is not, since the process is killed there."""
    seen: list[str] = []

    def watched(name: str, call: Callable[..., Any]) -> Callable[..., Any]:
        def watch(*of: Any, **more: Any) -> Any:
            seen.append(name)
            if len(seen) == fatal:
                os.kill(os.getpid(), signal.SIGKILL)
            return call(*of, **more)

        return watch

    for name in CALLS:
        setattr(os, name, watched(name, getattr(os, name)))
    return seen


def _in_another(place: Path, fatal: int) -> int:
    """The print order written by a process of its own; how many moments it had, if it was not killed."""
    reader, writer = os.pipe()
    child = os.fork()
    if not child:
        seen = _watch(fatal)
        ran = quick(place, "batch", RUN, "print")
        os.write(writer, str(len(seen) if ran.code == 0 else 0).encode())
        os._exit(0)
    os.close(writer)
    with os.fdopen(reader) as told:
        text = told.read()
    _, status = os.waitpid(child, 0)
    assert os.WIFSIGNALED(status) == bool(fatal), (fatal, status)
    return int(text or 0)


def _planned(place: Path, boxes: int) -> None:
    orders = f"order,kit,quantity,due\n1,AAA,{boxes},2026-12-01\n"
    (place / "kits" / "orders.csv").write_text(orders, encoding="utf-8")
    ran = quick(place, "batch", RUN)
    assert ran.code == 0, ran.err


def kill_prints(folder: Path, every: int) -> dict[str, int]:
    """The order for two boxes replaced by that for three; killed at every so many moments."""
    place = tiny_shop(folder / "shop", ("AAA",))
    shutil.copyfile(KITS / "stock.csv", place / "kits" / "stock.csv")
    assert quick(place, "build").code == 0
    printed, states = place / "build" / "batch" / RUN / "print", []
    for boxes in (3, 2):
        _planned(place, boxes)
        moments = _in_another(place, 0)
        assert moments > 0
        shutil.copytree(printed, folder / f"order-{boxes}")
        states.insert(0, digests(printed))
    _planned(place, 3)
    told: Counter[str] = Counter()
    for fatal in (*range(1, moments, every), moments):
        shutil.rmtree(printed)
        shutil.copytree(folder / "order-2", printed)
        _in_another(place, fatal)
        told.update(("kills", _state(printed, *states)))
    assert _in_another(place, 0) == moments
    assert digests(printed) == states[1]
    assert not list(printed.glob(".*"))
    return {"moments": moments} | told


def _state(printed: Path, old: dict[str, str], new: dict[str, str]) -> str:
    """Which order lies there: `old`, `new`, or `mixed` where the manifest says that it is neither."""
    now = {name: digest for name, digest in digests(printed).items() if not name.startswith(".")}
    assert now.keys() == old.keys()
    torn = [name for name, digest in now.items() if digest not in (old[name], new[name])]
    assert not torn, torn
    if now == old:
        return "old"
    if now["manifest.json"] == new["manifest.json"]:
        assert now == new
        return "new"
    return "mixed"


def report(folder: Path, every: int) -> dict[str, int]:
    """`kill_prints` in a process that has one thread alone, so that it can be divided."""
    return alone("tests.build.print_kills", folder, every)


if __name__ == "__main__":
    print(json.dumps(kill_prints(Path(sys.argv[1]), int(sys.argv[2]))))
