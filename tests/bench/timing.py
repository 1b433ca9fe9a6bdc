"""The clock of the benchmarks."""

from __future__ import annotations

import time
from collections.abc import Callable


def best_ms(work: Callable[[], object], runs: int = 3) -> float:
    """The shortest of `runs` runs, in milliseconds."""
    times = []
    for _ in range(runs):
        begin = time.perf_counter()
        work()
        times.append(time.perf_counter() - begin)
    return min(times) * 1000
