"""Ranges for tests: the demo range in a folder of its own, with one file joined or replaced."""

from __future__ import annotations

import shutil
from pathlib import Path

from kitbuild.base.problem import Problem
from kitbuild.spec.folder import read_range
from kitbuild.spec.records import Kit, Range

ROOT = Path(__file__).parent.parent.parent
KITS = ROOT / "kits"


def copy_kits(folder: Path) -> Path:
    kits = folder / "kits"
    shutil.copytree(KITS, kits)
    return kits


def read_with(folder: Path, name: str, content: bytes) -> tuple[Range | None, tuple[Problem, ...]]:
    kits = copy_kits(folder)
    (kits / name).write_bytes(content)
    return read_range(kits)


def kit_text(line: str = "", columns: str = "", pattern: str = "", finish: str = "", more: str = "") -> str:
    """A small kit whose parts can be said otherwise."""
    return f"""kind: kit
code: CASE
title: Case kit
edition: 1
date: 2026-10-01
age_grade: adult
policy: clean holes
price: 24.00
pieces:
  coaster:
    title: Coaster
    use: coaster
    canvas: plastic-7
    pattern:
      family: flame
      over: 4
      line: {line or "{groups_of: 2, step: 2, down: 6, up: 6, turns: once}"}
      colours: [bark, moss]
{pattern or "      repeats: 1"}
{columns}
    rows: 29
    finish: {finish or "{kind: flat, edge: bark}"}
palette:
  bark: {{thread: wool-0123}}
  moss: {{thread: wool-0488}}
needles: {{needle-16: 2}}
{more}
"""


def case_kit(folder: Path, text: str) -> Kit:
    """The kit CASE of `text` beside the demo range; no problem may be told."""
    found, problems = read_with(folder, "case.yaml", text.encode())
    assert problems == ()
    assert found is not None
    return next(kit for kit in found.kits if kit.code == "CASE")
