"""What goes wrong around a build leaves whole files, a clear problem, and a right build afterwards."""

from __future__ import annotations

import ctypes
import os
import pty
import re
import resource
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from kitbuild.output.lock import only_one
from kitbuild.stamp import KEPT
from tests.build.kills import CODES, NAMES, Killing, visible
from tests.build.places import digests
from tests.build.tiny import edit, environment, quick, tiny_shop

BUILD = [sys.executable, "-m", "kitbuild", "build"]


@pytest.fixture(scope="module")
def once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Four kits that were built, and what an edit makes of them in `clean`."""
    folder = tiny_shop(tmp_path_factory.mktemp("tiny"), CODES)
    edit(folder, "workshop.yaml", *NAMES)
    assert quick(folder, "build", "--out", "clean").code == 0
    edit(folder, "workshop.yaml", *reversed(NAMES))
    assert quick(folder, "build").code == 0
    return folder


@pytest.fixture
def shop(once: Path, tmp_path: Path) -> Path:
    """A copy of it, edited and not yet built again."""
    folder = tmp_path / "shop"
    shutil.copytree(once, folder)
    edit(folder, "workshop.yaml", *NAMES)
    return folder


def built_as_clean(folder: Path) -> bool:
    """Whether a build leaves what a build from nothing gives, and nothing beside."""
    ran = quick(folder, "build")
    left = list((folder / "build").rglob(".*.tmp-*"))
    return (ran.code, ran.err, left) == (0, "", []) and digests(folder / "build") == digests(folder / "clean")


def of_kits(folder: Path) -> dict[str, str]:
    """The files in the kits' own folders, without the pages of the range."""
    return {name: digest for name, digest in visible(folder / "build").items() if "/" in name}


def all_whole(folder: Path, before: dict[str, str]) -> bool:
    """Whether every file is that of the old build or that of the new one."""
    clean = digests(folder / "clean")
    return all(digest in (before[name], clean[name]) for name, digest in visible(folder / "build").items())


def test_a_build_killed_at_any_moment(tmp_path: Path) -> None:
    killing = Killing(tmp_path / "shop", seed=1)
    early = sum(killing.round() for _ in range(25))
    assert early > 5


@pytest.mark.parametrize("most", [0, 3_000, 40_000])
def test_a_full_disk(shop: Path, most: int) -> None:
    before = of_kits(shop)
    done = subprocess.run(
        BUILD,
        cwd=shop,
        env=environment(),
        capture_output=True,
        text=True,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (most, most)),
    )
    assert done.returncode == 3
    problems = done.stderr.splitlines()
    assert all(re.match(r"build/\S+: KB802 ", problem) for problem in problems)
    assert {problem.split("/")[1][:3] for problem in problems} >= set(CODES)
    assert of_kits(shop) == before
    assert not list((shop / "build").rglob(".*.tmp-*"))
    assert built_as_clean(shop)


def test_a_folder_that_may_not_be_written(shop: Path) -> None:
    """Modes bind root too, once it has not the right to pass over them."""
    before, paths = digests(shop), [shop / "build", *(shop / "build").rglob("*")]
    for path in paths:
        path.chmod(0o555 if path.is_dir() else 0o444)
    done = subprocess.run(
        BUILD, cwd=shop, env=environment(), capture_output=True, text=True, preexec_fn=bound_by_modes
    )
    assert (done.returncode, done.stdout) == (3, "")
    assert re.fullmatch(r"build: KB805 .*\n", done.stderr)
    assert digests(shop) == before
    for path in paths:
        path.chmod(0o755 if path.is_dir() else 0o644)
    assert built_as_clean(shop)


def bound_by_modes() -> None:
    """Take the right to pass over the modes of files from what is run next (prctl PR_CAPBSET_DROP)."""
    drop, over_all, over_reading = 24, 1, 2
    for right in (over_all, over_reading):
        ctypes.CDLL(None).prctl(drop, right, 0, 0, 0)


def test_one_folder_that_may_not_be_written_stops_its_kit_alone(shop: Path) -> None:
    (shop / "build/BBB/thread.csv").unlink()
    (shop / "build/BBB/thread.csv").mkdir()
    ran = quick(shop, "build")
    assert ran.code == 3
    assert [line.split(": ")[:2] for line in ran.problems] == [
        ["build/BBB/thread.csv", ran.problems[0].split(": ")[1]]
    ]
    assert " KB803 " in ran.err
    assert [line[:3] for line in ran.out.splitlines()] == ["AAA", "CCC", "DDD"]
    (shop / "build/BBB/thread.csv").rmdir()
    assert built_as_clean(shop)


def test_a_second_build_is_told_of_the_first(shop: Path) -> None:
    before = digests(shop / "build")
    with only_one(shop / "build", shop / "build" / KEPT / "lock"):
        ran = quick(shop, "build")
    assert (ran.code, ran.out) == (3, "")
    (problem,) = ran.problems
    assert f"build: KB808 another build is at work here (process {os.getpid()})" in problem
    assert digests(shop / "build") == before
    assert built_as_clean(shop)


