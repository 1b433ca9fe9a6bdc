"""The open outputs keep their promises, read by a checker that shares no code with the program."""

from __future__ import annotations

import ast
import csv
import hashlib
import tempfile
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from kitbuild.base.problem import InputProblems, errors
from kitbuild.build import Made, make, sources
from kitbuild.output.csv_text import render_csv
from kitbuild.remake import Task, write
from kitbuild.spec.folder import read_range
from tests.build.places import files_of
from tests.contract import checker
from tests.contract.checker import (
    EDGES,
    CanvasOf,
    JoinOf,
    PieceOf,
    Settings,
    Stitch,
    ThreadOf,
    check,
)
from tests.contract.kits import FAMILIES, WAYS, Written, kits
from tests.spec.ranges import case_kit, kit_text

KITS = Path(__file__).parent.parent.parent / "kits"
INCHES = Decimal("50.8")
PHASES = (Phase.explicit, Phase.reuse, Phase.generate)
"""Without shrinking: a kit takes too long, and the checker says what is wrong."""


def chart(*columns: str) -> tuple[Stitch, ...]:
    """Charted work as a kit file draws it, written down once more: column by column from the top."""
    found = []
    for x, column in enumerate(columns, 1):
        y = 1
        for part in column.split(", "):
            bars, colour = part.split()
            found.append((x, y, x, y + int(bars), colour))
            y += int(bars)
    return tuple(found)


def chart_file(name: str) -> tuple[Stitch, ...]:
    lines = list(csv.reader((KITS / name).read_text(encoding="utf-8").splitlines()))[1:]
    return tuple((*map(int, line[:4]), line[4]) for line in lines)  # type: ignore[misc]


NIGHT = ", ".join(["4 night, 4 mist"] * 4 + ["4 night"])
MIST = ", ".join(["4 mist, 4 night"] * 4 + ["4 mist"])
NIGHT_2 = f"2 night, {', '.join(['4 night, 4 mist'] * 4)}, 2 night"
MIST_2 = f"2 mist, {', '.join(['4 mist, 4 night'] * 4)}, 2 mist"

BAND = PieceOf("sleeve", overlap=2, kept=1, bare_columns=2, bare_rows=1, may_turn=True, mirrored=False)
FOUR = frozenset({4})
DEMO = {
    "CAIRN": {
        "base": PieceOf("box", corner=3, overs=frozenset({5, 2}), lengthen=True, mirrored=True),
        "side": PieceOf("box", corner=3, edges=("top",), mirrored=True),
    },
    "WHIN": {"coaster": PieceOf("flat", corner=3, overs=FOUR, mirrored=True)},
    "HEATH": {"front": PieceOf("cushion", bare_columns=20, bare_rows=20, overs=FOUR, mirrored=True)},
    "FERN": {"band": BAND},
    "EMBER": {"band": BAND},
    "RILL": {"panel": PieceOf("framed", bare_columns=20, bare_rows=20, lengthen=True)},
    "ROWAN": {
        "heart": PieceOf("ornament", shape="heart", overs=frozenset({3}), lengthen=True, mirrored=True),
        "berry": PieceOf("ornament", shape="round", drawn=chart_file("rowan-berry.csv"), mirrored=True),
    },
    "TARN": {
        "bookmark": PieceOf(
            "flat",
            corner=2,
            drawn=chart(NIGHT, NIGHT_2, MIST, MIST, MIST_2, MIST_2, MIST, MIST, NIGHT_2, NIGHT),
        )
    },
    "WINDS": {"mat": PieceOf("flat", corner=2, cover="four-way", lengthen=True, mirrored=True)},
}
JOINS = {
    "CAIRN": (
        JoinOf("side right", "side left", 4, "moss"),
        *(JoinOf(f"base {edge}", "side bottom", 1, "moss") for edge in EDGES),
    )
}
INPUTS = {
    "WHIN": ("whin.yaml", "whin-coaster-test.yaml", "materials.yaml", "workshop.yaml"),
    "ROWAN": ("rowan.yaml", "rowan-berry.csv", "materials.yaml", "workshop.yaml"),
}

