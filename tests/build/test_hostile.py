"""Files that were made to break a reader: told with place and cure; the other kits are built all the same."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from kitbuild.spec.yaml_text import MOST_TOLD
from tests.build.places import LOCATED, digests
from tests.build.tiny import edit, environment, kit, quick, tiny_shop

ALIASES = "kind: kit\na0: &a0 [x]\n" + "".join(
    f"a{level + 1}: &a{level + 1} [{', '.join([f'*a{level}'] * 9)}]\n" for level in range(60)
)
HUGE = "1000000000"
TEXTS = {
    "50 MB": kit("XXX") + "# " + "x" * 50_000_000,
    "a text of 1 MB": kit("XXX").replace("about: One", f"about: {'ab ' * 350_000}"),
    "lists in lists": "kind: kit\na: " + "[" * 300_000,
    "dashes": "kind: kit\na:\n" + "- " * 300_000,
    "keys in keys": "kind: kit\n" + "".join(f"{' ' * depth}a:\n" for depth in range(1000)),
    "aliases of aliases": ALIASES,
    "a billion columns": kit("XXX").replace("columns: ", f"columns: {HUGE} #"),
    "a billion rows": kit("XXX").replace("rows: ", f"rows: {HUGE} #"),
    "a billion repeats": kit("XXX").replace("repeats: 1", f"repeats: {HUGE}"),
    "a billion copies": kit("XXX").replace("copies: 1", f"copies: {HUGE}"),
    "a price of 100,000 digits": kit("XXX").replace("price: 34", f"price: {'9' * 100_000}"),
    "10,000 colours": kit("XXX").replace(
        "palette:\n",
        "palette:\n" + "".join(f"  c{number}: {{thread: wool-0123}}\n" for number in range(10_000)),
    ),
    "10,000 pieces": kit("XXX").replace(
        "pieces:\n", "pieces:\n" + "".join(f"  p{number}: {{title: x}}\n" for number in range(10_000))
    ),
    "20,000 unknown keys": kit("XXX") + "".join(f"key-{number}: 1\n" for number in range(20_000)),
    "20,000 equal keys": kit("XXX") + "key: 1\n" * 20_000,
    "20,000 codes": kit("XXX") + f"accept: {{{', '.join(f'X{number}: x' for number in range(20_000))}}}\n",
    "a NUL": kit("XXX").replace("title", "ti\0tle", 1),
}
"""Each of them is a file of its own beside a good kit."""


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tiny_shop(tmp_path_factory.mktemp("hostile"), ("AAA",))
    assert quick(folder, "build", "--jobs", "1").code == 0
    return folder


def told(shop: Path, problems: list[str]) -> None:
    """Few lines, each with its place, code and cure."""
    assert problems
    assert len(problems) <= MOST_TOLD + 1
    assert all(LOCATED.fullmatch(line) for line in problems)
    assert all(line.startswith("kits/x.yaml") for line in problems)


@pytest.mark.parametrize("name", TEXTS)
def test_a_hostile_text_is_told_and_touches_no_other_kit(name: str, shop: Path) -> None:
    before = digests(shop / "build/AAA")
    title = f"Coaster {name}"
    edit(shop, "aaa.yaml", "title: Coaster AAA\n", f"title: {title}\n")
    path = shop / "kits/x.yaml"
    path.write_bytes(TEXTS[name].encode())
    try:
        ran = quick(shop, "build", "--jobs", "1")
        assert ran.code == 1
        told(shop, ran.problems)
        assert "KB117" in ran.codes or len(ran.problems) <= MOST_TOLD
        assert title in (shop / "build/AAA/kit.csv").read_text(encoding="utf-8")
    finally:
        path.unlink()
        edit(shop, "aaa.yaml", f"title: {title}\n", "title: Coaster AAA\n")
    assert quick(shop, "build", "--jobs", "1").code == 0
    assert digests(shop / "build/AAA") == before


def pipe(path: Path) -> None:
    os.mkfifo(path)


def round_and_round(path: Path) -> None:
    path.symlink_to(path.name)


def without_end(path: Path) -> None:
    path.symlink_to("/dev/zero")


def no_text(path: Path) -> None:
    path.write_bytes(b"\xff" * 1_000_000)


def nothing(path: Path) -> None:
    path.write_bytes(b"\0" * 1_000_000)


@pytest.mark.parametrize("make", [pipe, round_and_round, without_end, Path.mkdir, no_text, nothing])
def test_what_is_no_file_of_text_is_told_and_never_waited_for(
    make: Callable[[Path], None], shop: Path
) -> None:
    """Also where it was there at the last build already, so that only its looks are asked for.

    It may be materials, words or a test stitch that the kits rest on, so nothing is built and all stays.
    """
    path, before = shop / "kits/x.yaml", digests(shop / "build/AAA")
    make(path)
    try:
        for _ in range(2):
            done = subprocess.run(
                [sys.executable, "-m", "kitbuild", "build", "--jobs", "1"],
                cwd=shop,
                env=environment(),
                capture_output=True,
                text=True,
                timeout=120,
                check=False,
            )
            assert done.returncode == 1
            told(shop, done.stderr.splitlines())
            assert digests(shop / "build/AAA") == before
    finally:
        path.rmdir() if path.is_dir() else path.unlink()


def test_many_lines_without_anything_in_them_are_read(shop: Path) -> None:
    path = shop / "kits/aaa.yaml"
    text = path.read_text(encoding="utf-8")
    for line_end in ("\n", "\r", "\r\n"):
        path.write_bytes((text + line_end * 400_000).encode())
        assert quick(shop, "check").code == 0
    path.write_text(text, encoding="utf-8")
