"""A build makes again what an edit changes on paper, and says why; with nothing to do it is over at once."""

from __future__ import annotations

import hashlib
import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from kitbuild import own, remake
from kitbuild.stamp import KEPT, look
from tests.build.places import digests, kits_built, run, workshop
from tests.build.tiny import edit, quick, tiny_shop
from tests.spec.ranges import ROOT

HEAVY = ("jsonschema", "jinja2", "reportlab", "numpy", "pandas", "yaml", "babel", "multiprocessing")
FRESH = "nothing to do: all 3 kits are up to date\n"
PICK = "made pick-list.pdf and pick-list.csv again, because"


@pytest.fixture(scope="module")
def once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tiny_shop(tmp_path_factory.mktemp("tiny"))
    ran = quick(folder, "build", "--jobs", "1")
    assert (ran.code, ran.err) == (0, "")
    assert ran.out == "".join(f"{code}: edition 1, build/{code}\n" for code in ("AAA", "BBB", "CCC"))
    return folder


@pytest.fixture
def shop(once: Path, tmp_path: Path) -> Path:
    """A range that was built; the copied files keep their times."""
    shutil.copytree(once, tmp_path / "shop")
    assert quick(tmp_path / "shop", "build").out == FRESH
    return tmp_path / "shop"


def as_clean(shop: Path) -> bool:
    """Whether all outputs are those of a build from nothing."""
    shutil.rmtree(shop / "clean", ignore_errors=True)
    assert quick(shop, "build", "--out", "clean", "--jobs", "1").code in (0, 1)
    return digests(shop / "build") == digests(shop / "clean")


def touched(shop: Path, before: dict[str, str]) -> set[str]:
    """The outputs that are others than before, or gone, manifests left aside."""
    now = digests(shop / "build")
    names = {name for name in {*before, *now} if before.get(name) != now.get(name)}
    return {name for name in names if not name.endswith("manifest.json")}


def test_nothing_to_do_loads_no_library(shop: Path) -> None:
    script = (
        "import sys\n"
        "from kitbuild.cli import main\n"
        "assert main(sys.argv[1:]) == 0\n"
        f"print([name for name in {HEAVY!r} if name in sys.modules])\n"
    )
    for arguments in (["build"], ["build", "BBB"]):
        done = subprocess.run(
            [sys.executable, "-c", script, *arguments],
            cwd=shop,
            env={"PYTHONPATH": str(ROOT)},
            capture_output=True,
            text=True,
            check=True,
        )
        assert done.stdout.startswith("nothing to do")
        assert done.stdout.endswith("[]\n")


def test_nothing_to_do_writes_nothing(shop: Path) -> None:
    before = {path: look(path) for path in shop.rglob("*")}
    assert quick(shop, "build").out == FRESH
    assert {path: look(path) for path in shop.rglob("*")} == before
    assert quick(shop, "build", "BBB").out == "nothing to do: the kit is up to date\n"


def test_a_bin_is_on_pick_lists_alone(shop: Path) -> None:
    before = digests(shop / "build")
    edit(shop, "materials.yaml", "bin: A-02", "bin: Z-99")
    ran = quick(shop, "build")
    assert ran.out.splitlines() == [
        f"{code}: edition 1, build/{code}: {PICK} thread wool-0488 bin changed"
        for code in ("AAA", "BBB", "CCC")
    ]
    assert touched(shop, before) == {
        f"{code}/pick-list.{kind}" for code in ("AAA", "BBB", "CCC") for kind in ("pdf", "csv")
    }
    assert as_clean(shop)


def test_what_no_kit_uses_changes_nothing(shop: Path) -> None:
    before = digests(shop / "build")
    edit(shop, "materials.yaml", "bin: B-06", "bin: Z-99")
    edit(shop, "aaa.yaml", "kind: kit\n", "# a line more\nkind: kit\n\n")
    assert quick(shop, "build").out == FRESH
    assert not touched(shop, before)
    assert as_clean(shop)


