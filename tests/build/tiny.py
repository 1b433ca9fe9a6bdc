"""A range of three small kits in one language, and edits of it: quick to build, over and over."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager, redirect_stderr, redirect_stdout
from io import StringIO
from pathlib import Path

from kitbuild.cli import main
from tests.build.places import Ran
from tests.spec.ranges import KITS, ROOT

WORKSHOP = """kind: workshop
name: Quillmere Stitch Room
address: ["2 Slipway Yard", "Quillmere"]
contact: hello@quillmere.example
language: en
papers: [A4]
currency: EUR
thread:
  needleful: 76 cm
  start_tail: 2 in
  run_under: 2 in
  held: 2 in
  longest_run: 25 mm
  least_remainder: 20 cm
  spare: 10 %
  park: true
pace: {stitches_per_hour: 220, finish_stitches_per_hour: 160}
packing: {minutes: 9, wage: 16.00}
printing: {booklet: 0.90, sheet: 0.20, bin: P-01}
"""


def kit(code: str) -> str:
    """A spec of one small coaster."""
    return f"""kind: kit
code: {code}
title: Coaster {code}
edition: 1
date: 2026-10-01
age_grade: adult
policy: clean holes
price: 34.00
about: One coaster.
care: Wipe with a damp cloth.
pieces:
  coaster:
    title: Coaster
    copies: 1
    use: coaster
    canvas: plastic-7
    may_turn: false
    pattern:
      family: flame
      over: 4
      line: {{groups_of: 2, step: 2, down: 4, up: 4, turns: once}}
      colours: [bark, moss]
      repeats: 1
      ends: {{left: 0, right: 2}}
    columns: 14
    rows: 15
    finish: {{kind: flat, edge: bark, corner: 3}}
palette:
  bark: {{thread: wool-0123, symbol: square}}
  moss: {{thread: wool-0488}}
needles: {{needle-16: 1}}
"""


def tiny_shop(folder: Path, codes: tuple[str, ...] = ("AAA", "BBB", "CCC")) -> Path:
    """Write the range into kits/ of a folder; `materials.yaml` is that of the demo range."""
    kits = folder / "kits"
    kits.mkdir(parents=True)
    (kits / "workshop.yaml").write_text(WORKSHOP, encoding="utf-8")
    (kits / "materials.yaml").write_bytes((KITS / "materials.yaml").read_bytes())
    for code in codes:
        (kits / f"{code.lower()}.yaml").write_text(kit(code), encoding="utf-8")
    return folder


@contextmanager
def at(folder: Path) -> Iterator[None]:
    """Work in a folder."""
    before = Path.cwd()
    os.chdir(folder)
    try:
        yield
    finally:
        os.chdir(before)


def quick(folder: Path, *arguments: str) -> Ran:
    """The command line in this process: a hundred times quicker to start."""
    out, err = StringIO(), StringIO()
    with at(folder), redirect_stdout(out), redirect_stderr(err):
        code = main(arguments)
    return Ran(code, out.getvalue(), err.getvalue())


def edit(folder: Path, name: str, old: str, new: str) -> None:
    """Replace every `old` of a spec file."""
    path = folder / "kits" / name
    text = path.read_text(encoding="utf-8")
    assert old in text, (name, old)
    path.write_text(text.replace(old, new), encoding="utf-8")


def environment() -> dict[str, str]:
    """That of a process which runs the tool as it lies here."""
    return os.environ | {"PYTHONPATH": str(ROOT)}