TESTED = {"WHIN": frozenset({"bark", "moss", "gorse", "lichen"})}


def demo_settings(code: str, threads: set[str]) -> Settings:
    """What kits/workshop.yaml and kits/materials.yaml say, written down once more."""
    return Settings(
        code=code,
        edition=1,
        needleful=Decimal(500 if code in ("HEATH", "RILL") else 760),
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
        longest_run=Decimal(25),
        joins=JOINS.get(code, ()),
        inputs=INPUTS.get(code, ()),
        tested=TESTED.get(code, frozenset()),
    )


def kept(told: list[str]) -> None:
    """No promise is broken."""
    assert not told, "\n".join(told[:20])


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
    kept(check(listed(demo[code]), demo_settings(code, threads)))


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("family", FAMILIES)
@given(data=st.data())
@settings(max_examples=8, deadline=None, phases=PHASES, suppress_health_check=(HealthCheck.too_slow,))
def test_random_kits_keep_the_contract(family: str, way: str, data: st.DataObject) -> None:
    written = data.draw(kits(family, way))
    with tempfile.TemporaryDirectory() as folder:
        kept(check(listed(made_of(written, Path(folder))), written.settings))


@pytest.mark.parametrize("columns", [2, 5, 8, 14])
def test_a_piece_of_a_few_stitches_can_be_made(columns: int, tmp_path: Path) -> None:
    text = kit_text(pattern=f"      ends: {{left: 0, right: {columns}}}", columns=f"    columns: {columns}")
    kit = case_kit(tmp_path, text.replace("rows: 29", "rows: 5").replace("[bark, moss]", "[moss, bark]"))
    listings = {listing.name: listing for listing in make(kit).listings}
    assert listings["stitches.csv"].rows >= columns


def written_to(made: Made, out: Path) -> Path:
    """The folder of a kit that is written."""
    inputs = {file: hashlib.sha256(content).hexdigest() for file, content in sources(made.kit).items()}
    write(Task(made.kit, (), inputs, {}), made, out)
    return out / made.kit.code


@given(kits())
@settings(max_examples=4, deadline=None, phases=PHASES)
def test_whole_folders_keep_the_contract(written: Written) -> None:
    with tempfile.TemporaryDirectory() as folder:
        made = made_of(written, Path(folder))
        out = written_to(made, Path(folder) / "build")
        files = {path.name: path.read_bytes() for path in out.iterdir()}
        kept(check(files, written.settings, whole=True))


@pytest.mark.parametrize("code", ["FERN", "ROWAN"])
def test_a_demo_folder_keeps_the_contract(demo: dict[str, Made], code: str, tmp_path: Path) -> None:
    out = written_to(demo[code], tmp_path)
    files = {path.name: path.read_bytes() for path in out.iterdir()}
    threads = {colour.thread.key for colour in demo[code].kit.palette}
    kept(check(files, demo_settings(code, threads), whole=True))
    letter = {name for name in files if name.endswith(".letter.pdf")}
    assert letter >= {name.replace(".pdf", ".letter.pdf") for name in checker.PRINTED}
    assert letter == files_of(code) & letter


