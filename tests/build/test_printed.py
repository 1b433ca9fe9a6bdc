"""Printed matter as stock: by edition, packed before more is printed, ordered, written off when stale."""

from __future__ import annotations

import csv
import sys
from contextlib import closing
from pathlib import Path

import pypdfium2
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kitbuild.documents.print_order import Print
from kitbuild.ledger import Ledger
from kitbuild.output.pdf import page_count
from kitbuild.production.stock import edition_of
from tests.build.places import run
from tests.build.print_kills import report
from tests.build.test_batch import HEAD, good, orders, rows
from tests.production.stores import boxed, lot, order, plenty
from tests.production.test_run import planned
from tests.spec.ranges import copy_kits


@pytest.fixture
def place(tmp_path: Path) -> Path:
    """Edition 2 of FERN: 3 booklets of it are there, and 12 of edition 1."""
    kits = copy_kits(tmp_path)
    spec = kits / "tinband.yaml"
    text = spec.read_text()
    assert text.count("\nedition: 1\n") == 1
    spec.write_text(text.replace("\nedition: 1\n", "\nedition: 2\n"))
    orders(tmp_path, "1001,FERN,5,2026-12-01")
    with (kits / "stock.csv").open("a") as file:
        file.write("FERN-booklet,edition 1,,12,2026-01-01\nFERN-booklet,Edition 2,P-07,3,2026-02-01\n")
        file.write("FERN-sheet,edition 2,P-08,9,2026-02-01\nFERN-sheet,edition 2 de,P-08,9,2026-02-01\n")
    return tmp_path


STALE = (
    "kits/stock.sqlite: KB631 warning: 12 FERN-booklet of edition 1 in stock: edition 2 is packed now "
    "(kitbuild stock write-off FERN-booklet 'edition 1')"
)


def now(place: Path) -> dict[tuple[str, str], int]:
    with closing(Ledger(place / "kits" / "stock.sqlite")) as ledger:
        return {(each.item, each.lot): each.quantity for each in ledger.lots()}


def test_a_run_packs_what_is_printed_of_its_edition(place: Path) -> None:
    ran = run(place, "stock", "count")
    assert (ran.code, ran.problems) == (0, [STALE])
    good(run(place, "batch", "w41"))
    picked = [
        (row["bin"], row["item"], row["lot"], row["quantity"])
        for row in rows(place, "pick-list")
        if row["item"].startswith("FERN-")
    ]
    assert picked == [
        ("P-01", "FERN-booklet", "", "2"),
        ("P-07", "FERN-booklet", "edition 2", "3"),
        ("P-08", "FERN-sheet", "edition 2", "5"),
    ]
    assert all(int(row["need"]) == int(row["picked"]) + int(row["short"]) for row in rows(place, "needs"))
    good(run(place, "batch", "w41", "reserve"))
    good(run(place, "batch", "w41", "post"))
    left = {key: many for key, many in now(place).items() if key[0].startswith("FERN-")}
    assert left == {
        ("FERN-booklet", "edition 1"): 12,
        ("FERN-booklet", "edition 2"): 0,
        ("FERN-sheet", "edition 2"): 4,
        ("FERN-sheet", "edition 2 de"): 9,
    }


def test_what_is_stale_is_written_off(place: Path) -> None:
    run(place, "stock", "count")
    for wrong, cure in (
        (("FERN-booklet", "edition 1", "--quantity", "13"), "12 are free"),
        (("FERN-booklet", "edition 3"), "no lot `edition 3` of FERN-booklet"),
        (("FERN-bookle", "edition 1"), "did you mean `FERN-booklet`?"),
    ):
        ran = run(place, "stock", "write-off", *wrong)
        assert (ran.code, ran.codes) == (1, ["KB633"])
        assert cure in ran.err
    assert now(place)["FERN-booklet", "edition 1"] == 12
    ran = run(place, "stock", "export", "now.csv")
    assert ran.problems == [STALE]
    good(run(place, "stock", "write-off", "FERN-booklet", "edition 1", "--quantity", "5"))
    assert now(place)["FERN-booklet", "edition 1"] == 7
    ran = run(place, "stock", "write-off", "FERN-booklet", "edition", "1")
    good(ran)
    assert ran.out == "FERN-booklet edition 1: 7 written off\n"
    good(run(place, "stock", "export", "now.csv"))
    assert run(place, "stock", "write-off").code == 2
    assert run(place, "stock", "count", "--quantity", "3").code == 2


def test_printed_matter_is_named_by_its_edition(place: Path) -> None:
    (place / "bad.csv").write_text(
        f"{HEAD}FERN-booklet,second,,3,2026-08-03\nFERN-booklets,edition 1,,1,2026-08-03\n"
    )
    ran = run(place, "stock", "count", "bad.csv")
    assert (ran.code, ran.codes) == (1, ["KB615", "KB616"])
    assert "write it so: `edition 2`" in ran.err
    assert [edition_of(text) for text in ("edition 2", "edition 12 de", "edition", "2")] == [2, 12, 0, 0]


def test_a_comparison_tells_what_is_stale(place: Path) -> None:
    run(place, "stock", "count")
    good(run(place, "build", "FERN"))
    ran = run(place, "compare", "build/FERN", "build/FERN")
    assert ran.problems == [STALE]
    assert shelf_told(place) == [("FERN-booklet edition 1", "12", "0")]
    good(run(place, "stock", "write-off", "FERN-booklet", "edition 1"))
    ran = run(place, "compare", "build/FERN", "build/FERN")
    assert ran.problems == []
    assert "Nothing of editions before 2 is in stock." in ran.out
    assert shelf_told(place) == []


