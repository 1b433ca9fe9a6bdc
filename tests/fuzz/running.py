"""One run: a damaged file among the others of the range, read, and its kits built."""

from __future__ import annotations

import resource
import signal
import tempfile
import time
import traceback
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from types import FrameType

from kitbuild.base.problem import Expected, Problem
from kitbuild.build import make
from kitbuild.spec.folder import read_range
from kitbuild.spec.records import Kit
from tests.fuzz.mutations import damaged
from tests.spec.ranges import KITS

LONGEST_S = 2.0
MOST_MB = 500.0
GIVE_UP_S = 30


@dataclass(frozen=True)
class Run:
    """How one run ended: "" or what is wrong, its processor time and the process's highest memory so far."""

    seed: int
    name: str
    content: bytes
    fault: str
    seconds: float
    peak_mb: float
    built: int


class TooLong(Exception):
    """A run that was stopped."""


def demo_files() -> dict[str, str]:
    """The demo range in one language, so that a run is a build as most workshops have it."""
    files = {path.name: path.read_text(encoding="utf-8") for path in sorted(KITS.iterdir()) if path.is_file()}
    lines = files["workshop.yaml"].splitlines(keepends=True)
    files["workshop.yaml"] = "".join(line for line in lines if not line.startswith("also_in:"))
    return {name: text for name, text in files.items() if not name.startswith("wording-")}


def run(seed: int, folder: Path, files: dict[str, str]) -> Run:
    """Damage one file of the range in `folder`, read and build, and put the file back."""
    name, content = damaged(seed, files)
    path = folder / name
    path.write_bytes(content)
    begin, built, fault = time.process_time(), 0, ""
    try:
        with _limited():
            built = _outcome(folder, name, seed)
    except TooLong:
        fault = f"stopped after {GIVE_UP_S} s"
    except Exception:
        fault = traceback.format_exc(limit=-6)
    finally:
        path.write_text(files[name], encoding="utf-8")
    seconds, peak_mb = time.process_time() - begin, _peak_mb()
    return Run(seed, name, content, fault or _too_much(seconds, peak_mb), seconds, peak_mb, built)


def _outcome(folder: Path, name: str, seed: int) -> int:
    """Read and build; AssertionError where the end is neither outputs nor located problems."""
    found, problems = read_range(folder)
    _located(problems)
    assert found is not None or problems, "nothing was read, and nothing is told"
    chosen = _kits(found.kits if found else (), name, seed)
    for kit in chosen:
        told = _told(kit)
        assert told is not None, "a build stopped without a problem"
        _located(told)
    return len(chosen)


def _told(kit: Kit) -> tuple[Problem, ...] | None:
    """The warnings of a kit that was made, or the problems that stopped it; None when there are none."""
    try:
        return make(kit).warnings
    except Expected as expected:
        return expected.problems or None


def _kits(kits: tuple[Kit, ...], name: str, seed: int) -> list[Kit]:
    """The kits of the damaged file; one of all when the damage is in what they share."""
    own = [kit for kit in kits if any(file.endswith(f"/{name}") for file in _sources(kit))]
    shared = name in ("materials.yaml", "workshop.yaml")
    return [kits[seed % len(kits)]] if shared and kits else own


def _sources(kit: Kit) -> list[str]:
    """The kit's file, and those that its charts were read from."""
    charts = [piece.pattern.chart for piece in kit.pieces]
    return [kit.at.source.file, *(chart.at.source.file for chart in charts if chart and chart.at)]


def _located(problems: tuple[Problem, ...]) -> None:
    for problem in problems:
        assert problem.place.file.startswith("kits"), problem
        assert problem.message, problem
        assert problem.cure, problem
        assert "\n" not in str(problem), problem


def _peak_mb() -> float:
    """The most memory that this program has held; what its process held before it was begun is not in it."""
    status = Path("/proc/self/status")
    if status.is_file():
        line = next(line for line in status.read_text().splitlines() if line.startswith("VmHWM"))
        return int(line.split()[1]) / 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def _too_much(seconds: float, peak_mb: float) -> str:
    if seconds > LONGEST_S:
        return f"took {seconds:.1f} s"
    return f"took {peak_mb:.0f} MB" if peak_mb > MOST_MB else ""


@contextmanager
def _limited() -> Iterator[None]:
    def stop(_signal: int, _frame: FrameType | None) -> None:
        raise TooLong

    before = signal.signal(signal.SIGALRM, stop)
    signal.setitimer(signal.ITIMER_REAL, GIVE_UP_S)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)


@contextmanager
def range_folder(files: dict[str, str]) -> Iterator[Path]:
    """A folder with the files of the range, for many runs."""
    with tempfile.TemporaryDirectory() as folder:
        kits = Path(folder) / "kits"
        kits.mkdir()
        for name, text in files.items():
            (kits / name).write_text(text, encoding="utf-8")
        yield kits


def batch(seeds: range) -> list[Run]:
    """Many runs in this process; those that ended well without their content."""
    files = demo_files()
    with range_folder(files) as folder:
        return [run(seed, folder, files) for seed in seeds]
