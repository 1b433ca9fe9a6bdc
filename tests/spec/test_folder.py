"""A folder of spec files: the demo range, what is passed over, and one file's faults beside good ones."""

from __future__ import annotations

import math
import os
import subprocess
import sys
from pathlib import Path
from types import MappingProxyType

import pytest

import kitbuild.spec.folder as folder_module
from kitbuild.base.problem import errors
from kitbuild.spec.folder import Remembered, codes, read_range
from kitbuild.spec.piece import Group
from kitbuild.spec.records import Kit, Range
from tests.build.places import CODES
from tests.spec.ranges import KITS, ROOT, case_kit, copy_kits, kit_text, read_with


@pytest.fixture(scope="module")
def demo() -> Range:
    found, problems = read_range(KITS)
    assert problems == ()
    assert found is not None
    return found


def kit_of(demo: Range, code: str) -> Kit:
    return next(kit for kit in demo.kits if kit.code == code)


def test_the_demo_range_is_whole(demo: Range) -> None:
    assert tuple(kit.code for kit in demo.kits) == CODES
    assert demo.files == tuple(f"kits/{path.name}" for path in sorted(KITS.glob("*.yaml")))
    assert isinstance(demo.materials.threads, MappingProxyType)
    assert demo.house.papers == ("A4", "Letter")
    assert demo.house.thread.needleful_mm == 760


def test_files_read_before_are_told_as_if_read_anew(tmp_path: Path) -> None:
    """After each edit: a fault, its cure, a fault in the materials, a file that goes and one that comes."""
    folder, reader = copy_kits(tmp_path), Remembered()
    whin = (folder / "whin.yaml").read_text()
    materials = (folder / "materials.yaml").read_text()
    edits = [
        ("whin.yaml", whin.replace("over: 4", "over: four")),
        ("whin.yaml", whin),
        ("materials.yaml", materials.replace("wool-0210", "wool-0211")),
        ("materials.yaml", materials),
        ("heath.yaml", None),
        ("gorse.yaml", whin.replace("code: WHIN", "code: GORSE")),
    ]
    for name, text in edits:
        if text is None:
            (folder / name).unlink()
        else:
            (folder / name).write_text(text)
        kits, problems = read_range(folder, reader=reader)
        anew, found = read_range(folder)
        assert problems == found
        assert (kits and [kit.code for kit in kits.kits]) == (anew and [kit.code for kit in anew.kits])
        assert (kits and kits.digests) == (anew and anew.digests)
        assert codes(folder, reader) == codes(folder)