BROKEN = [
    ("pieces.csv", b"columns,rows", b"rows,columns"),
    ("pieces.csv", b"\r\n", b"\n"),
    ("stitches.csv", b"coaster,1,9,1,13,bark,0", b"coaster,1,9,1,14,bark,0"),
    ("stitches.csv", b"coaster,1,9,1,13,bark,0\r\n", b""),
    ("stitches.csv", b"coaster,1,9,1,13,bark,0", b"coaster,1,9,1,13,moss,0"),
    ("work-order.csv", b"coaster,2,0,bark,1,2,9,2,13", b"coaster,2,0,bark,1,2,13,2,9"),
    ("work-order.csv", b"15.24,15.71,6.01,108.01,1", b"15.24,15.72,6.01,108.02,1"),
    ("work-order.csv", b"6.01,108.01,1", b"6.01,108.02,1"),
    ("work-order.csv", b"6.01,108.01,1", b"6.01,108.01,2"),
    ("work-order.csv", b"coaster,2,0", b"coaster,3,0"),
    ("work-order.csv", b"15.24,8.52,5.55,137.32,1", b"15.24,8.52,5.01,136.78,1"),
    ("work-order-left.csv", b"15.24,0.00,5.01,71.05,1", b"15.24,0.00,5.01,71.05,7"),
    ("finishing.csv", b"coaster,edge,top,1,bark,3,", b"coaster,edge,top,1,bark,2,"),
    ("finishing.csv", b"coaster,edge,left,2,bark", b"coaster,edge,left,1,bark"),
    ("finishing.csv", b",10.19", b",10.20"),
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


BROKEN_TOO = [
    ("CAIRN", "finishing.csv", b"base,join,left,3,moss,1,", b"base,join,left,3,moss,2,"),
    ("CAIRN", "finishing.csv", b"side,join,left,3,moss,4,", b"side,join,right,3,moss,4,"),
    ("CAIRN", "finishing.csv", b"base,join,left,31,moss,1,", b"side,join,left,31,moss,1,"),
    ("CAIRN", "finishing.csv", b"base,join,left,3,moss,1,12.36", b"base,join,left,3,moss,1,47.84"),
    ("CAIRN", "finishing.csv", b"side,edge,top,1,moss,1,", b"side,edge,top,1,moss,3,"),
    ("CAIRN", "finishing.csv", b"side,edge,top,1,moss,1,", b"side,edge,left,1,moss,1,"),
    ("RILL", "pieces.csv", b",columns", b",none"),
    ("ROWAN", "pieces.csv", b"heart-cover.csv", b"columns"),
    ("ROWAN", "heart-cover.csv", b"1,4,1,10", b"1,4,1,11"),
    ("ROWAN", "heart-cover.csv", b"1,4,1,10", b"1,4,1,10\r\n1,4,1,5"),
    ("ROWAN", "berry-cover.csv", b"1,6,1,10\r\n", b""),
    ("ROWAN", "stitches.csv", b"berry,1,6,1,8,damson", b"berry,1,6,1,8,ember"),
    ("ROWAN", "finishing.csv", b"berry,edge,top,8,damson", b"berry,edge,top,9,damson"),
    ("TARN", "stitches.csv", b"bookmark,1,1,1,5,night", b"bookmark,1,1,1,5,mist"),
    ("WINDS", "pieces.csv", b"four-way", b"columns"),
    ("WINDS", "stitches.csv", b"mat,2,1,2,2,", b"mat,1,1,2,1,"),
    ("WINDS", "pieces.csv", b"mat,1,plastic-7,63,63", b"mat,1,plastic-7,63,65"),
]


def is_found(demo: dict[str, Made], code: str, name: str, right: bytes, wrong: bytes) -> bool:
    """Whether the checker tells more of a kit's files when one of them is altered."""
    files = listed(demo[code])
    assert right in files[name]
    told = demo_settings(code, {colour.thread.key for colour in demo[code].kit.palette})
    before = check(files, told)
    return bool(set(check({**files, name: files[name].replace(right, wrong, 1)}, told)) - set(before))


@pytest.mark.parametrize(("name", "right", "wrong"), BROKEN)
def test_the_checker_finds_a_broken_promise(
    demo: dict[str, Made], name: str, right: bytes, wrong: bytes
) -> None:
    assert is_found(demo, "WHIN", name, right, wrong)


@pytest.mark.parametrize(("code", "name", "right", "wrong"), BROKEN_TOO)
def test_the_checker_finds_a_broken_promise_of_any_family(
    demo: dict[str, Made], code: str, name: str, right: bytes, wrong: bytes
) -> None:
    assert is_found(demo, code, name, right, wrong)
