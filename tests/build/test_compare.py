"""What a change means for papers, packed boxes and stock: edits of the demo range with their consequences."""

from __future__ import annotations

import csv
import json
import os
import shutil
import subprocess
import sys
from functools import cache
from pathlib import Path

import pypdfium2
import pytest

from kitbuild.base.blocks import Figure
from kitbuild.build import Made, make
from kitbuild.documents.change_sheet import Comparison, change_sheet
from kitbuild.documents.wording import languages, wording
from kitbuild.editions import open_data, open_made
from kitbuild.output.pdf import render_pdf
from kitbuild.output.plain_text import render_text
from kitbuild.production.changes import Changes, changes
from kitbuild.production.consequences import Consequences, consequences
from kitbuild.production.opened import READ, Opened, Unreadable, opened
from kitbuild.production.stock import Lot, Stale
from kitbuild.spec.folder import read_range
from tests.build.places import CODES, change, run, small_shop, workshop
from tests.documents.test_wording import ENGLISH, Listening
from tests.spec.ranges import KITS, ROOT


@pytest.fixture(scope="module")
def shops(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("shops")


@cache
def before(folder: Path) -> dict[str, Opened]:
    return opened_range(workshop(folder / "before"))


def opened_range(folder: Path, *codes: str) -> dict[str, Opened]:
    found, _ = read_range(folder / "kits")
    assert found is not None
    return {kit.code: open_made(make(kit)) for kit in found.kits if not codes or kit.code in codes}


def compared(folder: Path, code: str, *edits: tuple[str, str, str]) -> Changes:
    """A demo kit against itself with edits of its files."""
    edited = workshop(folder / f"after-{len(list(folder.iterdir()))}")
    for file, old, new in edits:
        change(edited, f"{file}.yaml", old, new)
    return changes(before(folder)[code], opened_range(edited, code)[code])


def ids(means: Consequences) -> set[str]:
    return {reason.id for reason in means.reasons}


@pytest.mark.parametrize("code", CODES)
def test_shorter_put_ups_leave_packed_boxes_short(code: str, shops: Path) -> None:
    """Skeins turn out to hold a third: the boxes with too few needlefuls of a colour must be opened."""
    edited = workshop(shops / f"short-{code}")
    path = edited / "kits/materials.yaml"
    path.write_text(
        path.read_text(encoding="utf-8").replace("put_up_length: 10 m", "put_up_length: 3 m"), "utf-8"
    )
    found = changes(before(shops)[code], opened_range(edited, code)[code])
    lacking = {}
    for row in found.old["thread.csv"]:
        holds = int(row["put_ups"]) * (3000 // round(float(row["needleful_mm"])))
        if int(row["needlefuls"]) > holds:
            lacking[row["thread"]] = int(row["needlefuls"]) - holds
    means = consequences(found, packed=4)
    short = [reason for reason in means.reasons if reason.id == "short"]
    assert lacking
    assert means.verdict == "open"
    assert len(short) == len(lacking)
    assert sorted(
        int(str(each.values["needs"])) - int(str(each.values["holds"])) for each in short
    ) == sorted(lacking.values())
    bought = {each.item: each.quantity for each in means.buy}
    packs = {each.item: each.after - each.before for each in found.items}
    assert {item: bought[item] for item in packs} == {item: 4 * count for item, count in packs.items()}


def test_one_stitch_in_another_colour_is_marked(shops: Path) -> None:
    found = compared(
        shops,
        "WHIN",
        ("whin", "colours: [bark, moss, gorse, lichen]", "colours: [bark, moss, lichen, gorse]"),
    )
    (piece,) = found.stitches
    one, other = (
        {
            tuple(int(row[name]) for name in ("x1", "y1", "x2", "y2")): row["colour"]
            for row in each["stitches.csv"]
        }
        for each in (found.old, found.new)
    )
    assert (piece.new, piece.gone) == ((), ())
    assert set(piece.recoloured) == {ends for ends in one if one[ends] != other[ends]}
    sheet = change_sheet(Comparison(found, consequences(found), wording("en")))
    (figure,) = (block for block in sheet.blocks if isinstance(block, Figure))
    marked = figure.marks[-1]
    assert len(marked.ends_mm) == 4 * len(piece.recoloured)


@pytest.mark.parametrize("language", languages())
def test_every_sentence_is_said_and_printed(language: str, shops: Path) -> None:
    """Of all edits together; every sheet can be printed in each language."""
    say = Listening() if language == "en" else wording(language)
    wide = [("whin", "rows: 27", "rows: 29"), ("whin", "thread: wool-0488", "thread: wool-0391")]
    for edits in (wide, [("whin", "dry flat", "dry it flat")], []):
        found = compared(shops, "WHIN", *edits)
        stale = (Stale(Lot("WHIN-booklet", "edition 1", "P-07", 3, "2026-02-01"), 2),) if edits else ()
        sheet = change_sheet(Comparison(found, consequences(found, 3), say, stale=stale))
        assert len(pypdfium2.PdfDocument(render_pdf(sheet))) >= 1
        assert all(len(line) <= 100 for line in render_text(sheet))
    if isinstance(say, Listening):
        assert {
            "edition.unraised",
            "edition.nothing",
            "edition.box.worked",
            "edition.stitches.text",
            "edition.shelf.text",
            "edition.shelf.none",
        } <= say.said
    assert {id for id in ENGLISH if id.startswith("edition.")} == {
        id for id in wording(language).sentences if id.startswith("edition.")
    }


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """Three kits, and the test stitch of one of them."""
    whole = small_shop(tmp_path / "shop")
    shutil.copy(KITS / "whin-coaster-test.yaml", whole / "kits")
    return whole


def test_release_then_change_then_raise(shop: Path) -> None:
    assert run(shop, "compare", "WHIN").codes == ["KB909"]
    assert run(shop, "release", "WHIN").out == "WHIN: edition 1 released, kits/released/WHIN/1\n"
    assert "already" in run(shop, "release", "WHIN").out
    assert run(shop, "check").problems == []
    change(shop, "whin.yaml", "dry flat", "dry it flat")
    assert run(shop, "check").codes == ["KB901"]
    assert run(shop, "build", "WHIN").codes == ["KB901"]
    refused = run(shop, "release", "WHIN")
    assert (refused.code, refused.codes) == (1, ["KB908"])
    told = run(shop, "compare", "WHIN", "--packed", "2")
    assert (told.code, "They may be sold with a note." in told.out) == (0, True)
    assert {path.name for path in (shop / "build/changes/WHIN").iterdir()} == {
        "change-sheet.pdf",
        "change-sheet.html",
        "changes.csv",
        "manifest.json",
    }
    for name in ("whin.yaml", "whin-coaster-test.yaml"):
        change(shop, name, "edition: 1", "edition: 2")
    assert run(shop, "check").problems == []
    assert run(shop, "release", "WHIN").out == "WHIN: edition 2 released, kits/released/WHIN/2\n"
    change(shop, "whin.yaml", "edition: 2", "edition: 1")
    assert "KB901" in run(shop, "check").codes


def test_what_keeps_an_edition_from_being_released(shop: Path) -> None:
    change(shop, "materials.yaml", "    measured_pitch: 3.81 mm", "    # measured_pitch: 3.81 mm")
    change(shop, "materials.yaml", "count: 7\n", "count: 6.667\n")
    codes = run(shop, "release", "FERN").codes
    assert {"KB504", "KB905", "KB906", "KB907"} <= set(codes)
    assert not (shop / "kits/released").exists()


def test_a_stated_waiver_stands_for_a_test(shop: Path) -> None:
    assert run(shop, "release", "FERN").codes == ["KB906"]
    change(
        shop,
        "tinband.yaml",
        "policy: cover the back",
        "policy: cover the back\nuntested: Worked as a sample.",
    )
    assert run(shop, "release", "FERN").code == 0
    with open(shop / "kits/released/FERN/1/kit.csv", encoding="utf-8", newline="") as file:
        assert ("untested", "Worked as a sample.") in [
            (row["fact"], row["value"]) for row in csv.DictReader(file)
        ]


def test_what_is_no_build_is_told_with_its_place(shop: Path) -> None:
    assert run(shop, "build", "WHIN", "FERN").code == 0
    whin, fern = shop / "build/WHIN", shop / "build/FERN"
    assert run(shop, "compare", "build/WHIN", "build/FERN").codes == ["KB904"]
    assert run(shop, "compare", "nowhere", "build").codes == ["KB902", "KB902"]
    assert run(shop, "compare", "NOPE").code == 2
    assert run(shop, "compare", "a", "b", "c").code == 2
    (whin / "thread.csv").write_bytes((whin / "thread.csv").read_bytes() + b"x")
    (whin / "wording.csv").unlink()
    ran = run(shop, "compare", "build/WHIN", "build/WHIN")
    assert [line.split(":")[0] for line in ran.problems] == [
        "build/WHIN/thread.csv",
        "build/WHIN/wording.csv",
    ]
    assert ran.code == 1
    for damage in (b"", b"{", b"[]", b'{"outputs": 3}', b'{"outputs": {}}', b"[" * 100000):
        (fern / "manifest.json").write_bytes(damage)
        assert set(run(shop, "compare", "build/FERN", "build/FERN").codes) <= {"KB902", "KB903"}


def test_a_released_edition_names_what_is_no_longer_had(shop: Path) -> None:
    """Of today's materials: what differs while it can be made, and what is gone when it cannot."""
    assert run(shop, "release", "WHIN").code == 0
    path = shop / "kits/materials.yaml"
    lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
    (moss,) = (line for line in lines if "wool-0488:" in line)
    dearer = moss.replace("put_up_length: 10 m", "put_up_length: 5 m").replace("cost: 1.35", "cost: 1.60")
    change(shop, "materials.yaml", moss, dearer.replace("bin: A-02", "bin: A-22"))
    told = run(shop, "compare", "WHIN")
    assert told.code == 0
    with open(shop / "build/changes/WHIN/changes.csv", encoding="utf-8", newline="") as file:
        rows = {(row["part"], row["what"]): (row["before"], row["after"]) for row in csv.DictReader(file)}
    assert rows["palette", "moss put_up_mm"] == ("10000.00", "5000.00")
    assert rows["bins", "wool-0488"] == ("A-02", "A-22")
    assert rows["items", "wool-0488 moss"] == ("2", "3")
    assert rows["costs", "thread wool-0488 moss"] == ("2.70", "4.80")
    assert rows["papers", "pick-list.pdf"] == ("", "again")
    path.write_text(
        "".join(x for x in lines if "wool-0488:" not in x and "needle-16:" not in x), encoding="utf-8"
    )
    told = run(shop, "compare", "WHIN")
    assert (told.code, told.codes.count("KB910")) == (1, 2)
    assert "kits/released/WHIN/1/pick-list.csv: KB910 edition 1 packs 2 × skein of wool-0488" in told.err
    assert "KB303 there is no thread `wool-0488`" in told.err


def test_a_released_edition_that_was_altered_is_told(shop: Path) -> None:
    assert run(shop, "release", "WHIN").code == 0
    path = shop / "kits/released/WHIN/1/palette.csv"
    path.write_bytes(path.read_bytes().replace(b"Moss", b"Mess"))
    assert run(shop, "compare", "WHIN").codes == ["KB903"]
    assert run(shop, "check").codes == ["KB903"]
    manifest = json.loads((path.parent / "manifest.json").read_text(encoding="utf-8"))
    assert manifest["edition"] == 1


@pytest.mark.parametrize(
    ("file", "old", "new"),
    [
        ("palette.csv", b"#4a3527", b"brown"),
        ("palette.csv", b",square,", b",blob,"),
        ("stitches.csv", b",bark,", b",bork,"),
        ("finishing.csv", b"coaster,", b"saucer,"),
        ("thread.csv", b"moss,wool", b"mess,wool"),
        ("kit.csv", b"2026-10-01", b"in autumn"),
    ],
)
def test_open_data_that_does_not_agree_with_itself_is_told(
    file: str, old: bytes, new: bytes, shops: Path
) -> None:
    files = {name: content for name, content in open_data(whin(shops)).items() if name in READ}
    assert opened(files).code == "WHIN"
    with pytest.raises(Unreadable, match=file):
        opened(files | {file: files[file].replace(old, new)})


@cache
def whin(folder: Path) -> Made:
    found, _ = read_range(workshop(folder / "whin") / "kits")
    assert found is not None
    return make(next(kit for kit in found.kits if kit.code == "WHIN"))


def test_a_reader_that_goes_away_ends_it_quietly(shop: Path) -> None:
    assert run(shop, "build", "WHIN").code == 0
    command = f"{sys.executable} -m kitbuild compare build/WHIN build/WHIN; echo $? >code"
    reader, writer = os.pipe()
    os.close(reader)
    with open(writer, "wb") as closed:
        done = subprocess.run(
            command,
            shell=True,
            cwd=shop,
            stdout=closed,
            stderr=subprocess.PIPE,
            env=os.environ | {"PYTHONPATH": str(ROOT)},
            check=False,
        )
    assert (done.stderr, (shop / "code").read_text()) == (b"", "141\n")
    assert (shop / "build/changes/WHIN/change-sheet.html").read_bytes().startswith(b"<!DOCTYPE html>")
