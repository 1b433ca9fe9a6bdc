"""Files reach the disk all together, or none does."""

from __future__ import annotations

import errno
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from kitbuild.base.problem import WriteProblem
from kitbuild.output import files
from kitbuild.output.files import manifest_bytes, manifest_for, write_outputs

OLD = {"a.pdf": b"old a", "b.csv": b"old b", "gone.pdf": b"old gone"}
NEW = {"a.pdf": b"new a", "b.csv": b"new b", "c.pdf": b"new c"}


def manifest(contents: dict[str, bytes]) -> dict[str, object]:
    return manifest_for(
        version="1.0", code="LARCH", edition=2, warnings=["w"], files=contents,
        inputs={"a.pdf": {"kit.yaml": "12"}},
    )  # fmt: skip


def build(folder: Path, contents: dict[str, bytes]) -> None:
    write_outputs(folder, contents, manifest(contents))


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    out = tmp_path / "build" / "LARCH"
    build(out, OLD)
    return out


def test_new_replaces_old_and_what_is_no_longer_made_goes(folder: Path) -> None:
    (folder / "note.txt").write_bytes(b"the maker's own")
    build(folder, NEW)
    expected = NEW | {"manifest.json": manifest_bytes(manifest(NEW)), "note.txt": b"the maker's own"}
    assert contents(folder) == expected


def test_mode_does_not_depend_on_the_mask(tmp_path: Path) -> None:
    mask = os.umask(0o077)
    try:
        build(tmp_path / "out", NEW)
    finally:
        os.umask(mask)
    assert {path.stat().st_mode & 0o777 for path in (tmp_path / "out").iterdir()} == {0o644}


def test_manifest_is_stable_json() -> None:
    text = manifest_bytes(manifest({"a.pdf": b"x"})).decode()
    assert text.endswith("}\n")
    assert json.loads(text) == {
        "tool": "kitbuild", "version": "1.0", "code": "LARCH", "edition": 2, "warnings": ["w"],
        "outputs": {"a.pdf": {
            "sha256": "2d711642b726b04401627ca9fbac32f5c8530fb1903cc4db02258717921a4881",
            "inputs": {"kit.yaml": "12"},
        }},
    }  # fmt: skip
    assert text == json.dumps(json.loads(text), indent=2, sort_keys=True) + "\n"


@pytest.mark.parametrize("name", ["../a.pdf", "a/b.pdf", ".hidden", "", "manifest.json", "c:a"])
def test_names_are_plain(tmp_path: Path, name: str) -> None:
    with pytest.raises(ValueError, match="output"):
        write_outputs(tmp_path, {name: b""}, {})


def refused(folder: Path, code: str) -> WriteProblem:
    before = contents(folder)
    with pytest.raises(WriteProblem) as caught:
        build(folder, NEW)
    assert contents(folder) == before
    assert {problem.code for problem in caught.value.problems} == {code}
    assert all(
        problem.cure and problem.place.file.startswith(folder.as_posix()) for problem in caught.value.problems
    )
    return caught.value


@pytest.mark.parametrize(
    ("number", "code"),
    [
        (errno.ENOSPC, "KB802"),
        (errno.EFBIG, "KB802"),
        (errno.EROFS, "KB801"),
        (errno.EACCES, "KB805"),
        (errno.EIO, "KB806"),
    ],
)
def test_a_failing_write_leaves_the_old_files(
    folder: Path, monkeypatch: pytest.MonkeyPatch, number: int, code: str
) -> None:
    seen = []

    def failing(handle: int) -> None:
        seen.append(handle)
        if len(seen) == 2:
            raise OSError(number, os.strerror(number))

    monkeypatch.setattr(files.os, "fsync", failing)
    refused(folder, code)


def test_a_file_open_elsewhere_is_found_before_any_is_replaced(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    replace = os.replace

    def failing(source: Path, target: Path) -> None:
        if Path(target).name == "b.csv":
            raise PermissionError(errno.EACCES, "in use")
        replace(source, target)

    monkeypatch.setattr(files.os, "replace", failing)
    problem = refused(folder, "KB805").problems[0]
    assert problem.place.file.endswith("/b.csv")
    assert "viewer" in problem.cure


def test_a_folder_in_the_way(folder: Path) -> None:
    (folder / "c.pdf").mkdir()
    refused(folder, "KB803")


def test_a_link_that_leads_outside(folder: Path, tmp_path: Path) -> None:
    outside = tmp_path / "precious.pdf"
    outside.write_bytes(b"precious")
    (folder / "c.pdf").symlink_to(outside)
    with pytest.raises(WriteProblem, match="KB804"):
        build(folder, NEW)
    assert outside.read_bytes() == b"precious"


def test_a_link_within_is_replaced(folder: Path) -> None:
    (folder / "c.pdf").symlink_to(folder / "a.pdf")
    build(folder, NEW)
    assert not (folder / "c.pdf").is_symlink()
    assert (folder / "a.pdf").read_bytes() == b"new a"


def test_a_file_where_the_folder_must_be(tmp_path: Path) -> None:
    (tmp_path / "build").write_bytes(b"")
    with pytest.raises(WriteProblem, match="KB801"):
        build(tmp_path / "build", NEW)
    with pytest.raises(WriteProblem, match="KB801"):
        build(tmp_path / "build" / "LARCH", NEW)


def test_leftovers_go_but_a_living_run_keeps_its_files(folder: Path) -> None:
    (folder / ".a.pdf.tmp-999999999").write_bytes(b"half")
    (folder / f".a.pdf.tmp-{os.getpid()}").write_bytes(b"half")
    (folder / f".a.pdf.tmp-{os.getppid()}").write_bytes(b"half")
    build(folder, NEW)
    assert [path.name for path in folder.iterdir() if path.name.startswith(".")] == [
        f".a.pdf.tmp-{os.getppid()}"
    ]


@pytest.mark.parametrize(
    "text", [b"", b"[]", b'{"outputs": 3}', b'{"outputs": {"../x": 1, "note.txt": 1}}', b"\xff"]
)
def test_any_earlier_manifest_is_survived(tmp_path: Path, text: bytes) -> None:
    (tmp_path / "x").write_bytes(b"outside")
    out = tmp_path / "out"
    out.mkdir()
    (out / "manifest.json").write_bytes(text)
    build(out, NEW)
    assert (tmp_path / "x").exists()


def test_a_size_limit_is_told_and_nothing_is_lost(folder: Path) -> None:
    script = (
        "import resource, signal, sys, pathlib\n"
        "from kitbuild.output.files import write_outputs\n"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))\n"
        "write_outputs(pathlib.Path(sys.argv[1]), {'a.pdf': b'n', 'z.pdf': b'n' * 5000}, {})\n"
    )
    before = contents(folder)
    run = subprocess.run(
        [sys.executable, "-c", script, str(folder)],
        cwd=Path(__file__).parents[2],
        capture_output=True,
        text=True,
        check=False,
    )
    assert "KB802" in run.stderr
    assert contents(folder) == before
