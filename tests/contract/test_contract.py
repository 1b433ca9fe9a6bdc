"""The open outputs keep their promises, read by a checker that shares no code with the program."""

from __future__ import annotations

import ast
import tempfile
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import Phase, given, settings

from kitbuild.base.problem import InputProblems, errors
from kitbuild.build import Made, make, write
from kitbuild.output.csv_text import render_csv
from kitbuild.spec.folder import read_range
from tests.contract import checker
from tests.contract.checker import CanvasOf, PieceOf, Settings, ThreadOf, check
from tests.contract.kits import Written, kits
from tests.spec.ranges import case_kit, kit_text

KITS = Path(__file__).parent.parent.parent / "kits"
INCHES = Decimal("50.8")
PHASES = (Phase.explicit, Phase.reuse, Phase.generate)
"""Without shrinking: a kit takes too long, and the checker says what is wrong."""

BAND = PieceOf("sleeve", overlap=2, kept=1, bare_columns=2, bare_rows=1, may_turn=True)
DEMO = {
    "WHIN": {"coaster": PieceOf("flat", corner=3)},
    "HEATH": {"front": PieceOf("cushion", bare_columns=20, bare_rows=20)},
    "FERN": {"band": BAND},
    "EMBER": {"band": BAND},
}


def demo_settings(code: str, threads: set[str]) -> Settings:
    """What kits/workshop.yaml and kits/materials.yaml say, written down once more."""
    return Settings(
        code=code,
        edition=1,
        needleful=Decimal(500 if code == "HEATH" else 760),
        tail=INCHES,
        run_under=INCHES,
        held=INCHES,
        spare=Decimal("0.1"),
        threads=dict.fromkeys(threads, ThreadOf(Decimal(10000))),
        canvases={
            "plastic-7": CanvasOf(1, Decimal("1.1")),
            "mono-10": CanvasOf(0, Decimal("0.7")),
        },
        pieces=DEMO[code],
    )


def listed(made: Made) -> dict[str, bytes]:
    return {listing.name: render_csv(listing) for listing in made.listings}


def made_of(written: Written, folder: Path) -> Made:
    """The kit of a folder as the program makes it; every one of them can be made."""
    for name, text in written.files.items():
        (folder / name).write_text(text, encoding="utf-8")
    found, problems = read_range(folder)
    assert errors(problems) == ()
    assert found is not None
    try:
        return make(found.kits[0])
    except InputProblems as told:
        raise AssertionError("\n".join(map(str, told.problems))) from told


