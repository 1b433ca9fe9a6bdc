"""A released edition made again, from its own spec, with what the workshop has today."""

from __future__ import annotations

import csv
import json
import re
import shutil
from dataclasses import fields
from pathlib import Path

import pytest

from kitbuild.base.blocks import Table
from kitbuild.documents.again_blocks import Remade, used_blocks
from kitbuild.documents.wording import languages, wording
from kitbuild.production.used import GONE, NEW, UsedChanged, materials_of, today, used, used_changes
from kitbuild.spec.folder import read_range
from kitbuild.spec.house import ThreadRules
from kitbuild.spec.materials import Bag, Canvas, Extra, Needle, Stock, Thread
from kitbuild.spec.packing import BoxType
from kitbuild.spec.trade import Channel, Replacement, TaxRate
from tests.build.places import change, complete_shop, run, small_shop
from tests.output.reading import page_texts
from tests.spec.ranges import KITS

WAIVED = "policy: cover the back\nuntested: Worked as a sample."


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """Three kits; WHIN is released."""
    whole = small_shop(tmp_path / "shop")
    shutil.copy(KITS / "whin-coaster-test.yaml", whole / "kits")
    assert run(whole, "release", "WHIN").code == 0
    return whole


def material(shop: Path, key: str, *edits: tuple[str, str]) -> None:
    """Edit the line of the materials that a thread, needle or stock is written in, or take it out."""
    path = shop / "kits/materials.yaml"
    lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
    (at,) = (number for number, line in enumerate(lines) if line.lstrip().startswith(f"{key}:"))
    for old, new in edits:
        assert old in lines[at], (key, old)
        lines[at] = lines[at].replace(old, new)
    path.write_text("".join(lines if edits else (*lines[:at], *lines[at + 1 :])), encoding="utf-8")


def listed(shop: Path, code: str = "WHIN") -> dict[tuple[str, str], tuple[str, str]]:
    with open(shop / f"build/changes/{code}/changes.csv", encoding="utf-8", newline="") as file:
        return {(row["part"], row["what"]): (row["before"], row["after"]) for row in csv.DictReader(file)}


def test_every_difference_is_listed_though_materials_are_gone(shop: Path) -> None:
    material(shop, "wool-0488")
    material(shop, "needle-16")
    material(shop, "wool-0702", ("cost: 1.35", "cost: 1.60"), ("put_up_length: 10 m", "put_up_length: 5 m"))
    material(shop, "wool-0123", ("thickness: 1.9 mm", "thickness: 1.7 mm"), ("bin: A-01", "bin: Z-01"))
    material(shop, "wool-0009", ("bin: A-04", "bin: A-04, replaced_by: {key: wool-0003, from: 2027-01-01}"))
    material(shop, "sheet-7", ("sheet: 70 x 90 holes, cost: 1.45", "sheet: 60 x 90 holes, cost: 1.75"))
    change(shop, "workshop.yaml", "wage: 16.00", "wage: 18.00")
    told = run(shop, "compare", "WHIN", "--again", "--packed", "2")
    assert (told.err, told.code) == ("", 0)
    rows = listed(shop)
    of = {what: sides for (part, what), sides in rows.items() if part == "materials"}
    assert of == {
        "thread wool-0488 gone": ("Tapestry wool 0488", ""),
        "needle needle-16 gone": ("Tapestry needle, size 16", ""),
        "thread wool-0702 cost_minor": ("135", "160"),
        "thread wool-0702 put_up_mm": ("10000.00", "5000.00"),
        "thread wool-0123 thickness_mm": ("1.90", "1.70"),
        "thread wool-0123 bin": ("A-01", "Z-01"),
        "thread wool-0009 replaced_by.key": ("", "wool-0003"),
        "thread wool-0009 replaced_by.begins": ("", "2027-01-01"),
        "stock sheet-7 title": ("Sheet of 70 x 90 holes", "Sheet of 60 x 90 holes"),
        "stock sheet-7 columns": ("70", "60"),
        "stock sheet-7 cost_minor": ("145", "175"),
        "workshop packing_wage_minor": ("1600", "1800"),
    }
    assert rows["items", "wool-0702 gorse"] == ("2", "3")
    assert rows["costs", "thread wool-0702 gorse"] == ("2.70", "4.80")
    assert rows["bins", "wool-0123"] == ("A-01", "Z-01")
    pages = " ".join(page_texts((shop / "build/changes/WHIN/change-sheet.pdf").read_bytes()))
    html = (shop / "build/changes/WHIN/change-sheet.html").read_text(encoding="utf-8")
    for text in (told.out, pages, re.sub("<[^>]+>", " ", html)):
        words = " ".join(text.split())
        assert "No longer to be had" in words
        assert "Tapestry wool 0488 (wool-0488)" in words
        assert "Tapestry wool 0702 (wool-0702): length of a put-up 10,000 mm 5,000 mm" in words.replace(
            "\xa0", " "
        )
        assert "wage an hour 16.00 EUR 18.00 EUR" in words


