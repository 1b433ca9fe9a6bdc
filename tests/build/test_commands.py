"""What the commands tell: frames on a terminal, JSON, explanations, and ranges and kits to begin with."""

from __future__ import annotations

import json
import os
import pty
import subprocess
import sys
from dataclasses import fields, replace
from pathlib import Path

import pytest

from kitbuild.base.problem import Place, Problem
from kitbuild.report import as_json, lines
from kitbuild.spec.codes import catalogue
from tests.build.places import LOCATED, change, run, small_shop, workshop
from tests.spec.ranges import ROOT

KEYS = ["file", "line", "column", "code", "severity", "message", "cure"]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Three kits of the demo range, with two faults in one file."""
    whole = small_shop(tmp_path / "shop")
    change(whole, "whin.yaml", "price: 34.00", "prise: 34.00")
    change(whole, "whin.yaml", "canvas: plastic-7", "canvas: plastic-8")
    return whole


def framed(text: str, line: int, column: int, width: int, tmp_path: Path, name: str = "x.yaml") -> list[str]:
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    problem = Problem(Place(str(path), line, column), "KB202", "unknown", "cure")
    return list(lines([problem], width))[1:]


def test_all_problems_of_a_file_are_told_at_once(folder: Path) -> None:
    ran = run(folder, "check")
    assert ran.codes == ["KB202", "KB303"]
    assert all(LOCATED.fullmatch(line) for line in ran.problems)


@pytest.mark.parametrize("command", ["check", "build"])
def test_json_is_one_document_on_standard_output(folder: Path, command: str) -> None:
    ran = run(folder, command, "--format", "json")
    assert ran.code == 1
    told = json.loads(ran.out)["problems"]
    assert [problem["code"] for problem in told] == ["KB202", "KB303"]
    assert all(list(problem) == KEYS for problem in told)
    line = (folder / "kits/whin.yaml").read_text(encoding="utf-8").partition("plastic-8")[0].count("\n") + 1
    assert told[1] == {
        "file": "kits/whin.yaml",
        "line": line,
        "column": 13,
        "code": "KB303",
        "severity": "error",
        "message": "there is no canvas `plastic-8`",
        "cure": "did you mean `plastic-7`?",
    }
    progress = ran.err.splitlines()
    assert progress == (
        [] if command == "check" else [f"{code}: edition 1, build/{code}" for code in ("EMBER", "FERN")]
    )


def test_json_of_no_problem_and_of_a_whole_file(tmp_path: Path) -> None:
    assert json.loads(as_json([])) == {"problems": []}
    ran = run(tmp_path, "check", "--format", "json")
    (problem,) = json.loads(ran.out)["problems"]
    assert (problem["line"], problem["column"], problem["code"]) == (None, None, "KB101")


def test_wrong_usage_is_text_in_any_format(folder: Path) -> None:
    ran = run(folder, "build", "NOPE", "--format", "json")
    assert (ran.code, ran.out) == (2, "")
    assert run(folder, "check", "--format", "xml").code == 2


def test_a_terminal_shows_the_line_and_a_caret(folder: Path) -> None:
    """Standard error is a terminal of 80 columns here."""
    leader, follower = pty.openpty()
    done = subprocess.run(
        [sys.executable, "-m", "kitbuild", "check"],
        cwd=folder,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
        stdout=subprocess.PIPE,
        stderr=follower,
    )
    os.close(follower)
    shown = os.read(leader, 65536).decode().replace("\r\n", "\n")
    os.close(leader)
    assert (done.returncode, done.stdout) == (1, b"")
    assert shown.splitlines()[1:3] == ["    prise: 34.00", "    ^"]
    assert shown.splitlines()[4:6] == ["        canvas: plastic-8", "                ^"]


def test_a_caret_stands_under_its_column(tmp_path: Path) -> None:
    assert framed("a: 1\nkey: value\n", 2, 6, 80, tmp_path) == ["    key: value", "         ^"]
    assert framed("\ta: 1\n", 1, 2, 80, tmp_path) == ["     a: 1", "     ^"]
    assert framed("幅: 広い\n", 1, 4, 80, tmp_path) == ["    幅: 広い", "        ^"]
    assert framed("e\N{COMBINING ACUTE ACCENT}: x\n", 1, 5, 80, tmp_path)[1] == "       ^"
    assert framed("\ufeffa: 1\n", 1, 4, 80, tmp_path) == ["    a: 1", "       ^"]
    assert framed("a\x1b[31m: 1\n", 1, 1, 80, tmp_path)[0] == "    a\N{REPLACEMENT CHARACTER}[31m: 1"
    assert framed("a:", 1, 3, 80, tmp_path) == ["    a:", "      ^"]


@pytest.mark.parametrize("column", [1, 2, 30, 250, 499, 500])
@pytest.mark.parametrize("char", ["x", "広"])
def test_long_lines_are_cut_around_the_column(column: int, char: str, tmp_path: Path) -> None:
    text = char * (column - 1) + "!" + char * (500 - column)
    shown, caret = framed(text, 1, column, 60, tmp_path)
    breadth = [2 if each == "広" else 1 for each in shown]
    assert sum(breadth) <= 60
    assert sum(breadth[: shown.index("!")]) == caret.index("^")


def test_no_line_is_shown_where_there_is_none(tmp_path: Path) -> None:
    assert framed("a: 1\n", 9, 1, 80, tmp_path) == []
    assert list(lines([Problem(Place("gone.yaml", 1, 1), "KB101", "m", "c")], 80))[1:] == []
    assert list(lines([Problem(Place("kits"), "KB101", "m", "c")], 80))[1:] == []


@pytest.mark.parametrize("code", catalogue())
def test_every_code_is_explained(code: str, capsys: pytest.CaptureFixture[str]) -> None:
    from kitbuild.cli import main

    assert main(["explain", code.lower()]) == 0
    out = capsys.readouterr().out
    assert out.startswith(code)
    assert catalogue()[code].title in out
    assert max(map(len, out.splitlines())) <= 110


def test_explain_lists_all_codes_and_knows_the_nearest(tmp_path: Path) -> None:
    ran = run(tmp_path, "explain")
    assert [line.split("  ")[0] for line in ran.out.splitlines()] == list(catalogue())
    ran = run(tmp_path, "explain", "KB30")
    assert (ran.code, ran.out) == (2, "")
    assert "did you mean KB30" in ran.err
    assert run(tmp_path, "explain", "").code == 2
    assert run(tmp_path, "explain", "nonsense").code == 2


def test_a_new_range_builds_as_it_is(tmp_path: Path) -> None:
    ran = run(tmp_path, "new", "shop")
    assert (ran.code, ran.err) == (0, "")
    shop = tmp_path / "shop"
    assert {path.name for path in (shop / "kits").iterdir()} == {
        "workshop.yaml",
        "materials.yaml",
        "wording.yaml",
        "first.yaml",
    }
    for path in (shop / "kits").iterdir():
        schema = path.read_text(encoding="utf-8").splitlines()[0].partition("$schema=")[2]
        assert (path.parent / schema).is_file()
        assert "<" not in path.read_text(encoding="utf-8")
    built = run(shop, "build")
    assert (built.code, built.err) == (0, "")
    assert (shop / "build/FIRST/manifest.json").is_file()


def test_a_new_range_overwrites_nothing(tmp_path: Path) -> None:
    (tmp_path / "kits").mkdir()
    (tmp_path / "kits/mine.yaml").write_text("mine", encoding="utf-8")
    ran = run(tmp_path, "new", ".")
    assert (ran.code, ran.out) == (2, "")
    assert [path.name for path in tmp_path.rglob("*")] == ["kits", "mine.yaml"]
    (tmp_path / "file").write_text("", encoding="utf-8")
    ran = run(tmp_path, "new", "file/shop")
    assert ran.code == 3
    assert ran.codes == ["KB806"]


@pytest.mark.parametrize("woven", [False, True])
def test_a_new_kit_builds_as_it_is(woven: bool, tmp_path: Path) -> None:
    assert run(tmp_path, "new", "shop").code == 0
    shop = tmp_path / "shop"
    if woven:
        path = shop / "kits/materials.yaml"
        text = path.read_text(encoding="utf-8")
        path.write_text(text[: text.index("  plastic-7")] + text[text.index("  mono-10") :], encoding="utf-8")
        (shop / "kits/first.yaml").unlink()
    assert run(shop, "new", "kit", "WREN2").out == "kits/wren2.yaml written\n"
    ran = run(shop, "build", "WREN2")
    assert (ran.code, ran.err) == (0, "")
    assert run(shop, "new", "kit", "WREN2").code == 2


def test_a_new_kit_of_the_demo_range(tmp_path: Path) -> None:
    shop = workshop(tmp_path / "shop")
    assert run(shop, "new", "kit", "WREN").code == 0
    ran = run(shop, "build", "WREN")
    assert (ran.code, ran.err) == (0, "")


@pytest.mark.parametrize(
    "arguments",
    [
        ["kit"],
        ["kit", "wren"],
        ["kit", "W"],
        ["kit", "../X"],
        ["kit", "WHIN"],
        ["kit", "FERN"],
        ["kit", "A", "B"],
        [],
    ],
)
def test_a_new_kit_is_refused(arguments: list[str], tmp_path: Path) -> None:
    shop = workshop(tmp_path / "shop")
    before = sorted(path.name for path in shop.rglob("*"))
    ran = run(shop, "new", *arguments)
    assert (ran.code, ran.out) == (2, "")
    assert sorted(path.name for path in shop.rglob("*")) == before


def test_a_new_kit_of_a_faulty_range_tells_its_faults(tmp_path: Path) -> None:
    shop = workshop(tmp_path / "shop")
    change(shop, "workshop.yaml", "currency: EUR", "currancy: EUR")
    ran = run(shop, "new", "kit", "WREN")
    assert (ran.code, ran.codes) == (1, ["KB202"])
    assert not (shop / "kits/wren.yaml").exists()


def test_an_accepted_warning_is_told_no_more(tmp_path: Path) -> None:
    shop = workshop(tmp_path / "shop")
    change(shop, "whin.yaml", "price: 34.00", "price: 1.00")
    assert set(run(shop, "check", "kits/whin.yaml").codes) == {"KB602"}  # one a channel
    change(shop, "whin.yaml", "price: 1.00", 'price: 1.00\naccept: {KB602: "a gift"}')
    for command in (["check", "kits/whin.yaml"], ["build", "WHIN"]):
        ran = run(shop, *command)
        assert (ran.code, ran.err) == (0, "")
    change(shop, "whin.yaml", "price: 1.00", "price: 34.00")
    ran = run(shop, "check", "kits/whin.yaml")
    assert (ran.code, ran.codes) == (0, ["KB323"])


def test_a_warning_of_the_reading_can_be_accepted(tmp_path: Path) -> None:
    shop = workshop(tmp_path / "shop")
    change(shop, "whin.yaml", "palette:\n", "palette:\n  oat: {thread: wool-0003}\n")
    assert run(shop, "build", "WHIN").codes == ["KB307"]
    change(shop, "whin.yaml", "palette:\n", 'accept: {KB307: "packed for mending"}\npalette:\n')
    for command in (["check"], ["build", "WHIN"]):
        assert run(shop, *command).err == ""


def test_a_sleeve_taller_than_its_object(tmp_path: Path) -> None:
    shop = workshop(tmp_path / "shop")
    change(shop, "tinband.yaml", "height: 120 mm", "height: 60 mm")
    ran = run(shop, "check", "kits/tinband.yaml")
    assert (ran.code, set(ran.codes)) == (1, {"KB505"})


def test_a_document_that_fits_no_page_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from kitbuild.base.document import DoesNotFit
    from kitbuild.base.problem import InputProblems
    from kitbuild.build import render
    from kitbuild.output import pdf
    from tests.documents.demo import made

    def refuse(document: object) -> bytes:
        raise DoesNotFit("a table is wider than the page")

    monkeypatch.setattr(pdf, "render_pdf", refuse)
    with pytest.raises(InputProblems) as told:
        render(made("WHIN"))
    assert [problem.code for problem in told.value.problems] == ["KB704"]
    assert "wider than the page" in str(told.value)


def test_a_bar_that_no_stitch_covers_is_told() -> None:
    """No spec of a family leads here; the proof would tell a fault of the family's own."""
    from kitbuild.pattern.expand import coverage_problems, expand
    from tests.documents.demo import kits

    kit = kits()["WHIN"]
    panel = expand(kit, kit.pieces[0])
    names = [field.name for field in fields(panel.stitches)]
    fewer = replace(panel.stitches, **{name: getattr(panel.stitches, name)[:-1] for name in names})
    told = list(coverage_problems(replace(panel, stitches=fewer)))
    assert {problem.code for problem in told} == {"KB401"}
