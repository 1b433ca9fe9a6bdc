"""Builds ended from outside at random moments: every file stays whole, and the next build is right."""

from __future__ import annotations

import random
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

from tests.build.places import digests
from tests.build.tiny import environment, quick, tiny_shop

CODES = ("AAA", "BBB", "CCC", "DDD")
NAMES = ("name: Quillmere Stitch Room", "name: Quillmere Room")


class Killing:
    """A range with two states, each built from nothing once; every round leads from one to the other."""

    def __init__(self, folder: Path, seed: int) -> None:
        self.folder, self.random = tiny_shop(folder, CODES), random.Random(seed)
        self.state, self.clean = 0, []
        for state in (1, 0):
            self.change(state)
            assert quick(folder, "build", "--out", f"clean-{state}").code == 0
            self.clean.insert(0, digests(folder / f"clean-{state}"))
        assert quick(folder, "build").code == 0
        self.seconds = min(self.length(), self.length())

    def change(self, state: int) -> None:
        path = self.folder / "kits/workshop.yaml"
        text = path.read_text(encoding="utf-8")
        self.state = state
        path.write_text(text.replace(NAMES[1 - state], NAMES[state]), encoding="utf-8")

    def start(self, jobs: int = 2) -> subprocess.Popen[bytes]:
        return subprocess.Popen(
            [sys.executable, "-m", "kitbuild", "build", "--jobs", str(jobs)],
            cwd=self.folder,
            env=environment(),
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )

    def length(self) -> float:
        """How long a whole round takes."""
        self.change(1 - self.state)
        begin = time.monotonic()
        assert self.start().wait() == 0
        return time.monotonic() - begin

    def round(self) -> bool:
        """One build begun and killed; whether that was before it was done.

        The time that it is given follows what builds take while other work is at hand.
        """
        self.change(1 - self.state)
        process = self.start(self.random.choice((1, 2)))
        time.sleep(self.random.uniform(0.2, 1.1) * self.seconds)
        process.kill()
        early = process.wait() != 0
        self.seconds *= 1.05 if early else 0.9
        faults = [*self.torn(), *self.unlike()]
        assert not faults, faults
        return early

    def torn(self) -> Iterator[str]:
        """The files that are neither those of the old state nor those of the new one."""
        for name, digest in visible(self.folder / "build").items():
            if digest not in [clean.get(name) for clean in self.clean]:
                yield f"{name} is torn"

    def unlike(self) -> Iterator[str]:
        """What is wrong after the next build."""
        ran = quick(self.folder, "build")
        if (ran.code, ran.err) != (0, ""):
            yield f"the next build ends with {ran.code}: {ran.err}"
        if digests(self.folder / "build") != self.clean[self.state]:
            yield "the next build leaves other bytes"
        yield from (f"{path} is left" for path in (self.folder / "build").rglob(".*.tmp-*"))
        if not quick(self.folder, "build").out.startswith("nothing to do"):
            yield "the build after it has something to do"


def visible(out: Path) -> dict[str, str]:
    """The digests of all files that a maker sees."""
    return {name: digest for name, digest in digests(out).items() if not Path(name).name.startswith(".")}
