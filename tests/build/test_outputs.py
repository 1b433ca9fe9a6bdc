"""A build from outside: all files of the contract, equal bytes wherever and whenever it runs."""

from __future__ import annotations

import csv
import hashlib
import json
import shutil
from pathlib import Path

import pytest

from kitbuild import __version__
from kitbuild.build import make, render
from kitbuild.stamp import KEPT
from tests.build.places import (
    ALL_FILES,
    CODES,
    change,
    complete_shop,
    digests,
    files_of,
    kit_file,
    kits_built,
    run,
)
from tests.documents.demo import kits
from tests.spec.ranges import ROOT

AGAIN = ("ROWAN", "WINDS")
"""Kits that are built more than once: a shaped and charted one, and one with sideways stitches."""
HEADERS = {
    "pieces.csv": "piece,copies,canvas,columns,rows,pitch_mm,cover",
    "stitches.csv": "piece,x1,y1,x2,y2,colour,row",
    "work-order.csv": (
        "piece,seq,row,colour,start,up_x,up_y,down_x,down_y,front_mm,back_mm,pass_mm,used_mm,needleful"
    ),
    "finishing.csv": "piece,kind,edge,hole,colour,stitches,mm",
    "thread.csv": (
        "colour,thread,stitches,stitch_mm,finish_mm,tails_mm,needleful_mm,needlefuls,spare_needlefuls,put_ups"
    ),
    "pick-list.csv": "line,bin,item,description,colour,lot,per_kit,quantity,unit,run,kit,edition",
    "cut-list.csv": (
        "sheet,canvas,stock,sheet_width,sheet_height,kit,piece,x,y,width,height,turned,width_mm,height_mm"
    ),
}
HEADERS["needlefuls.csv"] = (
    "hand,piece,needleful,colour,starts,stitches,first_seq,last_seq,last_x,last_y,mm,waste_mm"
)
HEADERS |= {
    "kit.csv": "fact,value",
    "palette.csv": "colour,name,rgb,symbol,thread,title,put_up,put_up_mm",
    "cautions.csv": "note,severity,language,text",
    "cost.csv": "what,item,colour,piece,quantity,unit,amount,currency",
    "prices.csv": (
        "channel,tax_rate,price,tax,net,fee,royalty,cost,margin,setup,margin_share,break_even,currency"
    ),
    "wording.csv": "document,language,kind,text",
    "documents.csv": "file,document,language,sheet,shows",
    "shop-facts.csv": "language,field,label,text",
}
HEADERS["work-order-left.csv"] = HEADERS["work-order.csv"]


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo range, built once by the command line."""
    folder = complete_shop(tmp_path_factory.mktemp("range"))
    ran = run(folder, "build", PYTHONHASHSEED="1")
    assert (ran.code, ran.err) == (0, "")
    assert ran.out.splitlines() == [f"{code}: edition 1, build/{code}" for code in CODES]
    return folder


def test_all_files_of_the_contract_are_there(built: Path) -> None:
    assert kits_built(built) == set(CODES)
    for code in CODES:
        assert {path.name for path in (built / "build" / code).iterdir()} == files_of(code)
    assert {path.name for path in built.iterdir()} == {"kits", "build"}


@pytest.mark.parametrize("code", CODES)
def test_files_are_what_they_say(built: Path, code: str) -> None:
    for path in (built / "build" / code).iterdir():
        content = path.read_bytes()
        assert path.stat().st_mode & 0o777 == 0o644
        if path.suffix == ".pdf":
            assert content.startswith(b"%PDF-")
            assert content.rstrip().endswith(b"%%EOF")
        if path.suffix == ".html":
            assert content.startswith(b"<!DOCTYPE html>")
            assert content.endswith(b"</html>\n")
        if path.suffix == ".csv":
            text = content.decode("utf-8")
            assert text.split("\r\n")[0].startswith(HEADERS.get(path.name, "x1,y1,x2,y2"))
            assert text.count("\n") == text.count("\r\n") > (path.name != "finishing.csv")
            rows = list(csv.reader(text.splitlines()))
            assert {len(row) for row in rows} == {len(rows[0])}


def own_inputs(name: str) -> set[str]:
    """What of the tool an output depends on, beside its program and schemas."""
    language = next((word for word in name.split(".")[1:-1] if word in ("fr", "de")), "en")
    fonts = set() if name.endswith(".csv") else {"kitbuild/fonts"}
    return {f"kitbuild/wording/{language}.yaml"} | fonts


@pytest.mark.parametrize("code", CODES)
def test_the_manifest_tells_inputs_and_digests(built: Path, code: str) -> None:
    folder = built / "build" / code
    manifest = json.loads((folder / "manifest.json").read_text(encoding="utf-8"))
    assert (manifest["tool"], manifest["version"]) == ("kitbuild", __version__)
    assert (manifest["code"], manifest["edition"], manifest["warnings"]) == (code, 1, [])
    assert set(manifest["outputs"]) == files_of(code) - {"manifest.json"}
    names = {
        f"kits/{name}.yaml"
        for name in (kit_file(code), "materials", "workshop", "wording-de", "wording-en", "wording-fr")
    }
    names |= {"kitbuild/program", "kitbuild/schemas"}
    names |= {"ROWAN": {"kits/rowan-berry.csv"}, "WHIN": {"kits/whin-coaster-test.yaml"}}.get(code, set())
    for name, output in manifest["outputs"].items():
        assert output["sha256"] == hashlib.sha256((folder / name).read_bytes()).hexdigest()
        assert set(output["inputs"]) == names | own_inputs(name)
        for file, digest in output["inputs"].items():
            path = ROOT / file if file.startswith("kitbuild/wording/") else built / file
            if not file.startswith("kitbuild/") or path.is_file():
                assert digest == hashlib.sha256(path.read_bytes()).hexdigest()


def test_the_command_line_writes_what_the_library_renders(built: Path) -> None:
    for code in CODES:
        for name, content in render(make(kits()[code])).items():
            assert (built / "build" / code / name).read_bytes() == content, (code, name)


@pytest.mark.parametrize(
    "environment",
    [
        {"PYTHONHASHSEED": "2", "TZ": "Asia/Kathmandu", "LC_ALL": "C"},
        {"PYTHONHASHSEED": "77", "SOURCE_DATE_EPOCH": "86400", "LC_ALL": "de_DE.UTF-8", "COLUMNS": "20"},
        {"PYTHONUTF8": "0", "LANG": "tr_TR.UTF-8", "PYTHONOPTIMIZE": "2", "RL_useA85": "1"},
    ],
    ids=["seed", "date", "locale"],
)
def test_equal_bytes_whatever_the_environment(
    built: Path, tmp_path: Path, environment: dict[str, str]
) -> None:
    ran = run(built, "build", *AGAIN, "--out", str(tmp_path / "again"), **environment)
    assert ran.code == 0, ran.err
    assert _of_again(tmp_path / "again") == _of_again(built / "build")


def _of_again(folder: Path) -> dict[str, str]:
    """The files of the kits that are built again; the page of the range lists what was built."""
    return {name: digest for name, digest in digests(folder).items() if name.startswith(AGAIN)}


def test_equal_bytes_from_another_folder_and_twice(built: Path, tmp_path: Path) -> None:
    other = tmp_path / "a folder, with ünusual name"
    shutil.copytree(built / "kits", other / "kits")
    for _ in range(2):
        assert run(other, "build", *AGAIN).code == 0
        assert _of_again(other / "build") == _of_again(built / "build")


def test_the_order_of_files_on_disk_does_not_matter(built: Path, tmp_path: Path) -> None:
    (tmp_path / "kits").mkdir()
    for path in sorted((built / "kits").iterdir(), reverse=True):
        shutil.copyfile(path, tmp_path / "kits" / path.name)
    assert run(tmp_path, "build", "WHIN").code == 0
    assert digests(tmp_path / "build/WHIN") == digests(built / "build/WHIN")


def test_a_kit_named_alone_is_the_same_kit(built: Path, tmp_path: Path) -> None:
    ran = run(built, "build", "FERN", "FERN", "--out", str(tmp_path / "deep" / "er"))
    assert (ran.code, ran.out) == (0, f"FERN: edition 1, {tmp_path}/deep/er/FERN\n")
    assert digests(tmp_path / "deep" / "er" / "FERN") == digests(built / "build" / "FERN")
    assert {path.name for path in (tmp_path / "deep" / "er").iterdir()} == {
        "FERN",
        "FERN.html",
        "index.html",
        KEPT,
    }


def test_an_edit_shows_in_every_document_and_only_in_its_kit(built: Path, tmp_path: Path) -> None:
    folder = complete_shop(tmp_path)
    for name in ("whin.yaml", "whin-coaster-test.yaml"):
        change(folder, name, "edition: 1", "edition: 2")
    assert run(folder, "build", "WHIN").code == 0
    before, after = digests(built / "build"), digests(folder / "build")
    changed = {name for name in after if after[name] != before.get(name)}
    same = {"stitches", "work-order", "work-order-left", "finishing", "thread", "pieces", "cut-list"}
    same |= {"palette", "cautions", "cost", "prices", "wording", "documents"}
    same |= {"needlefuls", "finished.svg", "finished.png", "made-up.svg", "made-up.png"}
    files = {f"WHIN/{name}" for name in ALL_FILES if name.removesuffix(".csv") not in same}
    assert {name for name in changed if "/" in name} == files
    assert {"WHIN.html", "index.html"} <= changed


def test_one_paper_leaves_no_file_of_the_other(built: Path, tmp_path: Path) -> None:
    folder = tmp_path / "one"
    shutil.copytree(built, folder)
    change(folder, "workshop.yaml", "papers: [A4, Letter]", "papers: [Letter]")
    assert run(folder, "build", "WHIN").code == 0
    names = {path.name for path in (folder / "build/WHIN").iterdir()}
    assert names == {name for name in ALL_FILES if ".letter." not in name}
    letter = (built / "build/WHIN/instructions.letter.pdf").read_bytes()
    assert (folder / "build/WHIN/instructions.pdf").read_bytes() == letter
