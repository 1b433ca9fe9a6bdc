"""The wheel carries all it needs: built, installed elsewhere, and run in a folder that holds only kits/."""

from __future__ import annotations

import importlib.util
import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from tests.build.places import digests, run, workshop
from tests.spec.ranges import ROOT

PIP = [sys.executable, "-m", "pip", "--disable-pip-version-check", "--quiet"]


def pip(*arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([*PIP, *arguments], capture_output=True, text=True, check=False, timeout=120)


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel of this working copy; without hatchling here, pip fetches it for the build alone."""
    folder = tmp_path_factory.mktemp("wheel")
    alone = [] if importlib.util.find_spec("hatchling") is None else ["--no-build-isolation"]
    try:
        done = pip("wheel", str(ROOT), "--no-deps", *alone, "--wheel-dir", str(folder))
    except subprocess.TimeoutExpired:
        pytest.skip("the wheel took too long to build")
    if done.returncode and ("hatchling" in done.stderr or "No module named pip" in done.stderr):
        pytest.skip("neither hatchling nor a package index is at hand")
    assert done.returncode == 0, done.stderr
    (path,) = folder.glob("*.whl")
    return path


def test_the_wheel_holds_the_package_and_nothing_else(wheel: Path) -> None:
    names = set(zipfile.ZipFile(wheel).namelist())
    package = {
        path.relative_to(ROOT).as_posix()
        for path in (ROOT / "kitbuild").rglob("*")
        if path.is_file() and "__pycache__" not in path.parts and not path.name.startswith(".")
    }
    schemas = {f"kitbuild/{path.relative_to(ROOT).as_posix()}" for path in (ROOT / "schemas").glob("*.json")}
    inside = {name for name in names if ".dist-info/" not in name}
    assert inside == package | schemas
    assert len(schemas) >= 3
    assert not [name for name in names if name.startswith(("tests/", "kits/"))]


def test_the_wheel_builds_the_same_bytes_from_a_folder_with_only_kits(wheel: Path, tmp_path: Path) -> None:
    target = tmp_path / "installed"
    done = pip("install", "--no-deps", "--target", str(target), str(wheel))
    assert done.returncode == 0, done.stderr
    folder = workshop(tmp_path / "shop")
    (folder / "kits/heath.yaml").unlink()
    where = subprocess.run(
        [sys.executable, "-c", "import kitbuild; print(kitbuild.__file__)"],
        cwd=folder,
        env=os.environ | {"PYTHONPATH": str(target)},
        capture_output=True,
        text=True,
        check=True,
    )
    assert where.stdout.strip() == str(target / "kitbuild/__init__.py")
    ran = run(folder, "build", PYTHONPATH=str(target))
    assert (ran.code, ran.err) == (0, "")
    assert run(folder, "build", "--out", "here").code == 0
    assert digests(folder / "here") == digests(folder / "build")
    (folder / "kits/whin.yaml").write_text("kind: kit\nprise: 1\n", encoding="utf-8")
    checked = run(folder, "check", PYTHONPATH=str(target))
    assert checked.code == 1
    assert "did you mean `price`?" in checked.err
    assert {path.name for path in folder.iterdir()} == {"kits", "build", "here"}
