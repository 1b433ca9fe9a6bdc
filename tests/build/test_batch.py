"""A run by the command line: planned, reserved, posted; what is short, wrong or overtaken is told."""

from __future__ import annotations

import csv
import json
from contextlib import closing
from pathlib import Path

import pypdfium2
import pytest

from kitbuild.documents.wording import languages
from kitbuild.ledger import Ledger
from tests.build.places import LOCATED, Ran, run
from tests.spec.ranges import copy_kits

LISTS = ("pick-list", "cut-list", "offcuts", "needs", "orders", "buy-list", "cost", "boxes")
SHEETS = ("pick-list", "pick-list-by-kit", "cut-list", "buy-list", "check-sheet", "cost", "labels")
HEAD = "item,lot,bin,quantity,received\n"


@pytest.fixture
def place(tmp_path: Path) -> Path:
    """A shop with two orders and enough for them."""
    kits = copy_kits(tmp_path)
    orders(tmp_path, "1001,WHIN,3,2026-12-01", "1002,FERN,2,2026-11-28")
    lots = (kits / "stock.csv").read_text()
    assert lots.startswith(HEAD)
    return tmp_path


def orders(place: Path, *rows: str) -> None:
    (place / "kits" / "orders.csv").write_text("\n".join(["order,kit,quantity,due", *rows]) + "\n")


def rows(place: Path, name: str, run_name: str = "w41") -> list[dict[str, str]]:
    with (place / "build" / "batch" / run_name / f"{name}.csv").open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def good(ran: Ran) -> None:
    assert (ran.code, ran.err) == (0, "")