def shelf_told(place: Path) -> list[tuple[str, str, str]]:
    """What the comparison's list says of the shelf; its sheet and its page say the same."""
    folder = place / "build" / "changes" / "FERN"
    with (folder / "changes.csv").open(newline="", encoding="utf-8") as file:
        rows = [
            (row["what"], row["before"], row["after"])
            for row in csv.DictReader(file)
            if row["part"] == "shelf"
        ]
    page = pypdfium2.PdfDocument(folder / "change-sheet.pdf")[0].get_textpage().get_text_range()
    screen = (folder / "change-sheet.html").read_text(encoding="utf-8")
    for text in (page, screen):
        assert "Printed matter in stock" in text
        assert all(row[0].split()[0] in text for row in rows)
        assert ("earlier editions" in text) == bool(rows)
    return rows


def test_a_comparison_reads_a_list_of_stock(place: Path) -> None:
    """Where no ledger was begun; a list with a fault warns, and the sheet says nothing of the shelf."""
    good(run(place, "build", "FERN"))
    ran = run(place, "compare", "build/FERN", "build/FERN")
    assert (ran.code, ran.codes) == (0, ["KB631"])
    assert ran.err.startswith("kits/stock.csv: KB631 warning: 12 FERN-booklet of edition 1 in stock")
    assert shelf_told(place) == [("FERN-booklet edition 1", "12", "0")]
    with (place / "kits" / "stock.csv").open("a") as file:
        file.write("FERN-booklets,edition 1,,12,2026-01-01\n")
    ran = run(place, "compare", "build/FERN", "build/FERN")
    assert (ran.code, ran.codes) == (0, ["KB616"])
    assert "Printed matter in stock" not in ran.out
    (place / "kits" / "stock.csv").unlink()
    assert run(place, "compare", "build/FERN", "build/FERN").problems == []


def test_a_print_order(place: Path) -> None:
    run(place, "stock", "count")
    assert run(place, "batch", "w41", "print").codes == ["KB622"]
    good(run(place, "batch", "w41"))
    ran = run(place, "batch", "w41", "print")
    assert (ran.code, ran.codes) == (1, ["KB632"])
    assert "(kitbuild build FERN)" in ran.err
    good(run(place, "build", "FERN"))
    good(run(place, "batch", "w41", "print"))
    folder = place / "build" / "batch" / "w41" / "print"
    names = {"print-order.pdf", "print-order.letter.pdf", "print-order.csv", "manifest.json"}
    assert {path.name for path in folder.iterdir()} == names
    with (folder / "print-order.csv").open(newline="", encoding="utf-8") as file:
        (row,) = csv.DictReader(file)
    sides = len(pypdfium2.PdfDocument(place / row["file"]))
    assert (row["item"], row["edition"], row["folding"], row["copies"]) == (
        "FERN-booklet",
        "2",
        "folded",
        "2",
    )
    assert (int(row["sides"]), int(row["sheets_per_copy"])) == (sides, sides // 2)
    assert int(row["sheets"]) == 2 * (sides // 2)
    for path in (place / "build" / "FERN").glob("*.pdf"):
        assert page_count(path.read_bytes()) == len(pypdfium2.PdfDocument(path))
    text = (place / "kits" / "tinband.yaml").read_text()
    (place / "kits" / "tinband.yaml").write_text(text.replace("\nedition: 2\n", "\nedition: 3\n"))
    assert run(place, "batch", "w41", "print").codes == ["KB632"]


@pytest.mark.skipif(sys.platform == "win32", reason="there is no SIGKILL")
def test_a_killed_print_order_is_whole_or_none(tmp_path: Path) -> None:
    told = report(tmp_path, 4)
    assert told["kills"] == told["old"] + told.get("mixed", 0) + told.get("new", 0)
    assert told["old"] < told["kills"]


def test_sheets_by_hand() -> None:
    """7 sides are 4 sheets of paper a copy, 3 copies take 12."""
    each = Print("X-sheet", "X", 1, "x.pdf", "A4", 7, False, 3)
    assert (each.sheets, each.paper_needed) == (4, 12)


@given(st.integers(0, 8), st.integers(0, 8), st.integers(1, 8))
@settings(deadline=None, max_examples=30)
def test_packed_and_printed_are_the_boxes(ready: int, old: int, boxes: int) -> None:
    """Of an edition that is packed no more none is picked; what is not there is printed, nothing waits."""
    edition = boxed()["WHIN"].kit.edition
    lots = [
        lot("WHIN-booklet", f"edition {edition}", ready),
        lot("WHIN-booklet", f"edition {edition + 1}", old),
    ]
    run = planned([order("1", "WHIN", boxes)], [*plenty(), *lots])
    lines = [line for line in run.lines if line.pick.item == "WHIN-booklet"]
    assert sum(line.quantity for line in lines) == sum(line.boxes for line in lines) == boxes
    assert sum(line.quantity for line in lines if line.lot) == min(ready, boxes)
    taken = {key: many for key, many in run.taken.items() if key[0] == "WHIN-booklet"}
    assert taken == ({("WHIN-booklet", f"edition {edition}"): min(ready, boxes)} if ready else {})
