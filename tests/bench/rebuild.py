"""How long a build takes that has nothing to do, one edit among many kits, and very many kits.

`python -m tests.bench.rebuild [KITS [MANY]]`: 200 kits for the first two, 1,000 (or 0: none) for the third.
Whole processes are timed, as ratios to one that does nothing, or to the same work on few kits.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from itertools import product
from pathlib import Path
from string import ascii_uppercase

from tests.build.tiny import edit, environment, tiny_shop

BUILD = [sys.executable, "-m", "kitbuild", "build"]
PEAK = (
    "import resource, subprocess, sys\n"
    "code = subprocess.call(sys.argv[1:], stdout=subprocess.DEVNULL)\n"
    "print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss // 1024)\n"
    "sys.exit(code)\n"
)


def codes(count: int) -> tuple[str, ...]:
    letters = ("".join(three) for three in product(ascii_uppercase, repeat=3))
    return tuple(next(letters) for _ in range(count))


def seconds(work: Callable[[], object], runs: int = 5) -> float:
    """The shortest of several runs."""
    times = []
    for _ in range(runs):
        begin = time.perf_counter()
        work()
        times.append(time.perf_counter() - begin)
    return min(times)


def ran(folder: Path, *command: str) -> Callable[[], object]:
    return lambda: subprocess.run(
        command, cwd=folder, env=environment(), stdout=subprocess.DEVNULL, check=True
    )


def small_work(folder: Path, count: int) -> None:
    """Nothing to do, help, and one edit of a palette."""
    many, one = tiny_shop(folder / "many", codes(count)), tiny_shop(folder / "one", ("AAA",))
    ran(many, *BUILD)()
    base = seconds(ran(many, sys.executable, "-c", "pass"))
    for name, command in (("nothing to do", BUILD), ("--help", [*BUILD[:-1], "--help"])):
        taken = seconds(ran(many, *command))
        print(f"  {name:<24}{taken * 1000:7.0f} ms  {taken / base:5.1f} x python -c pass")

    threads = ["wool-0702", "wool-0009", "wool-0391", "wool-0488"]

    def edited() -> None:
        edit(many, "aaa.yaml", threads[-1], threads[0])
        threads.append(threads.pop(0))
        ran(many, *BUILD)()

    def alone() -> None:
        ran(one, *BUILD, "--out", f"out-{time.monotonic_ns()}")()

    taken, least = seconds(edited, 3), seconds(alone, 3)
    print(f"  one palette edit        {taken * 1000:7.0f} ms  {taken / least:5.1f} x that kit alone")


def much_work(folder: Path, count: int, jobs: int) -> None:
    """Ten kits and very many from nothing: time for each, and the most memory of any process."""
    figures = []
    for number in (10, count):
        shop = tiny_shop(folder / f"{jobs}-{number}", codes(number))
        begin = time.perf_counter()
        command = [sys.executable, "-c", PEAK, *BUILD, "--jobs", str(jobs)]
        done = subprocess.run(command, cwd=shop, env=environment(), stdout=subprocess.PIPE, text=True)
        figures.append(((time.perf_counter() - begin) / number, int(done.stdout)))
    (few_s, few_mb), (many_s, many_mb) = figures
    print(f"  10 kits, {jobs} at once       {few_s * 1000:7.0f} ms each  {few_mb:4} MB at most")
    print(f"  {count} kits, {jobs} at once {many_s * 1000:9.0f} ms each  {many_mb:4} MB at most", end="")
    more = (many_mb - few_mb) * 1024 / (count - 10)
    print(
        f"  {many_s / few_s:5.2f} x the time, {many_mb / few_mb:5.2f} x the memory: {more:.0f} KB more a kit"
    )


def main() -> None:
    """Print all ratios."""
    given = [int(each) for each in sys.argv[1:]]
    count, many = (*given, *(200, 1000)[len(given) :])
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        print(f"builds of {count} kits:")
        small_work(folder, count)
        for jobs in (2, 1) if many else ():
            much_work(folder, many, jobs)


if __name__ == "__main__":
    main()
