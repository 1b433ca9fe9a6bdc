"""`kitbuild fit`: a table of sizes, one of them written into the spec, and questions that make no sense."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import yaml

from kitbuild.cli import main
from tests.build.places import Ran, change, kit_file, run, small_shop, workshop

HEADER = ["columns", "rows", "repeats", "ends", "line", "inside", "slack", "height", "over 1", "seam"]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return small_shop(tmp_path / "shop")


def cells(ran: Ran) -> list[list[str]]:
    """The table that was told, a list of cells for each line."""
    lines = [line for line in ran.out.splitlines() if line and not line.startswith("wrote")]
    return [re.split(r" {2,}", line.strip()) for line in lines]


def test_a_table_of_sizes_best_first(folder: Path) -> None:
    ran = run(folder, "fit", "FERN", "--round", "90 mm", "--height", "10 cm")
    assert (ran.code, ran.err) == (0, "")
    header, *rows = cells(ran)
    assert header == HEADER
    assert [row[0] for row in rows] == ["1", "2", "3"]
    assert rows[0][1:4] == ["78", "25", "3"] or rows[0][-1] == "closed"
    for row in rows:
        inside, height = float(row[6].split()[0]), float(row[8].split()[0])
        assert 91.0 <= inside <= 94.0
        assert height <= 100.0
    assert {path.name for path in folder.iterdir()} == {"kits"}


def test_the_object_of_the_spec_is_asked_about_when_none_is_named(folder: Path) -> None:
    ran = run(folder, "fit", "FERN")
    assert ran.code == 0
    assert cells(ran)[1][-1] == "closed"
    same = run(folder, "fit", "FERN", "--round", "90 mm", "--height", "120 mm", "--ease", "1 mm")
    assert same.out == ran.out


def test_the_way_round_stands_for_the_diameter(folder: Path) -> None:
    by_way = run(folder, "fit", "FERN", "--circumference", "282.743 mm", "--height", "10 cm")
    assert by_way.out == run(folder, "fit", "FERN", "--round", "90 mm", "--height", "10 cm").out


def test_a_little_taper_goes_by_the_wider_end(folder: Path) -> None:
    plain = run(folder, "fit", "FERN", "--round", "90 mm", "--height", "10 cm")
    for ends in (("90 mm", "87 mm"), ("87 mm", "90 mm")):
        ran = run(folder, "fit", "FERN", "--round", ends[0], "--other-end", ends[1], "--height", "10 cm")
        assert (ran.code, ran.out) == (0, plain.out)


WRITTEN = [
    ("FERN", ["--round", "73 mm", "--height", "10 cm"]),
    ("FERN", ["--round", "2 7/8 in", "--height", "4 in", "--ease", "0 mm", "--tolerance", "3 mm"]),
    ("FERN", ["--circumference", "25 cm", "--height", "8 cm"]),
    ("FERN", ["--round", "80 mm", "--other-end", "82 mm", "--height", "8 cm"]),
    ("WHIN", ["--flat", "12 cm x 12 cm"]),
    ("HEATH", ["--flat", "30 cm x 30 cm"]),
    ("RILL", ["--flat", "25 cm x 30 cm"]),
    ("ROWAN", ["--flat", "12 cm x 11 cm", "--piece", "heart"]),
]


@pytest.mark.parametrize(("code", "asked"), WRITTEN, ids=lambda value: str(value).split("'")[0])
def test_what_is_written_builds_and_keeps_its_comments(code: str, asked: list[str], tmp_path: Path) -> None:
    shop = workshop(tmp_path / "shop")
    path = shop / f"kits/{kit_file(code)}.yaml"
    before = path.read_text(encoding="utf-8")
    path.chmod(0o640)
    ran = run(shop, "fit", code, *asked, "--write", "1")
    assert (ran.code, ran.err) == (0, "")
    assert ran.out.splitlines()[-1] == f"wrote choice 1 into kits/{path.name}"
    after = path.read_text(encoding="utf-8")
    assert after != before
    assert path.stat().st_mode & 0o777 == 0o640
    assert re.findall(r"#.*", after) == re.findall(r"#.*", before)
    assert {each.name for each in (shop / "kits").iterdir()} == {
        each.name for each in workshop(tmp_path / "again").joinpath("kits").iterdir()
    }
    built = run(shop, "build", code)
    assert built.code == 0, built.err
    pieces = yaml.safe_load(after)["pieces"]
    piece = pieces[asked[asked.index("--piece") + 1]] if "--piece" in asked else next(iter(pieces.values()))
    told = cells(ran)[1]
    assert [str(piece["columns"]), str(piece["rows"])] == told[1:3]
    again = run(shop, "fit", code, *asked)
    assert again.code == 0
    assert cells(again)[1][1:3] == told[1:3]


def test_a_spec_in_other_bytes_stays_in_them(folder: Path) -> None:
    path = folder / "kits/whin.yaml"
    path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes().replace(b"\n", b"\r\n"))
    assert run(folder, "fit", "WHIN", "--flat", "12 cm x 12 cm", "--write", "1").code == 0
    after = path.read_bytes()
    assert after.startswith(b"\xef\xbb\xbf")
    assert after.count(b"\n") == after.count(b"\r\n")
    assert run(folder, "check").err == ""


def test_a_zigzag_of_another_depth_is_written_into_its_line(folder: Path) -> None:
    ran = run(folder, "fit", "FERN", "--round", "73 mm", "--height", "10 cm", "--write", "3")
    deep = cells(ran)[3][5]
    assert deep.endswith(" up")
    line = yaml.safe_load((folder / "kits/tinband.yaml").read_text(encoding="utf-8"))["pieces"]["band"]
    assert [line["pattern"]["line"][way] for way in ("down", "up")] == [int(deep.split()[0])] * 2


def test_another_canvas_is_written_as_well(folder: Path) -> None:
    asked = ["fit", "WHIN", "--canvas", "mono-10", "--flat", "12 cm x 12 cm"]
    assert run(folder, *asked).out != run(folder, "fit", "WHIN", "--flat", "12 cm x 12 cm").out
    assert run(folder, *asked, "--write", "1").code == 0
    assert "canvas: mono-10" in (folder / "kits/whin.yaml").read_text(encoding="utf-8")


def test_a_centre_stays_in_the_middle(tmp_path: Path) -> None:
    shop = workshop(tmp_path / "shop")
    ran = run(shop, "fit", "CAIRN", "--piece", "side", "--flat", "12 cm x 11 cm", "--tolerance", "2 cm")
    assert ran.code == 0
    assert all(int(row[1]) % 2 for row in cells(ran)[1:])
    before = (shop / "kits/rowan.yaml").read_text(encoding="utf-8")
    assert run(shop, "fit", "ROWAN", "--piece", "heart", "--flat", "12 cm x 12 cm", "--write", "1").code == 0
    after = (shop / "kits/rowan.yaml").read_text(encoding="utf-8")
    assert before.count("centre: valley") == after.count("centre: valley") == 1
    assert "ends" not in after


def test_the_sides_of_a_box(tmp_path: Path) -> None:
    shop = workshop(tmp_path / "shop")
    ran = run(shop, "fit", "CAIRN", "--piece", "side", "--box", "12 cm x 8 cm x 5 cm")
    assert (ran.code, ran.err) == (0, "")
    header, *rows = cells(ran)
    assert header == ["side", "holes", "inside", "slack"]
    assert [row[0] for row in rows[:-1]] == ["width"] * 3 + ["depth"] * 3 + ["height"] * 3
    for row, side in zip(rows[:-1], [120.0] * 3 + [80.0] * 3 + [50.0] * 3, strict=True):
        inside, slack = (float(cell.split()[0]) for cell in row[2:])
        assert inside >= side
        assert inside - side == pytest.approx(slack, abs=0.11)
        assert inside == pytest.approx(int(row[1]) * 3.81 + 1.1, abs=0.4)
    wide, deep, high = rows[0][1], rows[3][1], rows[6][1]
    said = f"front and back {wide} x {high} holes, sides {deep} x {high}, lid and base {wide} x {deep}"
    assert ran.out.splitlines()[-1] == said


@pytest.mark.parametrize(
    ("arguments", "word"),
    [
        (["NOPE"], "NOPE"),
        (["WHIN"], "--flat"),
        (["WHIN", "--piece", "nope", "--flat", "9 cm x 9 cm"], "coaster"),
        (["WHIN", "--canvas", "plastic-8", "--flat", "9 cm x 9 cm"], "plastic-7"),
        (["WHIN", "--flat", "9 cm"], "10 cm x 10 cm"),
        (["WHIN", "--flat", "9 x 9"], "73 mm"),
        (["WHIN", "--flat", "0 mm x 9 cm"], "0 mm"),
        (["WHIN", "--flat", "9 cm x 9 cm", "--tolerance", "5"], "--tolerance"),
        (["WHIN", "--box", "9 cm x 9 cm"], "x 5 cm"),
        (["WHIN", "--box", "9 cm x 9 cm x 9 cm", "--write", "1"], "--box"),
        (["WHIN", "--flat", "9 cm x 9 cm", "--write", "-1"], "--write"),
        (["WHIN", "--flat", "9 cm x 9 cm", "--write", "99"], "--write 99"),
        (["WHIN", "--flat", "9 cm x 9 cm", "--write", "one"], "--write"),
        (["WHIN", "--flat", "9 cm x 9 cm", "--round", "9 cm"], "--round or --flat"),
        (["WHIN", "--round", "9 cm"], "no sleeve"),
        (["FERN", "--round", "90"], "--round"),
        (["FERN", "--round", "-90 mm"], "--round"),
        (["FERN", "--round", "2000 m"], "--round"),
        (["FERN", "--round", "0 mm"], "--round"),
        (["FERN", "--circumference", "wide"], "--circumference"),
        (["FERN", "--round", "90 mm", "--height", "tall"], "--height"),
        (["FERN", "--round", "90 mm", "--ease", "some"], "--ease"),
        (["FERN", "--round", "90 mm", "--other-end", "80 mm"], "4 mm"),
        (["FERN", "--round", "90 mm", "--other-end", "80"], "--other-end"),
        ([], "CODE"),
    ],
)
def test_wrong_usage_is_two_and_changes_nothing(folder: Path, arguments: list[str], word: str) -> None:
    before = {path.name: path.read_bytes() for path in (folder / "kits").iterdir()}
    ran = run(folder, "fit", *arguments)
    assert (ran.code, ran.out) == (2, "")
    assert "kitbuild" in ran.err.splitlines()[-1]
    assert word in ran.err
    assert {path.name: path.read_bytes() for path in (folder / "kits").iterdir()} == before


def test_a_piece_is_named_where_there_are_several(tmp_path: Path) -> None:
    shop = workshop(tmp_path / "shop")
    ran = run(shop, "fit", "CAIRN", "--flat", "12 cm x 12 cm")
    assert (ran.code, ran.out) == (2, "")
    assert "--piece: base, side" in ran.err


@pytest.mark.parametrize(
    ("arguments", "code", "words"),
    [
        (["FERN", "--round", "90 mm", "--tolerance", "0 mm", "--ease", "0.1 mm"], "KB512", "the nearest is"),
        (["FERN", "--round", "900 m"], "KB512", "2000 columns"),
        (["FERN", "--round", "90 mm", "--height", "1 cm"], "KB512", "allow more height"),
        (["WHIN", "--flat", "9 cm x 9 cm", "--tolerance", "0 mm"], "KB512", "widen the tolerance"),
        (["WHIN", "--flat", "900 m x 900 m"], "KB512", "2000 columns"),
        (["TARN", "--flat", "5 cm x 20 cm"], "KB513", "charted"),
        (["WINDS", "--flat", "20 cm x 20 cm"], "KB513", "four-way"),
    ],
)
def test_what_has_no_size_is_told_at_its_pattern(
    tmp_path: Path, arguments: list[str], code: str, words: str
) -> None:
    shop = workshop(tmp_path / "shop")
    ran = run(shop, "fit", *arguments)
    assert (ran.code, ran.out, ran.codes) == (1, "", [code])
    assert words in ran.err
    name = kit_file(arguments[0])
    lines = (shop / f"kits/{name}.yaml").read_text(encoding="utf-8").splitlines()
    line = next(at for at, line in enumerate(lines, 1) if "pattern:" in line)
    assert re.match(rf"kits/{name}.yaml:({line}|{line + 1}):\d+: ", ran.err)
    assert ran.err == run(shop, "fit", *arguments).err


def test_an_outline_of_spans_has_one_size(folder: Path) -> None:
    spans = ", ".join(['"1-27"'] * 26)
    change(folder, "whin.yaml", "    columns: 26\n", f"    columns: 26\n    outline: {{spans: [{spans}]}}\n")
    ran = run(folder, "fit", "WHIN", "--flat", "9 cm x 9 cm")
    assert (ran.code, ran.codes) == (1, ["KB513"])
    assert "spans" in ran.err


def test_a_kit_that_cannot_be_read_is_told_with_its_first_fault(folder: Path) -> None:
    change(folder, "whin.yaml", "edition: 1", "edition: one")
    ran = run(folder, "fit", "WHIN", "--flat", "9 cm x 9 cm")
    assert ran.code == 2
    assert "first mend kits/whin.yaml" in ran.err


def test_a_folder_without_kits(tmp_path: Path) -> None:
    assert run(tmp_path, "fit", "WHIN", "--flat", "9 cm x 9 cm").code == 2


def test_a_file_that_cannot_be_written_is_three(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    before = (folder / "kits/whin.yaml").read_bytes()

    def refuse(path: Path, target: Path) -> None:
        raise PermissionError(13, "Permission denied", str(target))

    monkeypatch.chdir(folder)
    monkeypatch.setattr(Path, "replace", refuse)
    assert main(["fit", "WHIN", "--flat", "12 cm x 12 cm", "--write", "1"]) == 3
    told = capsys.readouterr()
    assert re.fullmatch(
        r"kits/whin\.yaml: KB805 cannot be written: .+ \(make the file writable\)\n", told.err
    )
    assert "wrote" not in told.out
    assert (folder / "kits/whin.yaml").read_bytes() == before
    assert not [path for path in (folder / "kits").iterdir() if path.name.startswith(".")]


def test_a_read_only_file_is_left_alone(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Whoever runs the tests may write everything, so that the system's answer is given here."""
    monkeypatch.chdir(folder)
    monkeypatch.setattr("os.access", lambda path, mode: False)
    assert main(["fit", "WHIN", "--flat", "12 cm x 12 cm", "--write", "1"]) == 3
    assert "KB805" in capsys.readouterr().err
