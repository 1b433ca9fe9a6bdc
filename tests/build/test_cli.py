"""The command line: exit codes, problems on one line each with their cure, and no traceback ever."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.build.places import FILES, LOCATED, SMALL, change, digests, kits_built, run, small_shop, workshop
from tests.spec.ranges import ROOT

HEAVY = ("jsonschema", "jinja2", "reportlab", "numpy", "pandas", "yaml")


@pytest.fixture
def whole(tmp_path: Path) -> Path:
    """The whole demo range."""
    return workshop(tmp_path / "shop")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Three kits of the demo range."""
    return small_shop(tmp_path / "small")


@pytest.mark.parametrize("arguments", [["--help"], ["build", "--help"], ["check", "--help"], ["--version"]])
def test_help_is_quick_and_shows_an_example(tmp_path: Path, arguments: list[str]) -> None:
    script = (
        "import sys\n"
        "from kitbuild.cli import main\n"
        "try:\n"
        f"    main({arguments!r})\n"
        "except SystemExit as end:\n"
        "    assert end.code == 0\n"
        f"print('loaded', [name for name in {HEAVY!r} if name in sys.modules])\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", script],
        cwd=tmp_path,
        env={"PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.endswith("loaded []\n")
    assert "xample: kitbuild" in done.stdout or arguments == ["--version"]
    assert run(tmp_path, *arguments).code == 0


@pytest.mark.parametrize(
    "arguments",
    [
        [],
        ["bake"],
        ["build", "--nonsense"],
        ["build", "--out"],
        ["check", "--out", "x"],
        ["build", "NOPE"],
        ["build", "WHIN", "NOPE"],
        ["build", "whin"],
        ["build", ""],
        ["check", "kits/nope.yaml"],
        ["check", "kits"],
    ],
)
def test_wrong_usage_is_two_and_writes_nothing(folder: Path, arguments: list[str]) -> None:
    ran = run(folder, *arguments)
    assert ran.code == 2
    assert ran.out == ""
    assert "kitbuild" in ran.err.splitlines()[-1]
    assert {path.name for path in folder.iterdir()} == {"kits"}


def test_an_unknown_code_is_told_with_those_there_are(folder: Path) -> None:
    ran = run(folder, "build", "NOPE")
    assert len(ran.problems) == 1
    assert "NOPE" in ran.err
    assert all(code in ran.err for code in SMALL)


def assert_one_line(folder: Path, code: str, file: str, line: int, words: tuple[str, ...], kit: str) -> None:
    """`build` and `check` tell the same single problem; the other kits are built all the same."""
    built, checked = run(folder, "build"), run(folder, "check")
    assert (built.code, checked.code) == (1, 1)
    assert built.err == checked.err
    assert checked.out == ""
    (problem,) = built.problems
    assert LOCATED.fullmatch(problem), problem
    assert problem.startswith(f"kits/{file}:{line}:")
    assert f" {code} " in problem
    for word in words:
        assert word in problem
    assert kit not in kits_built(folder)


def test_a_blank_too_large(folder: Path) -> None:
    change(folder, "whin.yaml", "      repeats: 2\n", "      repeats: 6\n")
    change(folder, "whin.yaml", "    columns: 26\n", "    columns: 74\n")
    line = change(folder, "whin.yaml", "canvas: plastic-7", "canvas:  plastic-7")
    assert_one_line(folder, "KB601", "whin.yaml", line, ("74 x 27 holes", "70 x 90", "let it turn"), "WHIN")
    assert kits_built(folder) == {"EMBER", "FERN"}


def test_a_vessel_too_large(folder: Path) -> None:
    line = change(folder, "tinband.yaml", "diameter: 90 mm", "diameter: 95 mm")
    ran = run(folder, "build")
    assert ran.code == 1
    assert ran.codes == ["KB503"]
    assert ran.problems[0].startswith(f"kits/tinband.yaml:{line}:")
    assert "too tight" in ran.err
    assert_one_line(folder, "KB503", "tinband.yaml", line, ("use 82 to 84 columns",), "FERN")


def test_a_repeat_that_cannot_fit(folder: Path) -> None:
    change(folder, "whin.yaml", "      repeats: 2\n", "      repeats: 3\n")
    line = change(folder, "whin.yaml", "    columns: 26\n", "    columns: 27\n")
    assert_one_line(folder, "KB318", "whin.yaml", line, ("27", "38"), "WHIN")


def test_a_needleful_too_short(folder: Path) -> None:
    line = change(folder, "workshop.yaml", "needleful: 76 cm", "needleful: 16 cm")
    ran = run(folder, "build")
    assert (ran.code, ran.out) == (1, "")
    assert ran.err == run(folder, "check").err
    assert set(ran.codes) == {"KB501"}
    assert all(problem.startswith(f"kits/workshop.yaml:{line}:") for problem in ran.problems)
    assert all(LOCATED.fullmatch(problem) for problem in ran.problems)
    assert not kits_built(folder)


def test_a_put_up_too_short(folder: Path) -> None:
    path = folder / "kits/materials.yaml"
    text = path.read_text(encoding="utf-8")
    start = text.index("wool-0123")
    path.write_text(text[:start] + text[start:].replace("10 m", "70 cm", 1), encoding="utf-8")
    line = text[:start].count("\n") + 1
    assert_one_line(folder, "KB502", "materials.yaml", line, ("wool-0123", "0.7 m"), "WHIN")


def test_a_language_without_a_catalogue(folder: Path) -> None:
    line = change(folder, "workshop.yaml", "language: en", "language: fi")
    assert_one_line(folder, "KB703", "workshop.yaml", line, ("fi", "use one of: de, en, fr"), "WHIN")
    assert not kits_built(folder)


def test_a_word_that_is_misspelt(whole: Path) -> None:
    line = change(whole, "heath.yaml", "price: 98.00", "prise: 98.00")
    assert_one_line(whole, "KB202", "heath.yaml", line, ("prise", "price"), "HEATH")


def test_one_kits_problem_does_not_stop_the_others_nor_touch_what_it_was(whole: Path) -> None:
    assert run(whole, "build").code == 0
    before = digests(whole / "build")
    change(whole, "heath.yaml", "edition: 1", "edition: one")
    change(whole, "tarn.yaml", "edition: 1", "edition: 2")
    ran = run(whole, "build")
    assert ran.code == 1
    told = r"TARN: edition 2, build/TARN: made \d+ of \d+ files again, because edition changed\n"
    assert re.fullmatch(told, ran.out)
    assert len(ran.problems) == 1
    after = digests(whole / "build")
    assert {name for name in after if after[name] != before[name]} == {
        f"TARN/{name}"
        for name in FILES
        if name.endswith((".pdf", ".html"))
        or name in ("pick-list.csv", "kit.csv", "shop-facts.csv", "manifest.json")
    } | {"index.html", "TARN.html"}


def test_check_writes_nothing(folder: Path) -> None:
    before = digests(folder)
    ran = run(folder, "check")
    assert (ran.code, ran.out, ran.err) == (0, "", "")
    assert digests(folder) == before


def test_check_of_one_file_tells_its_problems_only(whole: Path) -> None:
    change(whole, "heath.yaml", "price: 98.00", "prise: 98.00")
    change(whole, "whin.yaml", "price: 34.00", "prise: 34.00")
    ran = run(whole, "check", "kits/whin.yaml")
    assert ran.code == 1
    assert len(ran.problems) == 1
    assert ran.err.startswith("kits/whin.yaml:")
    assert run(whole, "check", "kits/tinband.yaml").err == ""


def test_check_of_a_file_that_is_no_spec_is_not_called_good(folder: Path) -> None:
    """A file outside kits/ was never read, so it must not be passed as checked."""
    (folder / "whin.yaml").write_text("not: [a spec\n", encoding="utf-8")
    assert run(folder, "check", "whin.yaml").code != 0


def test_check_of_a_kit_that_could_not_be_read_is_not_called_good(folder: Path) -> None:
    """With the workshop file broken no kit can be judged: `check kits/whin.yaml` must not end in silence."""
    change(folder, "workshop.yaml", "currency: EUR", "currancy: EUR")
    assert run(folder, "build", "WHIN").code == 1
    assert run(folder, "check", "kits/whin.yaml").code == 1


def test_check_of_a_kit_tells_what_stops_it_elsewhere(folder: Path) -> None:
    """A needleful too short stands in workshop.yaml, and stops WHIN all the same."""
    change(folder, "workshop.yaml", "needleful: 76 cm", "needleful: 16 cm")
    assert run(folder, "build", "WHIN").code == 1
    assert run(folder, "check", "kits/whin.yaml").code == 1


def test_a_build_of_one_kit_is_not_failed_by_another(whole: Path) -> None:
    """HEATH's misspelling is told, but WHIN is written."""
    change(whole, "heath.yaml", "price: 98.00", "prise: 98.00")
    ran = run(whole, "build", "WHIN")
    assert ran.out == "WHIN: edition 1, build/WHIN\n"
    assert all(problem.startswith("kits/heath.yaml") for problem in ran.problems)


def test_an_unknown_code_is_wrong_usage_whatever_else_is_wrong(whole: Path) -> None:
    change(whole, "heath.yaml", "price: 98.00", "prise: 98.00")
    ran = run(whole, "build", "WHEN")
    assert ran.code in (1, 2)
    assert "WHEN" in ran.err


@pytest.mark.parametrize("command", ["build", "check"])
def test_no_kits_folder(tmp_path: Path, command: str) -> None:
    ran = run(tmp_path, command)
    assert (ran.code, ran.out) == (1, "")
    assert ran.problems == ["kits: KB101 there is no such folder (run in the folder that holds it)"]
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("command", ["build", "check"])
def test_a_file_called_kits(tmp_path: Path, command: str) -> None:
    (tmp_path / "kits").write_text("", encoding="utf-8")
    ran = run(tmp_path, command)
    assert ran.code == 1
    assert ran.codes == ["KB101"]


@pytest.mark.parametrize("command", ["build", "check"])
def test_an_empty_kits_folder(tmp_path: Path, command: str) -> None:
    (tmp_path / "kits").mkdir()
    ran = run(tmp_path, command)
    assert (ran.code, ran.out) == (1, "")
    assert ran.codes == ["KB301", "KB301"]
    assert all(LOCATED.fullmatch(problem) for problem in ran.problems)


def test_a_folder_without_a_kit(folder: Path) -> None:
    for name in ("whin", "tinband"):
        (folder / f"kits/{name}.yaml").unlink()
    ran = run(folder, "build")
    assert ran.out == ""
    assert run(folder, "build", "WHIN").code == 2


@pytest.mark.parametrize("command", ["build", "check"])
def test_a_folder_called_like_a_spec(folder: Path, command: str) -> None:
    (folder / "kits/odd.yaml").mkdir()
    ran = run(folder, command)
    assert ran.code == 1
    assert ran.codes == ["KB101"]
    assert ran.err.startswith("kits/odd.yaml: ")


def test_a_file_in_the_way_of_the_folder(folder: Path) -> None:
    (folder / "build").write_text("mine", encoding="utf-8")
    ran = run(folder, "build")
    assert ran.code == 3
    assert set(ran.codes) == {"KB801"}
    assert all(LOCATED.fullmatch(problem) for problem in ran.problems)
    assert (folder / "build").read_text(encoding="utf-8") == "mine"


def test_a_folder_in_the_way_of_a_file(folder: Path) -> None:
    assert run(folder, "build").code == 0
    path = folder / "build/FERN/instructions.pdf"
    path.unlink()
    path.mkdir()
    before = digests(folder / "build/FERN")
    change(folder, "tinband.yaml", "edition: 1", "edition: 2")
    ran = run(folder, "build")
    assert ran.code == 3
    assert ran.problems[-1].startswith("build/FERN/instructions.pdf: KB803 ")
    assert digests(folder / "build/FERN") == before
    assert not [path for path in (folder / "build/FERN").iterdir() if path.name.startswith(".")]


def test_warnings_are_told_again_on_every_build(folder: Path) -> None:
    text = (folder / "kits/materials.yaml").read_text(encoding="utf-8")
    start = text.index("    measured_pitch: 3.81 mm")
    end = text.index("\n", start) + 1
    (folder / "kits/materials.yaml").write_text(text[:start] + text[end:], encoding="utf-8")
    change(folder, "tinband.yaml", "diameter: 90 mm", "diameter: 85 mm")
    for _ in range(2):
        ran = run(folder, "build")
        assert ran.code == 0
        assert set(ran.codes) == {"KB504"}
        assert all(LOCATED.fullmatch(problem) and " warning: " in problem for problem in ran.problems)
        assert ran.err == run(folder, "check").err


def test_many_problems_are_sorted_and_told_once(whole: Path) -> None:
    change(whole, "heath.yaml", "price: 98.00", "prise: 98.00")
    change(whole, "whin.yaml", "edition: 1", "edition: 0")
    change(whole, "tinband.yaml", "diameter: 90 mm", "diameter: 95 mm")
    ran = run(whole, "build")
    assert [problem.split(":")[0] for problem in ran.problems] == [
        "kits/heath.yaml",
        "kits/tinband.yaml",
        "kits/whin.yaml",
    ]


def test_names_in_any_script_print_on_a_plain_terminal(whole: Path) -> None:
    """A title or path beyond ASCII must not end in an encoding error where the terminal speaks only ASCII."""
    change(whole, "heath.yaml", "price: 98.00", "prïse: 98.00")
    ran = run(whole, "build", PYTHONIOENCODING="ascii", LC_ALL="C", PYTHONUTF8="0", PYTHONCOERCECLOCALE="0")
    assert ran.code == 1


def test_a_very_large_kit_is_built_or_told(whole: Path) -> None:
    """Twenty colours with long names: the key below a chart must still fit its page."""
    text = (whole / "kits/heath.yaml").read_text(encoding="utf-8")
    names = [f"c{at}" for at in range(20)]
    head, rest = text.split("colours: [")
    rest = rest[rest.index("]") :]
    pattern = f"{head}colours: [{', '.join(names)}{rest}"
    body = pattern[: pattern.index("palette:")]
    threads = [
        f'  t-{at}: {{title: Wool {at}, fibre: wool, colour: "#{at * 12:02x}4080", colour_name: N{at}, '
        "put_up: skein, put_up_length: 10 m, thickness: 1.9 mm, cost: 1.35, bin: Z-01}"
        for at in range(20)
    ]
    palette = [f"  c{at}: {{thread: t-{at}, name: Wonderfully long wool name {at:02}}}" for at in range(20)]
    (whole / "kits/more.yaml").write_text("\n".join(["kind: materials", "threads:", *threads, ""]))
    (whole / "kits/heath.yaml").write_text(
        "\n".join([body + "palette:", *palette, "needles: {needle-18: 2}", ""])
    )
    ran = run(whole, "build", "HEATH")
    assert ran.code in (0, 1), ran.err
    assert ran.out or ran.problems


def test_titles_as_long_as_allowed_are_built(folder: Path) -> None:
    long = "W" * 60
    change(folder, "whin.yaml", "title: Gorse-bank coasters", f"title: {long}")
    change(folder, "whin.yaml", "    title: Coaster\n", f"    title: {long}\n")
    ran = run(folder, "build", "WHIN")
    assert ran.code == 0, ran.err
