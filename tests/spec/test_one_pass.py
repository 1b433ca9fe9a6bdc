"""One pass tells all problems: faults that have nothing to do with each other never hide each other."""

from __future__ import annotations

from itertools import combinations
from pathlib import Path

import pytest

from kitbuild.spec.folder import read_range
from tests.spec.ranges import copy_kits, kit_text

#: Single faults of the case kit, each within its line: what is replaced, and the codes it leads to.
FAULTS = {
    "misspelt key": ("title: Case kit", "titel: Case kit", {"KB202"}),
    "unknown canvas": ("canvas: plastic-7", "canvas: plastic-8", {"KB303"}),
    "number": ("edition: 1", "edition: one", {"KB204"}),
    "date": ("date: 2026-10-01", "date: 2026-13-01", {"KB209"}),
    "policy": ("policy: clean holes", "policy: clean hole", {"KB205"}),
    "over": ("over: 4", "over: 40", {"KB206"}),
    "edge": ("edge: bark", "edge: bork", {"KB304"}),
    "thread": ("{thread: wool-0123}", "{thread: wool-0124}", {"KB303"}),
    "colour's key": ("  moss: {thread: wool-0488}", "  moss: {thred: wool-0488}", {"KB202"}),
    "line": ("down: 6", "down: 1", {"KB317"}),
    "needle": ("needle-16: 2", "needle-15: 2", {"KB303"}),
    "price": ("price: 24.00", "price: 24.001", {"KB315"}),
    "formula": ("    title: Coaster", "    title: =Coaster", {"KB311"}),
    "tag": ("age_grade: adult", "age_grade: !x adult", {"KB113"}),
    "check digit": ("gtin: 6291041500213", "gtin: 6291041500214", {"KB324"}),
    "acceptance": ("KB506: because", "KB303: because", {"KB322"}),
    "unused colour": ("colours: [bark, moss]", "colours: [bark, bark]", {"KB307"}),
}
MORE = "gtin: 6291041500213\naccept: {KB506: because}"


def told(folder: Path, *names: str) -> set[str]:
    """The problems of a kit with these faults, a line each."""
    text = kit_text(more=MORE)
    for name in names:
        old, new, _ = FAULTS[name]
        assert text.count(old) == 1, name
        text = text.replace(old, new)
    kits = folder / "kits"
    if not kits.exists():
        copy_kits(folder)
    (kits / "case.yaml").write_text(text, encoding="utf-8")
    return set(map(str, read_range(kits)[1]))


@pytest.mark.parametrize("name", FAULTS)
def test_a_fault_is_told_once(name: str, tmp_path: Path) -> None:
    found = told(tmp_path, name)
    assert len(found) == 1
    assert {line.split()[1] for line in found} == FAULTS[name][2]


def test_two_faults_are_told_as_each_alone(tmp_path: Path) -> None:
    alone = {name: told(tmp_path, name) for name in FAULTS}
    for one, other in combinations(FAULTS, 2):
        assert told(tmp_path, one, other) == alone[one] | alone[other], (one, other)


def test_all_faults_are_told_in_one_pass(tmp_path: Path) -> None:
    assert told(tmp_path, *FAULTS) == {line for name in FAULTS for line in told(tmp_path, name)}