def test_a_file_that_did_not_change_is_parsed_once(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    folder, reader, parsed = copy_kits(tmp_path), Remembered(), []
    usual = folder_module.read
    monkeypatch.setattr(folder_module, "read", lambda file, text: parsed.append(file) or usual(file, text))
    read_range(folder, reader=reader)
    assert len(parsed) == len(set(parsed)) == len(list(folder.glob("*.yaml")))
    parsed.clear()
    (folder / "whin.yaml").write_text((folder / "whin.yaml").read_text().replace("over: 4", "over: 3"))
    read_range(folder, reader=reader)
    assert [file.rsplit("/", 1)[-1] for file in parsed] == ["whin.yaml"]


def test_colourways_are_kits_of_their_own(demo: Range) -> None:
    ember, fern = kit_of(demo, "EMBER"), kit_of(demo, "FERN")
    assert ember.pieces == fern.pieces
    assert ember.price_minor == fern.price_minor == 2950
    assert ember.palette[0].name == "Damson"
    assert str(fern.at("title")) == "kits/tinband.yaml:29:12"


def test_the_demo_band_fits_its_tin(demo: Range) -> None:
    """Inside diameter of a sleeve (derived): (W + k) p / pi - canvas - 2 threads."""
    kit = kit_of(demo, "FERN")
    band = kit.pieces[0]
    around = band.goes_round
    assert around is not None
    thread_mm = max(colour.thread.thickness_mm for colour in kit.palette)
    ring = (band.columns + band.finish.overlap) * band.canvas.pitch_mm / math.pi
    inside_mm = ring - band.canvas.thickness_mm - 2 * thread_mm
    assert around.ease_mm <= inside_mm - around.diameter_mm <= around.ease_mm + around.tolerance_mm
    assert (band.rows + 2) * band.canvas.pitch_mm < around.height_mm
    repeat = sum(group.stitches for group in band.pattern.line.groups)
    assert (band.columns + band.finish.overlap) % repeat == 0


def columns_of_line(kit: Kit) -> list[int]:
    """The height of each column of the first piece."""
    piece = kit.pieces[0]
    one = [height for height, stitches in _heights(piece.pattern.line.groups) for _ in range(stitches)]
    start = -piece.pattern.left
    return [one[column % len(one)] for column in range(start, start + piece.columns)]


def _heights(groups: tuple[Group, ...]) -> list[tuple[int, int]]:
    found, height = [], 0
    for index, group in enumerate(groups):
        height += group.drop if index else 0
        found.append((height, group.stitches))
    return found


@pytest.mark.parametrize("code", ["EMBER", "FERN", "HEATH", "WHIN"])
def test_demo_pieces_are_the_same_at_both_sides(demo: Range, code: str) -> None:
    heights = columns_of_line(kit_of(demo, code))
    assert heights == heights[::-1]


def test_symbols_and_names_have_defaults(tmp_path: Path) -> None:
    text = kit_text().replace("wool-0488}", "wool-0488, symbol: disc, name: Wood}")
    kit = case_kit(tmp_path, text)
    assert [(colour.name, colour.symbol_name, colour.symbol) for colour in kit.palette] == [
        ("Bark", "box", "□"),
        ("Wood", "disc", "●"),
    ]


def test_defaults_come_from_the_schema(tmp_path: Path) -> None:
    kit = case_kit(tmp_path, kit_text())
    piece = kit.pieces[0]
    assert (piece.copies, piece.may_turn, piece.columns, piece.finish.corner) == (1, False, 20, 3)
    assert (piece.pattern.left, piece.pattern.right, piece.pattern.repeats) == (0, 0, 1)
    assert (kit.about, kit.care, kit.extras) == ("", "", ())
    assert piece.finish.border_mm == piece.finish.allowance_mm == 0


def test_a_roll_is_counted_in_whole_holes(demo: Range) -> None:
    roll = demo.materials.canvases["mono-10"].stock[0]
    assert (roll.form, roll.columns, roll.rows) == ("roll", 393, 3937)


def test_pitch_follows_from_the_count_without_a_measure(tmp_path: Path) -> None:
    canvas = (
        b"kind: materials\ncanvases: {mono-12: {title: C, weave: woven, count: 12.5, thickness: 1 mm,"
        b" bar: 1 mm, kerf: 0, bin: C, stock: {r-12: {roll: 1 m, length: 1 yd, cost: 9, bin: C}}}}\n"
    )
    found, problems = read_with(tmp_path, "more.yml", canvas)
    assert problems == ()
    assert found is not None
    assert found.materials.canvases["mono-12"].pitch_mm == 25.4 / 12.5
    assert not found.materials.canvases["mono-12"].measured
    assert {"kits/more.yml", "kits/whin.yaml", "kits/workshop.yaml"} <= set(found.files)


def test_good_kits_are_read_beside_a_bad_one(tmp_path: Path) -> None:
    text = (KITS / "whin.yaml").read_bytes().replace(b"columns: 26\n", b"columns: 27\n")
    found, problems = read_with(tmp_path, "whin.yaml", text)
    assert found is not None
    assert {kit.code for kit in found.kits} == set(CODES) - {"WHIN"}
    assert [problem.place.file for problem in problems] == ["kits/whin.yaml"]


def test_a_broken_kit_file_hides_nothing_of_the_others(tmp_path: Path) -> None:
    kits = copy_kits(tmp_path)
    (kits / "bad.yaml").write_text("kind: kit\ncode: [\n", encoding="utf-8")
    (kits / "worse.yaml").write_text(kit_text().replace("wool-0123", "wool-0124"), encoding="utf-8")
    found, problems = read_range(kits)
    assert {problem.code for problem in problems} == {"KB106", "KB303"}
    assert found is not None
    assert len(found.kits) == len(CODES)


def test_faults_of_materials_are_not_told_again_in_kits(tmp_path: Path) -> None:
    text = (KITS / "materials.yaml").read_bytes()
    found, problems = read_with(tmp_path, "materials.yaml", text.replace(b"kerf: 1", b"kerf: none"))
    assert found is None
    assert [problem.code for problem in problems] == ["KB204"]
    found, problems = read_with(tmp_path / "two", "materials.yaml", text.replace(b"[metal]", b"[metal"))
    assert found is None
    assert [problem.code for problem in problems] == ["KB106"]


def test_warnings_stop_nothing(tmp_path: Path) -> None:
    text = kit_text().replace("needles:", "  oat: {thread: wool-0003}\nneedles:")
    found, problems = read_with(tmp_path, "case.yaml", text.encode())
    assert [problem.code for problem in problems] == ["KB307"]
    assert errors(problems) == ()
    assert found is not None
    assert "CASE" in [kit.code for kit in found.kits]


def test_no_folder_and_an_empty_folder(tmp_path: Path) -> None:
    assert [problem.code for problem in read_range(tmp_path / "kits")[1]] == ["KB101"]
    found, problems = read_range(tmp_path)
    assert found is None
    assert [problem.code for problem in problems] == ["KB301", "KB301"]


def test_what_is_no_file_is_told_and_never_waited_for(tmp_path: Path) -> None:
    kits = copy_kits(tmp_path)
    (kits / "folder.yaml").mkdir()
    (kits / "gone.yaml").symlink_to(kits / "nowhere")
    os.mkfifo(kits / "pipe.yaml")
    (kits / ".hidden.yaml").write_text("junk", encoding="utf-8")
    (kits / "notes.txt").write_text("junk", encoding="utf-8")
    problems = read_range(kits)[1]
    names = [f"kits/{name}.yaml" for name in ("folder", "gone", "pipe")]
    assert [problem.place.file for problem in problems] == names


def test_a_chart_file_that_is_no_file_is_told_once_for_all_that_name_it(tmp_path: Path) -> None:
    kits = copy_kits(tmp_path)
    (kits / "rowan-berry.csv").unlink()
    os.mkfifo(kits / "rowan-berry.csv")
    found, problems = read_range(kits)
    assert [str(problem).partition(" ")[0] for problem in problems] == ["kits/rowan-berry.csv:"]
    assert [problem.code for problem in problems] == ["KB101"]
    assert found is not None
    assert {kit.code for kit in found.kits} == set(CODES) - {"ROWAN"}
    (kits / "rowan-berry.csv").unlink()
    assert [problem.code for problem in read_range(kits)[1]] == ["KB330"]


def test_the_same_folder_is_read_the_same_way(tmp_path: Path) -> None:
    one, other = read_range(KITS), read_range(KITS)
    assert one == other


def test_importing_is_light() -> None:
    heavy = {"jsonschema", "numpy", "yaml", "difflib"}
    code = f"import sys, kitbuild.spec.folder; print(*({heavy} & set(sys.modules)))"
    run = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    assert run.stdout.strip() == ""
