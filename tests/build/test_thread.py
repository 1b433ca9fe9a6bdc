"""The command `thread`: one row for each way to work a kit."""

from __future__ import annotations

from pathlib import Path

import pytest

from kitbuild.cli import main
from kitbuild.compare_thread import NEEDLEFULS_MM, rows
from kitbuild.pattern.expand import panels
from kitbuild.quantity.amounts import measure
from kitbuild.quantity.direction import POLICIES
from tests.documents.demo import kits
from tests.spec.ranges import copy_kits


@pytest.mark.parametrize("code", ["WHIN", "FERN", "CAIRN"])
def test_the_kits_own_row_is_what_it_packs(code: str) -> None:
    """For the hand that takes more, colour by colour: no less than either hand's row."""
    kit = kits()[code]
    amounts = measure(kit, panels(kit))
    found = list(rows(kit))
    own = [
        row for row in found if (row.policy, row.needleful_mm) == (kit.policy, kit.house.thread.needleful_mm)
    ]
    assert {row.hand for row in own} == {"right", "left"}
    assert sum(use.needlefuls for use in amounts.uses) >= max(row.needlefuls for row in own)
    assert {row.policy for row in found} == set(POLICIES)
    others = {length for length in NEEDLEFULS_MM if length != kit.house.thread.needleful_mm}
    assert others <= {row.needleful_mm for row in found}


def test_saving_thread_takes_least(tmp_path: Path) -> None:
    found = [row for row in rows(kits()["HEATH"]) if row.hand == "right"]
    same = {row.policy: row.length_mm for row in found if row.needleful_mm == 500}
    assert same["save thread"] == min(same.values())
    assert same["cover the back"] == max(same.values())


def test_the_table(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    copy_kits(tmp_path)
    monkeypatch.chdir(tmp_path)
    assert main(["thread", "WHIN"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].split() == ["policy", "needleful", "hand", "thread", "needlefuls", "put-ups", "cost"]
    assert len(lines) == 1 + 2 * len(POLICIES) + 2 * (len(NEEDLEFULS_MM) - 1)
    assert sum(line.startswith("*") for line in lines) == 2
    assert main(["thread", "NONE"]) == 2
    assert "NONE" in capsys.readouterr().err