def test_it_is_the_released_spec_that_is_made_again(shop: Path) -> None:
    """Today's spec may be another, or be gone; nothing that is the same is told."""
    change(shop, "whin.yaml", "Gorse-bank coasters", "Gorse coasters of today")
    (shop / "kits/whin-coaster-test.yaml").unlink()
    told = run(shop, "compare", "WHIN", "--again")
    assert (told.err, told.code) == ("", 0)
    assert "Made today, the kit comes out as it was released." in told.out
    assert "of today" not in told.out
    (shop / "kits/whin.yaml").unlink()
    material(shop, "wool-0702", ("cost: 1.35", "cost: 1.60"))
    told = run(shop, "compare", "WHIN", "--again")
    assert (told.err, told.code) == ("", 0)
    assert listed(shop)["materials", "thread wool-0702 cost_minor"] == ("135", "160")
    assert run(shop, "compare", "WHIN").code == 2


def test_an_earlier_edition_by_its_number(shop: Path) -> None:
    for name in ("whin.yaml", "whin-coaster-test.yaml"):
        change(shop, name, "edition: 1", "edition: 2")
    change(shop, "whin.yaml", "copies: 4", "copies: 3")
    assert run(shop, "release", "WHIN").code == 0
    change(shop, "workshop.yaml", "wage: 16.00", "wage: 18.00")
    assert "edition 2 of" in run(shop, "compare", "WHIN", "--again").out
    told = run(shop, "compare", "WHIN", "--again", "--edition", "1")
    assert "edition 1 of" in told.out
    assert ("items", "wool-0123 bark") not in listed(shop)
    assert run(shop, "compare", "WHIN", "--edition", "1").code == 0
    assert ("pieces", "coaster copies") in listed(shop)
    refused = run(shop, "compare", "WHIN", "--again", "--edition", "7")
    assert (refused.code, refused.codes) == (1, ["KB909"])
    assert "name one of: 1, 2" in refused.err
    assert run(shop, "compare", "FERN", "--again").codes == ["KB909"]
    assert run(shop, "compare", "build/WHIN", "build/WHIN", "--again").code == 2


def test_what_cannot_be_made_is_listed_all_the_same(shop: Path) -> None:
    change(shop, "tinband.yaml", "policy: cover the back", WAIVED)
    assert run(shop, "release", "FERN").code == 0
    change(shop, "materials.yaml", "measured_pitch: 3.81 mm", "measured_pitch: 5 mm")
    material(shop, "wool-0391")
    told = run(shop, "compare", "FERN", "--again")
    assert told.code == 1
    assert "KB912" in told.codes
    assert set(told.codes) - {"KB912"}
    assert all(line.startswith("kits/released/FERN/1") for line in told.problems)
    assert "Why it cannot be made today" in told.out
    assert "Boxes already packed" not in told.out
    rows = listed(shop, "FERN")
    assert rows["materials", "canvas plastic-7 pitch_mm"] == ("3.810000", "5.000000")
    assert rows["materials", "thread wool-0391 gone"] == ("Tapestry wool 0391", "")
    assert not [part for part, _ in rows if part == "papers"]


def test_a_box_a_canvas_and_its_sheet_may_be_gone(shop: Path) -> None:
    """A canvas of another name has taken over the sheet: the kept one still tells the sheet of its own."""
    change(shop, "materials.yaml", "  plastic-7:\n", "  plastic-new-7:\n")
    (shop / "kits/tinband.yaml").unlink()
    change(shop, "workshop.yaml", "  flat: {title: Flat box", "  low: {title: Low box")
    told = run(shop, "compare", "WHIN", "--again")
    assert (told.err, told.code) == ("", 0)
    gone = {what for part, what in listed(shop) if part == "materials"}
    assert gone == {"canvas plastic-7 gone", "stock sheet-7 gone", "box flat gone"}