def snapshot(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def test_a_run_writes_its_lists(place: Path) -> None:
    ran = run(place, "batch", "w41")
    good(ran)
    assert ran.out == "w41: 5 of 5 boxes planned, build/batch/w41\n"
    folder = place / "build" / "batch" / "w41"
    manifest = json.loads((folder / "manifest.json").read_bytes())
    wanted = {f"{name}.csv" for name in LISTS} | {f"{name}.pdf" for name in SHEETS} | {"run.json"}
    wanted |= {f"{name}.letter.pdf" for name in SHEETS if name != "labels"}
    assert set(manifest["outputs"]) == wanted == {path.name for path in folder.iterdir()} - {"manifest.json"}
    assert "kits/orders.csv" in manifest["outputs"]["cost.csv"]["inputs"]
    picks = rows(place, "pick-list")
    names = "line,bin,item,description,colour,lot,per_kit,quantity,unit,run,kit,edition,boxes"
    assert list(picks[0]) == names.split(",")
    assert [row["line"] for row in picks] == [str(at) for at in range(1, len(picks) + 1)]
    assert [row["bin"] for row in picks] == sorted(row["bin"] for row in picks)
    assert {row["bin"] for row in picks if row["item"] == "tin-90"} == {"E-02"}
    assert sum(int(row["quantity"]) for row in picks if row["item"] == "needle-16") == 10
    assert {row["run"] for row in picks} == {"w41"}
    cuts = rows(place, "cut-list")
    assert sum(row["kit"] == "WHIN" for row in cuts) == 12
    assert all(int(row["need"]) == int(row["picked"]) + int(row["short"]) for row in rows(place, "needs"))
    assert rows(place, "buy-list") == []


def test_the_same_run_is_the_same_bytes(place: Path) -> None:
    good(run(place, "batch", "w41"))
    before = snapshot(place / "build" / "batch" / "w41")
    good(run(place, "batch", "w41", PYTHONHASHSEED="7", TZ="Asia/Tokyo"))
    assert snapshot(place / "build" / "batch" / "w41") == before


def test_the_pages_say_the_run(place: Path) -> None:
    good(run(place, "batch", "w41"))
    for name in SHEETS:
        pages = pypdfium2.PdfDocument(place / "build" / "batch" / "w41" / f"{name}.pdf")
        assert "w41" in pages[0].get_textpage().get_text_bounded()


@pytest.mark.parametrize("language", languages())
def test_a_run_is_printed_in_every_language(place: Path, language: str) -> None:
    workshop = place / "kits" / "workshop.yaml"
    workshop.write_text(workshop.read_text().replace("language: en", f"language: {language}"))
    orders(place, "1001,WHIN,60,2026-12-01", "1002,HEATH,1,2026-11-28")
    assert run(place, "batch", "w41").code == 4


def test_what_is_short_is_told_and_the_others_are_planned(place: Path) -> None:
    orders(place, "1001,WHIN,12,2026-12-01", "1002,WHIN,20,2026-12-10", "1003,FERN,1,2026-12-11")
    ran = run(place, "batch", "w41")
    assert ran.code == 4
    assert ran.codes == ["KB620"]
    assert LOCATED.fullmatch(ran.problems[0])
    assert ran.err.startswith("kits/orders.csv:3:1: KB620 order 1002 waits for 19 of 20 WHIN: short of wool-")
    planned = {row["order"]: (row["planned"], row["waits"]) for row in rows(place, "orders")}
    assert planned == {"1001": ("12", "0"), "1002": ("1", "19"), "1003": ("1", "0")}
    assert {row["item"]: row["quantity"] for row in rows(place, "buy-list")}["wool-0123"] == "38"


def test_orders_that_are_wrong_leave_what_was_there(place: Path) -> None:
    good(run(place, "batch", "w41"))
    before = snapshot(place / "build" / "batch" / "w41")
    orders(place, "1001,WHIM,3,2026-12-01", "1002,FERN,-2,2026-11-28", "1003,FERN,2,28/11/2026")
    ran = run(place, "batch", "w41")
    assert ran.code == 1
    assert ran.codes == ["KB612", "KB611", "KB611"]
    assert all(LOCATED.fullmatch(line) for line in ran.problems)
    assert snapshot(place / "build" / "batch" / "w41") == before


@pytest.mark.parametrize(("name", "code"), [("orders.csv", "KB101"), ("stock.csv", "KB614")])
def test_a_list_that_is_not_there(place: Path, name: str, code: str) -> None:
    (place / "kits" / name).unlink()
    ran = run(place, "batch", "w41")
    assert (ran.code, ran.codes) == (1, [code])


@pytest.mark.parametrize("name", ["a/b", "..", "", "é", "x" * 25, "-x"])
def test_the_name_of_a_run_is_plain(place: Path, name: str) -> None:
    ran = run(place, "batch", "--", name)
    assert (ran.code, ran.codes) == (1, ["KB624"])


def test_a_run_through_the_ledger(place: Path) -> None:
    assert run(place, "batch", "w41", "reserve").codes == ["KB614"]
    good(run(place, "stock", "count"))
    good(run(place, "batch", "w41"))
    (place / "kits" / "stock.csv").unlink()
    good(run(place, "batch", "w41", "reserve"))
    assert run(place, "batch", "w41", "reserve").codes == ["KB621"]
    assert run(place, "batch", "w41").codes == ["KB621"]
    good(run(place, "batch", "w41", "post"))
    assert run(place, "batch", "w41", "post").codes == ["KB621"]
    good(run(place, "stock", "export", "now.csv"))
    with (place / "now.csv").open(newline="") as file:
        now = {(row["item"], row["lot"]): row["quantity"] for row in csv.DictReader(file)}
    assert now["needle-16", ""] == "190"
    assert now["tin-90", ""] == "18"
    assert now["roll-10", "R1"] == "7.35"
    taken = [row for row in rows(place, "pick-list") if row["item"] == "wool-0123"]
    assert {(row["lot"], row["quantity"]) for row in taken} == {("4471", "6")}
    assert now["wool-0123", "4471"] == "9"
    for row in rows(place, "offcuts"):
        assert (row["item"], row["lot"]) in now


def test_what_was_exported_can_be_counted_in(place: Path) -> None:
    good(run(place, "stock", "count"))
    good(run(place, "stock", "export", "now.csv"))
    ran = run(place, "stock", "count", "now.csv", "--whole")
    good(ran)
    assert ran.out.endswith("0 differed\n")


def test_stock_that_has_overtaken_a_plan(place: Path) -> None:
    good(run(place, "stock", "count"))
    good(run(place, "batch", "w41"))
    (place / "less.csv").write_text(f"{HEAD}needle-16,,,150,2026-08-03\n")
    good(run(place, "stock", "count", "less.csv"))
    ran = run(place, "batch", "w41", "reserve")
    assert (ran.code, ran.codes) == (1, ["KB623"])
    assert "needle-16 was 200, is 150" in ran.err


def test_a_run_reserved_leaves_less_for_the_next(place: Path) -> None:
    good(run(place, "stock", "count"))
    orders(place, "1,WHIN,10,2026-12-01")
    good(run(place, "batch", "one"))
    good(run(place, "batch", "one", "reserve"))
    assert run(place, "batch", "two").code == 4
    good(run(place, "batch", "one", "cancel"))
    good(run(place, "batch", "two"))


def test_a_plan_that_was_changed_is_not_reserved(place: Path) -> None:
    good(run(place, "stock", "count"))
    good(run(place, "batch", "w41"))
    plan = place / "build" / "batch" / "w41" / "run.json"
    plan.write_text(plan.read_text().replace("200", "300"))
    assert run(place, "batch", "w41", "reserve").codes == ["KB622"]


def test_a_damaged_ledger_is_told(place: Path) -> None:
    (place / "kits" / "stock.sqlite").write_bytes(b"x" * 5000)
    ran = run(place, "batch", "w41")
    assert (ran.code, ran.codes) == (3, ["KB810"])


def test_a_wrong_count_changes_nothing(place: Path) -> None:
    (place / "bad.csv").write_text(f"{HEAD}wool-0123,A,,1.5,2026-08-03\n")
    ran = run(place, "stock", "count", "bad.csv")
    assert (ran.code, ran.codes) == (1, ["KB615"])
    assert run(place, "stock", "export").codes == ["KB614"]


def test_a_list_without_a_lot_counts_nothing(place: Path) -> None:
    """Neither where no ledger was begun, nor to empty one: a list that was cut off looks the same."""
    (place / "none.csv").write_text(HEAD)
    ran = run(place, "stock", "count", "none.csv")
    assert (ran.code, ran.codes) == (1, ["KB614"])
    assert not (place / "kits" / "stock.sqlite").exists()
    good(run(place, "stock", "count"))
    before = run(place, "stock", "export", "-").out
    ran = run(place, "stock", "count", "none.csv", "--whole")
    assert (ran.code, ran.codes) == (1, ["KB614"])
    assert run(place, "stock", "export", "-").out == before


def came_back(place: Path, item: str, picked: str) -> Path:
    """The run's pick list with a number for one item."""
    listed = rows(place, "pick-list")
    path = place / "picked.csv"
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, [*listed[0], "picked"])
        writer.writeheader()
        writer.writerows({**row, "picked": picked if row["item"] == item else ""} for row in listed)
    return path