def test_two_builds_at_once_leave_what_one_does(shop: Path) -> None:
    both = [
        subprocess.Popen(
            BUILD, cwd=shop, env=environment(), stdout=subprocess.DEVNULL, stderr=subprocess.PIPE
        )
        for _ in range(2)
    ]
    ended = [(process.communicate()[1].decode(), process.returncode) for process in both]
    assert (("", 0)) in ended
    assert all(code == 0 or (code == 3 and "KB808" in err) for err, code in ended)
    assert built_as_clean(shop)


def test_a_kits_folder_that_is_a_link_out(shop: Path, tmp_path: Path) -> None:
    shutil.move(shop / "build/BBB", tmp_path / "elsewhere")
    (shop / "build/BBB").symlink_to(tmp_path / "elsewhere")
    before = digests(tmp_path / "elsewhere")
    ran = quick(shop, "build")
    assert ran.code == 3
    assert [line.split(": ")[1][:5] for line in ran.problems] == ["KB804"]
    assert digests(tmp_path / "elsewhere") == before
    (shop / "build/BBB").unlink()
    assert built_as_clean(shop)


def test_the_whole_output_folder_may_be_a_link(shop: Path, tmp_path: Path) -> None:
    shutil.move(shop / "build", tmp_path / "elsewhere")
    (shop / "build").symlink_to(tmp_path / "elsewhere")
    assert built_as_clean(shop)


def interrupted(shop: Path) -> tuple[bytes, bytes, bytes, int]:
    """The first line of a build, what it tells after an interruption, and its exit code."""
    process = subprocess.Popen(
        [*BUILD, "--jobs", "2"],
        cwd=shop,
        env=environment(),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        start_new_session=True,
    )
    assert process.stdout is not None
    first = process.stdout.readline()
    os.killpg(process.pid, signal.SIGINT)
    out, err = process.communicate()
    return first, out, err, process.returncode


def test_an_interruption_leaves_whole_files(shop: Path) -> None:
    """As a terminal does it: to every process at once; again where it came after the last kit."""
    before = visible(shop / "build")
    for _ in range(9):
        first, out, err, code = interrupted(shop)
        if code:
            break
        edit(shop, "workshop.yaml", *reversed(NAMES))
        assert quick(shop, "build").code == 0
        edit(shop, "workshop.yaml", *NAMES)
    assert first.startswith(b"AAA")
    assert (code, err) == (130, b"interrupted\n")
    assert b"DDD" not in out
    assert all_whole(shop, before)
    assert not list((shop / "build").rglob(".*.tmp-*"))
    assert built_as_clean(shop)


def test_a_process_of_the_crew_that_is_killed(shop: Path) -> None:
    before = visible(shop / "build")
    process = subprocess.Popen(
        [*BUILD, "--jobs", "2"],
        cwd=shop,
        env=environment(),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    os.kill(child_of(process.pid), signal.SIGKILL)
    _, err = process.communicate()
    assert process.returncode == 3
    assert re.fullmatch(r"build: KB807 .*\(.*--jobs 1.*\)\n", err)
    assert all_whole(shop, before)
    assert built_as_clean(shop)


def child_of(process: int) -> int:
    """The first child of a process, as soon as it has one."""
    path = Path(f"/proc/{process}/task/{process}/children")
    for _ in range(1000):
        if children := path.read_text().split():
            return int(children[0])
        time.sleep(0.01)
    raise AssertionError("no child")


def test_processes_of_the_crew_do_not_outlive_the_first(shop: Path) -> None:
    process = subprocess.Popen(
        [*BUILD, "--jobs", "2"], cwd=shop, env=environment(), stdout=subprocess.DEVNULL
    )
    child = child_of(process.pid)
    process.kill()
    process.wait()
    for _ in range(200):
        if not alive(child):
            break
        time.sleep(0.01)
    assert not alive(child)


def alive(process: int) -> bool:
    try:
        state = Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[0]
    except OSError:
        return False
    return state != "Z"


def test_any_number_of_processes_gives_the_same_bytes(shop: Path) -> None:
    told = set()
    for jobs in ("1", "2", "5"):
        ran = quick(shop, "build", "--out", f"out{jobs}", "--jobs", jobs)
        told.add(ran.out.replace(f"out{jobs}", "out"))
        assert digests(shop / f"out{jobs}") == digests(shop / "clean")
    assert told == {"".join(f"{code}: edition 1, out/{code}\n" for code in CODES)}


def test_progress_is_for_terminals(shop: Path) -> None:
    """The line is there while a kit is at work after a second, and taken away."""
    script = (
        "import sys\n"
        "import kitbuild.progress as progress\n"
        "progress.AFTER_S = 0\n"
        "from kitbuild.cli import main\n"
        "sys.exit(main(['build', '--out', 'again']))\n"
    )
    leader, follower = pty.openpty()
    done = subprocess.run(
        [sys.executable, "-c", script],
        cwd=shop,
        env=environment(),
        stdout=subprocess.PIPE,
        stderr=follower,
        text=True,
    )
    os.close(follower)
    shown = os.read(leader, 65536).decode()
    os.close(leader)
    assert done.stdout == "".join(f"{code}: edition 1, again/{code}\n" for code in CODES)
    assert "0 of 4 kits, at AAA, BBB" in shown
    assert shown.endswith("\r\x1b[K")
    assert quick(shop, "build", "--out", "plain").err == ""