def test_an_edit_of_one_kit_leaves_the_others(shop: Path) -> None:
    before = digests(shop / "build")
    edit(shop, "bbb.yaml", "thread: wool-0488", "thread: wool-0702")
    ran = quick(shop, "build")
    assert ran.out.startswith("BBB: edition 1, build/BBB: made ")
    assert "because palette moss" in ran.out
    assert ran.out.count("\n") == 1
    changed = touched(shop, before)
    assert "BBB/chart-booklet.pdf" in changed
    assert not {"BBB/cut-list.pdf", "BBB/pieces.csv", "BBB/cut-list.csv"} & changed
    assert as_clean(shop)


def test_a_kit_named_alone_leaves_the_others_to_be_built(shop: Path) -> None:
    edit(shop, "workshop.yaml", "name: Quillmere Stitch Room", "name: Quillmere Room")
    ran = quick(shop, "build", "BBB")
    assert ran.out.startswith("BBB: ")
    assert "because workshop name changed" in ran.out
    assert quick(shop, "build", "BBB").out == "nothing to do: the kit is up to date\n"
    assert quick(shop, "build").out.startswith("AAA: ")
    assert quick(shop, "build").out == FRESH
    assert as_clean(shop)


@pytest.mark.parametrize("name", ["thread.csv", "proof.pdf", "manifest.json"])
@pytest.mark.parametrize("how", ["gone", "altered", "altered with its old times", "empty", "other file"])
def test_a_file_unlike_its_manifest_counts_as_not_built(shop: Path, name: str, how: str) -> None:
    path = shop / "build/BBB" / name
    content, times = path.read_bytes(), path.stat()
    path.unlink()
    if how == "other file":
        path.symlink_to("pieces.csv")
    elif how != "gone":
        path.write_bytes(b"" if how == "empty" else content[:-1] + bytes([content[-1] ^ 1]))
        os.utime(path, ns=(times.st_atime_ns, times.st_mtime_ns))
    ran = quick(shop, "build")
    why = "its manifest is not that of a finished build" if name == "manifest.json" else f"{name} differs"
    assert ran.out.startswith("BBB: ")
    if name == "manifest.json":
        assert f"because {why}" in ran.out
    else:
        assert f"made {name} again, because {why} from the manifest" in ran.out
    assert not path.is_symlink()
    assert quick(shop, "build").out == FRESH
    assert as_clean(shop)


def test_a_copied_folder_is_up_to_date(shop: Path, tmp_path: Path) -> None:
    subprocess.run(["cp", "-r", shop, tmp_path / "copy"], check=True)
    for _ in range(2):
        assert quick(tmp_path / "copy", "build").out == FRESH


@pytest.mark.parametrize("damage", [b"", b"{", b"[]", b'{"form": 1}', b'{"form": 0}', b"\xff", b"null"])
def test_what_is_kept_can_be_lost(shop: Path, damage: bytes) -> None:
    for path in (shop / "build" / KEPT).rglob("*.json"):
        path.write_bytes(damage)
    ran = quick(shop, "build")
    assert (ran.code, ran.err) == (0, "")
    assert quick(shop, "build").out == FRESH
    shutil.rmtree(shop / "build" / KEPT)
    assert "not that of a finished build" in quick(shop, "build").out
    assert quick(shop, "build").out == FRESH
    assert as_clean(shop)


