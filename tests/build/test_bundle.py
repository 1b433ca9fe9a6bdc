"""Bundles by the command line: planned, made, packed by the next run; nothing twice, nothing half."""

from __future__ import annotations

import csv
from pathlib import Path

import pypdfium2
import pytest

from tests.build.places import run
from tests.build.test_batch import HEAD, good, orders, rows
from tests.build.test_printed import now
from tests.spec.ranges import copy_kits


@pytest.fixture
def place(tmp_path: Path) -> Path:
    copy_kits(tmp_path)
    orders(tmp_path, "1001,WHIN,5,2026-12-01")
    good(run(tmp_path, "stock", "count"))
    return tmp_path


def test_bundles_are_made_and_packed(place: Path) -> None:
    """2 skeins a colour and box: 3 bundles take 6 of lot 4471, and the run 4 more for boxes 4 and 5."""
    assert now(place)["wool-0123", "4471"] == 15
    ran = run(place, "bundle", "WHIN", "3", "--bin", "B-09")
    good(ran)
    assert ran.out == "WHIN: 3 of 3 bundles planned, build/bundles/WHIN\n"
    folder = place / "build" / "bundles" / "WHIN"
    with (folder / "making-list.csv").open(newline="", encoding="utf-8") as file:
        listed = list(csv.DictReader(file))
    assert {(row["colour"], row["lot"], row["quantity"]) for row in listed if row["colour"] == "bark"} == {
        ("bark", "4471", "6")
    }
    assert (folder / "making-list.letter.pdf").exists()
    words = pypdfium2.PdfDocument(folder / "cards.pdf")[0].get_textpage().get_text_bounded()
    assert words.count("lot ed1-m1-1") == 3
    assert now(place)["wool-0123", "4471"] == 15
    good(run(place, "bundle", "WHIN", "post"))
    assert (now(place)["wool-0123", "4471"], now(place)["WHIN-bundle", "ed1-m1-1"]) == (9, 3)
    ran = run(place, "bundle", "WHIN", "post")
    assert (ran.code, ran.codes) == (1, ["KB621"])
    good(run(place, "batch", "w41"))
    picked = [
        (row["bin"], row["lot"], row["quantity"])
        for row in rows(place, "pick-list")
        if "bundle" in row["item"]
    ]
    assert picked == [("B-09", "ed1-m1-1", "3")]
    assert {row["lot"] for row in rows(place, "boxes") if row["colour"] == "bark"} == {"4471"}
    good(run(place, "batch", "w41", "reserve"))
    good(run(place, "batch", "w41", "post"))
    assert (now(place)["wool-0123", "4471"], now(place)["WHIN-bundle", "ed1-m1-1"]) == (5, 0)
    good(run(place, "spare", "w41-WHIN-001", "bark"))
    good(run(place, "stock", "export", "now.csv"))
    good(run(place, "stock", "count", "now.csv"))


def test_stock_has_overtaken_the_making(place: Path) -> None:
    good(run(place, "bundle", "WHIN", "3"))
    (place / "less.csv").write_text(f"{HEAD}wool-0123,4471,,14,2026-08-03\n")
    good(run(place, "stock", "count", "less.csv"))
    before = now(place)
    ran = run(place, "bundle", "WHIN", "post")
    assert (ran.code, ran.codes) == (1, ["KB623"])
    assert "wool-0123 lot 4471 was 15, is 14 (plan the bundles again)" in ran.err
    assert now(place) == before


def test_what_cannot_be_made(place: Path) -> None:
    ran = run(place, "bundle", "WHIN", "400")
    assert (ran.code, ran.codes) == (4, ["KB620"])
    assert run(place, "bundle", "FERN", "post").codes == ["KB622"]
    assert run(place, "bundle", "WHIM", "3").code == 2
    assert run(place, "bundle", "WHIN", "0").code == 2
    assert run(place, "bundle", "WHIN", "some").code == 2


def test_bundles_that_nobody_made(place: Path) -> None:
    row = f"{HEAD}WHIN-bundle,ed1-m1-1,,5,2026-08-03\n"
    (place / "more.csv").write_text(row)
    before = now(place)
    assert run(place, "stock", "count", "more.csv").codes == ["KB634"]
    assert now(place) == before
    (place / "kits" / "stock.sqlite").unlink()
    (place / "kits" / "stock.csv").write_text(row)
    assert run(place, "batch", "w41").codes == ["KB634"]
