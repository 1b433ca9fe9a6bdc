"""The life of one kit from its test stitch to a class, command by command, as its maker goes through it."""

from __future__ import annotations

import csv
from pathlib import Path

from tests.build.places import Ran, run
from tests.spec.ranges import copy_kits

RUN = "2026-w50"


def rows(path: Path) -> list[dict[str, str]]:
    with path.open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def good(ran: Ran) -> Ran:
    assert ran.code == 0, ran.err
    return ran


def stock_of(place: Path, item: str) -> dict[str, int]:
    listed = good(run(place, "stock", "export")).out.splitlines()
    cells = [line.split(",") for line in listed if line.startswith(f"{item},")]
    return {lot: int(quantity) for _, lot, _, quantity, _ in cells}


def edit(file: Path, old: str, new: str) -> None:
    text = file.read_text(encoding="utf-8")
    assert old in text, old
    file.write_text(text.replace(old, new), encoding="utf-8")


def test_the_life_of_one_kit(tmp_path: Path) -> None:
    kits = copy_kits(tmp_path)
    (kits / "orders.csv").write_text("order,kit,quantity,due\n2001,WHIN,3,2026-12-10\n")
    edit(kits / "stock.csv", "wool-0123,4502,,12,", "wool-0123,4502,,60,")

    # the test stitch of the demo range counts: the edition can be kept
    good(run(tmp_path, "release", "WHIN"))
    assert (kits / "released" / "WHIN" / "1" / "manifest.json").exists()

    # a run: two skeins of each colour a box, from the oldest lot that holds them
    good(run(tmp_path, "stock", "count"))
    before = stock_of(tmp_path, "wool-0123")
    good(run(tmp_path, "batch", RUN))
    boxes = rows(tmp_path / "build" / "batch" / RUN / "boxes.csv")
    assert {row["box"] for row in boxes} == {f"{RUN}-WHIN-00{number}" for number in (1, 2, 3)}
    good(run(tmp_path, "batch", RUN, "reserve"))
    good(run(tmp_path, "batch", RUN, "post"))
    after = stock_of(tmp_path, "wool-0123")
    assert sum(before.values()) - sum(after.values()) == 3 * 2
    lot = next(row["lot"] for row in boxes if row["colour"] == "bark")
    assert before[lot] - after.get(lot, 0) == 6

    # a spare of the box's own lot: one skein leaves the stock
    good(run(tmp_path, "spare", f"{RUN}-WHIN-002", "bark", "--needlefuls", "3"))
    assert after[lot] - stock_of(tmp_path, "wool-0123").get(lot, 0) == 1
    assert run(tmp_path, "spare", f"{RUN}-WHIN-009", "bark").code == 1

    # a colour is discontinued: what that touches, then the next edition with the new one
    edit(
        kits / "materials.yaml",
        "colour_name: Moss,",
        "colour_name: Moss, replaced_by: {key: wool-0391, from: 2027-01-01},",
    )
    told = good(run(tmp_path, "replaced", "wool-0488")).out
    assert "WHIN" in told
    assert RUN in told
    edit(kits / "whin.yaml", "moss:   {thread: wool-0488}", "moss:   {thread: wool-0391, name: Moss}")
    ran = run(tmp_path, "compare", "WHIN", "--packed", "3")
    assert ran.code == 0, ran.err
    assert "KB901" in ran.err or "KB901" in run(tmp_path, "check", "kits/whin.yaml").err
    edit(kits / "whin.yaml", "edition: 1\ndate: 2026-10-01", "edition: 2\ndate: 2027-01-15")
    edit(kits / "whin.yaml", "price: 34.00", "untested: The same stitches as edition 1.\nprice: 34.00")
    (kits / "whin-coaster-test.yaml").unlink()
    good(run(tmp_path, "release", "WHIN"))

    # the earlier box still leads to its own edition and thread
    slip = good(run(tmp_path, "spare", f"{RUN}-WHIN-001", "moss", "--needlefuls", "2"))
    assert slip.err == ""

    # a class with the new edition, from one lot of each colour
    good(run(tmp_path, "class", "saturday-whin"))
    packed = {row["item"]: row for row in rows(tmp_path / "build/class/saturday-whin/packing-list.csv")}
    assert packed["wool-0391"]["edition"] == "2"
    assert len(packed["wool-0391"]["lot"].split()) == 1
    good(run(tmp_path, "class", "saturday-whin", "reserve"))
    good(run(tmp_path, "class", "saturday-whin", "post"))
    assert run(tmp_path, "class", "saturday-whin", "post").code == 1