def test_a_run_is_posted_as_it_was_picked(place: Path) -> None:
    """One tin of two was there: one of the two boxes of FERN waits, and its needles stay on the shelf."""
    good(run(place, "stock", "count"))
    good(run(place, "batch", "w41"))
    path = came_back(place, "tin-90", "9")
    assert run(place, "batch", "w41", "post", "--picked", "picked.csv").codes == ["KB621"]
    good(run(place, "batch", "w41", "reserve"))
    assert run(place, "batch", "w41", "post", "--picked", "nowhere.csv").codes == ["KB630"]
    came_back(place, "tin-90", "99")
    ran = run(place, "batch", "w41", "post", "--picked", "picked.csv")
    assert (ran.code, ran.codes) == (1, ["KB630"])
    assert "tin-90: 99 were picked, 20 are there" in ran.err
    assert path == came_back(place, "tin-90", "1")
    ran = run(place, "batch", "w41", "post", "--picked", "picked.csv")
    assert (ran.code, ran.codes) == (4, ["KB620"])
    assert ran.err.startswith(
        "kits/orders.csv:3:1: KB620 order 1002 waits for 1 of 2 FERN: fewer were picked"
    )
    assert "tin-90: 1 booked, 2 planned\n" in ran.out
    with closing(Ledger(place / "kits" / "stock.sqlite")) as ledger:
        now = {(each.item, each.lot): each.quantity for each in ledger.lots()}
        assert ledger.packed() == {"FERN": 1, "WHIN": 3}
    assert (now["tin-90", ""], now["needle-16", ""]) == (19, 192)
    assert run(place, "batch", "w41", "post").codes == ["KB621"]
    assert run(place, "batch", "w42", "plan", "--picked", "picked.csv").code == 2
