"""A real browser on the live page, where the machine has one: Debian's chromium, or what CHROMIUM names."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tests.spec.ranges import ROOT

CHROMIUM = os.environ.get("CHROMIUM") or shutil.which("chromium") or ""


@contextmanager
def served(folder: Path) -> Iterator[str]:
    """The address of `kitbuild view`, run in `folder` as a maker runs it."""
    process = subprocess.Popen(
        [sys.executable, "-m", "kitbuild", "view", "--port", "0"],
        cwd=folder,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    try:
        assert process.stdout
        yield process.stdout.readline().split()[1]
    finally:
        process.terminate()
        process.wait(10)