def test_the_checker_knows_nothing_of_the_program() -> None:
    tree = ast.parse(Path(checker.__file__).read_text(encoding="utf-8"))
    names = {alias.name for node in ast.walk(tree) if isinstance(node, ast.Import) for alias in node.names}
    names |= {node.module or "" for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
    assert not {name for name in names if name.startswith(("kitbuild", "tests", "numpy"))}


@pytest.fixture(scope="module")
def demo() -> dict[str, Made]:
    found, problems = read_range(KITS)
    assert errors(problems) == ()
    assert found is not None
    return {kit.code: make(kit) for kit in found.kits}


@pytest.mark.parametrize("code", DEMO)
def test_the_demo_range_keeps_the_contract(demo: dict[str, Made], code: str) -> None:
    threads = {colour.thread.key for colour in demo[code].kit.palette}
    assert check(listed(demo[code]), demo_settings(code, threads)) == []


@given(kits())
@settings(max_examples=60, deadline=None, phases=PHASES)
def test_random_kits_keep_the_contract(written: Written) -> None:
    with tempfile.TemporaryDirectory() as folder:
        assert check(listed(made_of(written, Path(folder))), written.settings) == []


@pytest.mark.parametrize("columns", [2, 5, 8, 14])
def test_a_piece_of_a_few_stitches_can_be_made(columns: int, tmp_path: Path) -> None:
    text = kit_text(pattern=f"      ends: {{left: 0, right: {columns}}}", columns=f"    columns: {columns}")
    kit = case_kit(tmp_path, text.replace("rows: 29", "rows: 5").replace("[bark, moss]", "[moss, bark]"))
    listings = {listing.name: listing for listing in make(kit).listings}
    assert listings["stitches.csv"].rows >= columns


@given(kits())
@settings(max_examples=4, deadline=None, phases=PHASES)
def test_whole_folders_keep_the_contract(written: Written) -> None:
    with tempfile.TemporaryDirectory() as folder:
        made = made_of(written, Path(folder))
        out = write(made, Path(folder) / "build")
        assert out.name == "CASE"
        files = {path.name: path.read_bytes() for path in out.iterdir()}
        assert check(files, written.settings, whole=True) == []


def test_a_demo_folder_keeps_the_contract(demo: dict[str, Made], tmp_path: Path) -> None:
    out = write(demo["FERN"], tmp_path)
    files = {path.name: path.read_bytes() for path in out.iterdir()}
    threads = {colour.thread.key for colour in demo["FERN"].kit.palette}
    assert check(files, demo_settings("FERN", threads), whole=True) == []
    assert {name for name in files if name.endswith(".letter.pdf")} == {
        name.replace(".pdf", ".letter.pdf") for name in checker.PRINTED
    }


BROKEN = [
    ("pieces.csv", b"columns,rows", b"rows,columns"),
    ("pieces.csv", b"\r\n", b"\n"),
    ("stitches.csv", b"coaster,1,9,1,13,bark,0", b"coaster,1,9,1,14,bark,0"),
    ("stitches.csv", b"coaster,1,9,1,13,bark,0\r\n", b""),
    ("stitches.csv", b"coaster,1,9,1,13,bark,0", b"coaster,1,9,1,13,moss,0"),
    ("work-order.csv", b"coaster,2,0,bark,1,2,9,2,13", b"coaster,2,0,bark,1,2,13,2,9"),
    ("work-order.csv", b"15.24,15.71,3.80,104.59,1", b"15.24,15.72,3.80,104.60,1"),
    ("work-order.csv", b"3.80,104.59,1", b"3.80,104.60,1"),
    ("work-order.csv", b"3.80,104.59,1", b"3.80,104.59,2"),
    ("work-order.csv", b"coaster,2,0", b"coaster,3,0"),
    ("work-order-left.csv", b"15.24,0.00,3.80,69.84,1", b"15.24,0.00,3.80,69.84,7"),
    ("finishing.csv", b"coaster,edge,top,1,bark,3,", b"coaster,edge,top,1,bark,2,"),
    ("finishing.csv", b"coaster,edge,left,2,bark", b"coaster,edge,left,1,bark"),
    ("finishing.csv", b",9.58", b",9.59"),
    ("thread.csv", b",760.00,", b",760.01,"),
    ("thread.csv", b"bark,wool-0123,144,", b"bark,wool-0123,36,"),
    ("pick-list.csv", b"1,A-01,wool-0123", b"1,Z-01,wool-0123"),
    ("pick-list.csv", b",bark,,2,2,", b",bark,,1,1,"),
    ("pick-list.csv", b"WHIN-sheet", b"WHIN-shoot"),
    ("pick-list.csv", b"A-01", b"=A1"),
    ("cut-list.csv", b"coaster,27,0,26,27", b"coaster,26,0,26,27"),
    ("cut-list.csv", b"coaster,0,0,26,27,no", b"coaster,0,0,26,27,yes"),
    ("cut-list.csv", b"100.16", b"100.1"),
]


@pytest.mark.parametrize(("name", "right", "wrong"), BROKEN)
def test_the_checker_finds_a_broken_promise(
    demo: dict[str, Made], name: str, right: bytes, wrong: bytes
) -> None:
    files = listed(demo["WHIN"])
    assert right in files[name]
    files[name] = files[name].replace(right, wrong, 1)
    threads = {colour.thread.key for colour in demo["WHIN"].kit.palette}
    assert check(files, demo_settings("WHIN", threads))
