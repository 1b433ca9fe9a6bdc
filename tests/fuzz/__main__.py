"""`make fuzz`: so many damaged specs over all cores; what ends badly is kept in build/fuzz/."""

from __future__ import annotations

import sys
import time
from multiprocessing import Pool
from pathlib import Path

from tests.fuzz.running import Run, batch

OUT = Path("build/fuzz")
BATCH = 100


def main() -> int:
    """Run N seeds from an optional first one; exit code 1 when any ended badly."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 20_000
    first = int(sys.argv[2]) if len(sys.argv) > 2 else 0
    batches = [range(at, min(at + BATCH, first + count)) for at in range(first, first + count, BATCH)]
    begin = time.perf_counter()
    with Pool(maxtasksperchild=10) as pool:
        runs = [run for done in pool.imap_unordered(batch, batches) for run in done]
    bad = sorted((run for run in runs if run.fault), key=lambda run: run.seed)
    for run in bad:
        _keep(run)
    _report(runs, bad, time.perf_counter() - begin)
    return 1 if bad else 0


def _keep(run: Run) -> None:
    """Write what shows the fault, under the name of the file that it stands for."""
    folder = OUT / str(run.seed)
    folder.mkdir(parents=True, exist_ok=True)
    (folder / run.name).write_bytes(run.content)
    (folder / "fault.txt").write_text(run.fault, encoding="utf-8")


def _report(runs: list[Run], bad: list[Run], seconds: float) -> None:
    slowest = max(runs, key=lambda run: run.seconds)
    print(f"{len(runs)} damaged specs in {seconds:.0f} s, {sum(run.built > 0 for run in runs)} of them built")
    print(f"slowest: seed {slowest.seed} ({slowest.name}), {slowest.seconds:.2f} s of processor time")
    print(f"highest memory of a process: {max(run.peak_mb for run in runs):.0f} MB")
    print(f"ended badly: {len(bad)}" + (f", kept in {OUT}/" if bad else ""))
    for run in bad[:20]:
        print(f"  seed {run.seed} ({run.name}): {run.fault.strip().splitlines()[-1]}")


if __name__ == "__main__":
    sys.exit(main())
