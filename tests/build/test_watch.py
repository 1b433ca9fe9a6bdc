"""`build --watch` builds what an edit touches, until Ctrl-C."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
import weakref
from collections.abc import Iterator
from pathlib import Path
from threading import Timer

import pytest

from kitbuild.watch import changes
from tests.build.places import digests, run
from tests.build.tiny import edit, environment, quick, tiny_shop

WATCH = [sys.executable, "-m", "kitbuild", "build", "--watch"]


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    return tiny_shop(tmp_path / "shop", ("AAA", "BBB"))


@pytest.fixture
def watching(shop: Path) -> Iterator[subprocess.Popen[str]]:
    process = subprocess.Popen(
        WATCH,
        cwd=shop,
        env=environment(),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    limit = Timer(60, process.kill)
    limit.start()
    yield process
    limit.cancel()
    process.kill()
    process.communicate()


FRESH = "nothing to do: all 2 kits are up to date\n"


def line(process: subprocess.Popen[str]) -> str:
    """The next line, "" at the end; a disk may tell of one change twice, and the second is none."""
    assert process.stdout is not None
    while (text := process.stdout.readline()) == FRESH:
        pass
    return text


def test_an_edit_is_built_and_nothing_else(shop: Path, watching: subprocess.Popen[str]) -> None:
    assert [line(watching) for _ in range(3)] == [
        "AAA: edition 1, build/AAA\n",
        "BBB: edition 1, build/BBB\n",
        "watching kits/; Ctrl-C ends it\n",
    ]
    (shop / "kits/notes.txt").write_text("no spec", encoding="utf-8")
    (shop / "kits/.aaa.yaml.swp").write_text("an editor's own", encoding="utf-8")
    edit(shop, "bbb.yaml", "edition: 1\n", "edition: 2\n")
    assert line(watching).startswith("BBB: edition 2, build/BBB: made ")
    edit(shop, "aaa.yaml", "repeats: 1", "repeats: none")
    assert watching.stderr is not None
    assert watching.stderr.readline().startswith("kits/aaa.yaml:")
    edit(shop, "aaa.yaml", "repeats: none", "repeats: 1")
    edit(shop, "aaa.yaml", "edition: 1\n", "edition: 3\n")
    assert line(watching).startswith("AAA: edition 3, build/AAA: made ")
    watching.send_signal(signal.SIGINT)
    out, _ = watching.communicate()
    assert watching.returncode in (0, 130, -signal.SIGINT), "at rest, or still at the end of a build"
    assert out.replace(FRESH, "") == ""
    assert quick(shop, "build").code == quick(shop, "build", "--out", "clean").code == 0
    assert digests(shop / "build") == digests(shop / "clean")


def test_what_watching_needs_is_told(shop: Path, tmp_path: Path) -> None:
    script = "import sys; sys.modules['watchfiles'] = None; from kitbuild.cli import main; sys.exit(main())"
    done = subprocess.run(
        [sys.executable, "-c", script, "build", "--watch"],
        cwd=shop,
        env=environment(),
        capture_output=True,
        text=True,
    )
    assert (done.returncode, done.stdout) == (2, "")
    assert "pip install 'kitbuild[watch]'" in done.stderr
    ran = run(tmp_path, "build", "--watch")
    assert (ran.code, ran.out) == (2, "")
    assert "there is no kits/ to watch" in ran.err


@pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")
def test_an_interruption_that_python_drops_ends_the_watch(
    shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is raised in a weak reference's callback is told and dropped."""
    monkeypatch.chdir(shop)

    class Object:
        pass

    def build() -> int:
        gone = Object()
        _kept = weakref.ref(gone, lambda _: signal.raise_signal(signal.SIGINT))
        del gone
        return 7

    begun = time.monotonic()
    again = Timer(10, os.kill, (os.getpid(), signal.SIGINT))
    again.start()
    assert changes(build, print) == 7
    again.cancel()
    assert time.monotonic() - begun < 9, "ended only by the second interruption"
    assert signal.getsignal(signal.SIGINT) is signal.default_int_handler