def test_another_program_makes_everything_again(shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = digests(shop / "build")
    mine = own.own()
    other = own.Own({**mine.files, "kitbuild/fonts": "0" * 64}, mine.libraries)
    monkeypatch.setattr(remake, "own", lambda: other)
    monkeypatch.setattr("kitbuild.fresh.own", lambda: other)
    monkeypatch.setattr("kitbuild.rebuild.own", lambda: other)
    ran = quick(shop, "build", "--jobs", "1")
    assert ran.out.splitlines()[0] == (
        "AAA: edition 1, build/AAA: made 30 of 30 files again, because kitbuild/fonts changed"
    )
    assert not touched(shop, before)
    assert quick(shop, "build").out == FRESH
    manifest = json.loads((shop / "build/AAA/manifest.json").read_bytes())
    assert manifest["outputs"]["proof.pdf"]["inputs"]["kitbuild/fonts"] == "0" * 64


def test_another_catalogue_makes_again_what_it_says_otherwise(
    shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    mine = own.own()
    other = own.Own({**mine.files, "kitbuild/wording/en.yaml": "0" * 64}, mine.libraries)
    for place in ("kitbuild.fresh", "kitbuild.rebuild", "kitbuild.remake"):
        monkeypatch.setattr(f"{place}.own", lambda: other)
    ran = quick(shop, "build", "--jobs", "1")
    assert ran.out.splitlines()[0].endswith(
        ": nothing to print again, though kitbuild/wording/en.yaml changed"
    )
    assert quick(shop, "build").out == FRESH


def test_the_tools_own_parts_are_told_apart(tmp_path: Path) -> None:
    package = tmp_path / "kitbuild"
    shutil.copytree(ROOT / "kitbuild", package, ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copytree(ROOT / "schemas", tmp_path / "schemas")
    script = "import json; from kitbuild.own import own; print(json.dumps(own()))"

    def parts() -> dict[str, str]:
        done = subprocess.run(
            [sys.executable, "-c", script], cwd=tmp_path, capture_output=True, check=True, text=True
        )
        files, libraries = json.loads(done.stdout)
        return files | {"libraries": libraries}

    first = parts()
    assert first == {**own.own().files, "libraries": own.own().libraries}
    for path, part in (
        ("kitbuild/base/units.py", "kitbuild/program"),
        ("kitbuild/codes.yaml", "kitbuild/program"),
        ("kitbuild/wording/fr.yaml", "kitbuild/wording/fr.yaml"),
        ("kitbuild/fonts/coverage.txt", "kitbuild/fonts"),
        ("schemas/kit.schema.json", "kitbuild/schemas"),
    ):
        with (tmp_path / path).open("ab") as file:
            file.write(b"\n")
        now = parts()
        assert {name for name in now if now[name] != first[name]} == {part}, path
        first = now


def test_a_kit_that_is_no_longer_in_the_range_goes(shop: Path) -> None:
    (shop / "build/CCC/note.txt").write_text("the maker's own", encoding="utf-8")
    for code in ("bbb", "ccc"):
        (shop / f"kits/{code}.yaml").unlink()
    assert quick(shop, "build", "AAA").out == "nothing to do: the kit is up to date\n"
    assert kits_built(shop) == {"AAA", "BBB", "CCC"}
    ran = quick(shop, "build")
    assert ran.out.splitlines()[1:] == [
        f"{code}: no longer in the range, its files in build/{code} are removed" for code in ("BBB", "CCC")
    ]
    assert kits_built(shop) == {"AAA", "CCC"}
    assert not (shop / "build/BBB.html").exists()
    assert [path.name for path in (shop / "build/CCC").iterdir()] == ["note.txt"]
    assert quick(shop, "build").out == "nothing to do: the kit is up to date\n"


def test_what_was_altered_of_a_kit_that_left_stays_and_is_told(shop: Path) -> None:
    for path, content in (("BBB/palette.csv", b"mine"), ("CCC/manifest.json", b"[" * 100_000)):
        (shop / "build" / path).write_bytes(content)
    kept = {path.name for path in (shop / "build/CCC").iterdir()}
    for code in ("bbb", "ccc"):
        (shop / f"kits/{code}.yaml").unlink()
    ran = quick(shop, "build")
    assert (ran.code, ran.out.splitlines()[1:]) == (
        0,
        [
            "BBB: no longer in the range, its files in build/BBB are removed, but `palette.csv` stays: "
            "it was altered since, by hand or by a build that was ended",
            "CCC: no longer in the range, but its files in build/CCC stay: manifest.json is missing or "
            "damaged, so that nobody can say which of them were built; remove them by hand",
        ],
    )
    assert {path.name: path.read_bytes() for path in (shop / "build/BBB").iterdir()} == {
        "palette.csv": b"mine"
    }
    assert {path.name for path in (shop / "build/CCC").iterdir()} == kept
    assert quick(shop, "build").out == "nothing to do: the kit is up to date\n"


@pytest.mark.parametrize("number", [b"null", b"true", b"[[1]]", b"{}", b"1e308", b'"x"'])
def test_what_is_remembered_is_not_trusted_once_it_was_harmed(number: bytes, shop: Path) -> None:
    """Numbers and texts that became other values, in files that are still JSON."""
    before = digests(shop / "build")
    for path in sorted((shop / "build" / KEPT).rglob("*.json")):
        whole = path.read_bytes()
        for found in (*re.finditer(rb"[0-9]{6,}(?=[],])", whole), *re.finditer(rb'"[^"]+"(?=[],}])', whole))[
            ::40
        ]:
            path.write_bytes(whole[: found.start()] + number + whole[found.end() :])
            ran = quick(shop, "build")
            assert (ran.code, ran.err) == (0, "")
            assert digests(shop / "build") == before


def test_a_manifest_cannot_name_what_lies_elsewhere(shop: Path) -> None:
    """Nothing outside of a kit's folder is taken for an output of it."""
    path, other = shop / "build/BBB/manifest.json", shop / "kits/aaa.yaml"
    manifest = json.loads(path.read_bytes())
    digest = hashlib.sha256(other.read_bytes()).hexdigest()
    manifest["outputs"]["../../kits/aaa.yaml"] = {"sha256": digest, "inputs": {}}
    path.write_text(json.dumps(manifest), encoding="utf-8")
    (shop / "kits/bbb.yaml").unlink()
    assert quick(shop, "build").code == 0
    assert other.is_file()
    assert kits_built(shop) == {"AAA", "CCC"}


def test_a_kit_with_a_fault_keeps_its_files_and_is_looked_at_each_time(shop: Path) -> None:
    before = digests(shop / "build")
    edit(shop, "bbb.yaml", "repeats: 1", "repeats: none")
    for _ in range(2):
        ran = quick(shop, "build")
        assert ran.code == 1
        assert ran.problems[0].startswith("kits/bbb.yaml:")
        assert touched(shop, before) == {"index.html"}
    edit(shop, "bbb.yaml", "repeats: none", "repeats: 1")
    assert quick(shop, "build").out == FRESH


def test_warnings_are_told_again_with_nothing_to_do(shop: Path) -> None:
    """Also by the machine's form; an edit that moves the line that a warning names moves it everywhere."""
    edit(shop, "bbb.yaml", "price: 34.00", "price: 1.00")
    first = quick(shop, "build")
    assert [" KB602 warning: " in line for line in first.problems] == [True]
    again = quick(shop, "build")
    assert (again.out, again.err) == (FRESH, first.err)
    told = json.loads(quick(shop, "build", "--format", "json").out)["problems"]
    assert [(each["code"], each["line"]) for each in told] == [("KB602", 8)]
    edit(shop, "bbb.yaml", "kind: kit\n", "# a line more\nkind: kit\n")
    moved = quick(shop, "build")
    assert "the warnings or the files that it is read from changed" in moved.out
    assert moved.problems[0].startswith("kits/bbb.yaml:9:")
    assert as_clean(shop)
    edit(shop, "bbb.yaml", "price: 1.00\n", "price: 1.00\naccept: {KB602: it is a gift}\n")
    assert quick(shop, "build").err == quick(shop, "build").err == ""
    assert as_clean(shop)


def test_a_chart_is_an_input(tmp_path: Path) -> None:
    folder = workshop(tmp_path / "shop")
    for path in (folder / "kits").iterdir():
        if path.stem not in ("rowan", "rowan-berry", "materials", "workshop"):
            path.unlink()
    assert quick(folder, "build").code == 0
    assert quick(folder, "build").out.startswith("nothing to do")
    path = folder / "kits/rowan-berry.csv"
    text = path.read_text(encoding="utf-8")
    colours = [line.rsplit(",", 1)[1] for line in text.splitlines()[1:]]
    first, other = colours[0], next(each for each in colours if each != colours[0])
    at = text.index(f",{first}\n")
    path.write_text(f"{text[:at]},{other}{text[at + len(first) + 1 :]}", encoding="utf-8")
    ran = quick(folder, "build")
    assert "pieces berry pattern chart colour changed" in ran.out
    assert as_clean(folder)


def test_the_number_of_jobs_is_a_number(shop: Path) -> None:
    for number in ("0", "-1", "two", "", "999"):
        assert run(shop, "build", "--jobs", number).code == 2
