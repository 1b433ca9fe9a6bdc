"""The live page: from an edit to the picture on the screen, and the memory of many edits.

Run as `python -m tests.bench.view [EDITS]`; needs a chromium.
"""

from __future__ import annotations

import re
import sys
import tempfile
import time
from pathlib import Path
from statistics import median
from typing import Any, Final

from tests.build.places import workshop
from tests.view.browser import CHROMIUM, served

#: A piece of 150 x 150 holes.
KIT: Final = """kind: kit
code: LARGE
title: Large
edition: 1
date: 2026-10-01
age_grade: adult
policy: clean holes
price: 90.00
pieces:
  panel:
    title: Panel
    use: other
    canvas: mono-10
    pattern:
      family: flame
      over: 4
      line: {groups_of: 2, step: 2, down: 6, up: 6, turns: once}
      colours: [one, two, three]
      ends: {left: 5, right: 5}
    columns: 150
    rows: 150
    finish: {kind: framed, border: 2 in, allowance: 2 cm}
palette:
  one: {thread: wool-0391}
  two: {thread: wool-0715}
  three: {thread: wool-0003}
needles: {needle-18: 1}
"""


def memory_mb(pid: int) -> float:
    """Resident memory of a process."""
    status = Path(f"/proc/{pid}/status").read_text()
    return int(re.findall(r"VmRSS:\s+(\d+)", status)[0]) / 1024


def seen_ms(page: Any, spec: Path, over: int) -> float:
    """How long it takes until an edit of the stitches' length is on the screen."""
    count = page.evaluate("document.querySelector('#kit-numbers').textContent")
    begun = time.perf_counter()
    spec.write_text(KIT.replace("over: 4", f"over: {over}"))
    while page.evaluate("document.querySelector('#kit-numbers').textContent") == count:
        assert time.perf_counter() - begun < 20, page.inner_text("#problem-list")
        page.wait_for_timeout(2)
    page.evaluate("new Promise(done => requestAnimationFrame(() => done()))")
    return (time.perf_counter() - begun) * 1000


def main() -> None:
    """The times of some edits, and the memory before and after."""
    from playwright.sync_api import sync_playwright

    edits = int(sys.argv[1]) if len(sys.argv) > 1 else 20
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        shop = workshop(Path(folder))
        spec = shop / "kits" / "large.yaml"
        spec.write_text(KIT)
        chromium = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        with served(shop) as address:
            pid = next(int(each.name) for each in Path("/proc").iterdir() if _is_view(each, shop))
            page = chromium.new_page()
            page.goto(f"{address}?LARGE")
            page.wait_for_selector("body[data-ready]")
            for over in (3, 4, 5):
                seen_ms(page, spec, over)
            memory, times = [memory_mb(pid)], []
            for at in range(edits):
                times.append(seen_ms(page, spec, 3 + at % 3))
                if (at + 1) % max(edits // 5, 1) == 0:
                    memory.append(memory_mb(pid))
        chromium.close()
    print(
        f"an edit is on the screen within {median(times):.0f} ms (median), {max(times):.0f} ms at worst;",
        end=" ",
    )
    print(
        f"memory at the start and after each fifth of {edits} edits:",
        *(f"{each:.0f}" for each in memory),
        "MB",
    )


def _is_view(process: Path, shop: Path) -> bool:
    try:
        served_here = process.name.isdigit() and (process / "cwd").resolve() == shop.resolve()
        return served_here and b"view\0--port" in (process / "cmdline").read_bytes()
    except OSError:
        return False


if __name__ == "__main__":
    main()