@pytest.mark.parametrize("code", ["ROWAN", "HEATH"])
def test_charts_and_colourways_are_kept_too(code: str, tmp_path: Path) -> None:
    shop = complete_shop(tmp_path / "shop")
    path = shop / f"kits/{code.lower()}.yaml"
    text = path.read_text(encoding="utf-8")
    if "untested:" not in text:
        path.write_text(
            text.replace("policy:", "untested: Worked as a sample.\npolicy:", 1), encoding="utf-8"
        )
    released = run(shop, "release", code)
    assert released.code == 0, released.err
    path.unlink()
    for chart in shop.glob("kits/*-*.csv"):
        chart.unlink()
    told = run(shop, "compare", code, "--again")
    assert (told.err, told.code) == ("", 0)
    assert "Made today, the kit comes out as it was released." in told.out


def unkeep(shop: Path) -> None:
    """Make the released edition one of before specs were kept."""
    folder = shop / "kits/released/WHIN/1"
    shutil.rmtree(folder / "spec")
    manifest = json.loads((folder / "manifest.json").read_text(encoding="utf-8"))
    del manifest["outputs"]["materials.csv"]
    (folder / "materials.csv").unlink()
    (folder / "manifest.json").write_text(json.dumps(manifest), encoding="utf-8")


def test_an_edition_of_before_is_read_with_todays_spec_and_told_so(shop: Path) -> None:
    unkeep(shop)
    material(shop, "wool-0702", ("cost: 1.35", "cost: 1.60"))
    told = run(shop, "compare", "WHIN", "--again")
    assert (told.code, told.codes) == (0, ["KB911"])
    assert "released before its spec was kept" in " ".join(told.out.split())
    assert listed(shop)["costs", "thread wool-0702 gorse"] == ("2.70", "3.20")
    assert run(shop, "compare", "WHIN").codes == []
    material(shop, "wool-0488")
    told = run(shop, "compare", "WHIN", "--again")
    assert (told.code, sorted({*told.codes})) == (1, ["KB303", "KB910"])


@pytest.mark.parametrize(
    ("file", "content"),
    [
        ("spec/whin.yaml", b"kind: kit\n"),
        ("spec/whin.yaml", None),
        ("spec/manifest.json", b"{"),
        ("spec/manifest.json", b"[" * 100_000),
        ("spec/manifest.json", None),
        ("materials.csv", b"kind,key,what,value\r\n"),
        ("materials.csv", None),
        ("manifest.json", b"\xff"),
    ],
)
def test_what_was_harmed_is_told_with_its_place(file: str, content: bytes | None, shop: Path) -> None:
    path = shop / "kits/released/WHIN/1" / file
    path.unlink() if content is None else path.write_bytes(content)
    told = run(shop, "compare", "WHIN", "--again")
    assert (told.code, len(told.problems)) == (1, 1)
    assert told.problems[0].startswith(f"kits/released/WHIN/1/{file}: KB90")
    assert not (shop / "build/changes").exists()


def test_values_that_differ_are_found_and_no_others() -> None:
    found, _ = read_range(KITS)
    assert found is not None
    for kit in found.kits:
        values = tuple(used(materials_of(kit), kit.box, kit.house))
        assert not tuple(used_changes(values, today(values, found.materials, kit.house)))
        shorter = [each for each in values if each.key != kit.palette[0].thread.key]
        (change,) = used_changes(values, shorter)
        assert (change.what, change.key) == (GONE, kit.palette[0].thread.key)
        (change,) = used_changes(shorter, values)
        assert (change.what, change.before) == (NEW, "")


def whats() -> set[str]:
    """Every value that can be told of a material, a tool, a box or the workshop."""
    plain = (Canvas, Stock, Thread, Needle, Extra, BoxType, TaxRate, Channel)
    found = {field.name for record in plain for field in fields(record)} | {
        f"{name}.{field.name}"
        for name, record in (("bag", Bag), ("replaced_by", Replacement), ("thread", ThreadRules))
        for field in fields(record)
    }
    return found - {"at", "key", "stock", "pull", "bag", "replaced_by", "replaced_by.at"}


@pytest.mark.parametrize("language", languages())
def test_every_value_is_said_in_every_language(language: str) -> None:
    say = wording(language)
    read = {"rate": "0.21", "discount": "0.25", "fee": "0.095", "thread.spare_share": "0.1"}
    for what in sorted(whats()):
        value = "12000" if what.endswith(("_mm", "_minor", "_mg")) else read.get(what, "yes")
        each = UsedChanged("thread", "x", "X", what, "", value)
        (table,) = (
            block
            for block in used_blocks(say, Remade((each,), ()), ("EUR", "EUR"))
            if isinstance(block, Table)
        )
        assert table.rows[0][0].startswith("X (x)")
        assert re.search("12|yes|oui|ja|21|25|9.5|10", table.rows[0][2])
