"""A case is a file: it joins or replaces one of the demo range, and its problems are known to the letter."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from kitbuild.spec.folder import read_range
from tests.spec.ranges import copy_kits

CASES = sorted(
    path
    for path in (Path(__file__).parent.parent / "bad_specs").iterdir()
    if path.suffix in (".yaml", ".csv")
)
CHART = "rowan-berry.csv"


def problems_of(case: Path, folder: Path) -> str:
    """The lines that are told for a case; its first line says for which file it stands, but for charts."""
    content = case.read_bytes()
    if case.suffix == ".csv":
        (copy_kits(folder) / CHART).write_bytes(content)
        return "".join(f"{problem}\n" for problem in read_range(folder / "kits")[1])
    said = re.match(rb"# as: ([^\s,]+)(?:, (as a folder|filled to (\d+) bytes))?", content)
    assert said, f"{case.name} does not say which file it stands for"
    path = copy_kits(folder) / said[1].decode()
    if said[2] == b"as a folder":
        path.mkdir()
    else:
        path.write_bytes(content.ljust(int(said[3] or 0), b"\n"))
    return "".join(f"{problem}\n" for problem in read_range(path.parent)[1])


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.stem)
def test_a_bad_spec_is_told_to_the_letter(case: Path, tmp_path: Path) -> None:
    assert problems_of(case, tmp_path) == case.with_suffix(".expected").read_text(encoding="utf-8")


def test_every_expectation_has_its_case() -> None:
    stems = {path.stem for path in CASES}
    assert {path.stem for path in CASES[0].parent.glob("*.expected")} == stems
    assert len(stems) >= 225


def test_every_case_tells_something() -> None:
    for case in CASES:
        assert case.with_suffix(".expected").read_text(encoding="utf-8").strip()
