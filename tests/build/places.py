"""A workshop's folder of its own, the tool run in it as a maker runs it, and the files of the contract."""

from __future__ import annotations

import hashlib
import os
import re
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

from kitbuild.stamp import KEPT
from tests.spec.ranges import ROOT, copy_kits

CODES = ("CAIRN", "EMBER", "FERN", "HEATH", "RILL", "ROWAN", "TARN", "WHIN", "WINDS")
SMALL = ("EMBER", "FERN", "WHIN")
"""The kits of a small shop."""
PDFS = ("chart-booklet", "instructions", "pick-list", "cut-list", "proof", "test-sheet")
LISTS = (
    "pick-list",
    "cut-list",
    "pieces",
    "stitches",
    "work-order",
    "work-order-left",
    "finishing",
    "thread",
    "needlefuls",
    "kit",
    "palette",
    "cautions",
    "cost",
    "prices",
    "wording",
    "documents",
    "shop-facts",
)
FOR_CUSTOMERS = ("chart-booklet", "instructions")
EDITIONS = ("", ".left", ".large", ".left.large", ".mono", ".left.mono")
VARIANTS = [
    f"{language}{edition}{paper}"
    for language in ("", ".fr", ".de")
    for paper in ("", ".letter")
    for edition in EDITIONS
]
VARIANTS += [f"{language}{paper}.imposed" for language in ("", ".fr", ".de") for paper in ("", ".letter")]
FILES = frozenset(
    [f"{name}{paper}.pdf" for name in PDFS for paper in ("", ".letter")]
    + [f"{name}.html" for name in FOR_CUSTOMERS]
    + ["shop-facts.html"]
    + [f"{name}.csv" for name in LISTS]
    + ["finished.svg", "finished.png", "made-up.svg", "made-up.png", "manifest.json"]
)


ALL_FILES = (
    FILES
    | {"shop-facts.fr.html", "shop-facts.de.html"}
    | {f"{name}{variant}.pdf" for name in FOR_CUSTOMERS for variant in VARIANTS}
    | {
        f"{name}{language}{hand}.html"
        for name in FOR_CUSTOMERS
        for language in ("", ".fr", ".de")
        for hand in ("", ".left")
    }
)
"""In all languages and editions."""


def files_of(code: str) -> frozenset[str]:
    """The files of one kit: each shaped piece has a cover of its own."""
    covers = ("heart-cover.csv", "berry-cover.csv") if code == "ROWAN" else ()
    return ALL_FILES | frozenset(covers)


LOCATED = re.compile(r"\S+?(:\d+:\d+)?: KB\d{3} (warning: )?.+ \(.+\)")
"""One problem as it is printed: place, code, message, cure."""


@dataclass(frozen=True)
class Ran:
    code: int
    out: str
    err: str

    @property
    def problems(self) -> list[str]:
        return self.err.splitlines()

    @property
    def codes(self) -> list[str]:
        return [re.findall(r"KB\d{3}", line)[0] for line in self.problems]


def run(folder: Path, *arguments: str, **environment: str) -> Ran:
    """`python -m kitbuild` in `folder`; never a traceback."""
    done = subprocess.run(
        [sys.executable, "-m", "kitbuild", *arguments],
        cwd=folder,
        env=os.environ | {"PYTHONPATH": str(ROOT)} | environment,
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )
    assert "Traceback" not in done.stderr, done.stderr
    return Ran(done.returncode, done.stdout, done.stderr)


def workshop(folder: Path) -> Path:
    """A folder that holds a copy of the demo range in kits/, in one language and for the right hand."""
    complete_shop(folder)
    path = folder / "kits/workshop.yaml"
    lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
    path.write_text(
        "".join(x for x in lines if not x.startswith(("also_in:", "editions:"))), encoding="utf-8"
    )
    for words in (folder / "kits").glob("wording-*.yaml"):
        words.unlink()
    return folder


def complete_shop(folder: Path) -> Path:
    """A folder that holds the demo range as it is."""
    folder.mkdir(exist_ok=True, parents=True)
    copy_kits(folder)
    return folder


def small_shop(folder: Path) -> Path:
    """A folder that holds two files of the demo range, with three kits, and what they are made of."""
    workshop(folder)
    for path in (folder / "kits").iterdir():
        if path.stem not in ("whin", "tinband", "materials", "workshop"):
            path.unlink()
    return folder


def kit_file(code: str) -> str:
    """The name of the demo file that a kit stands in, without its suffix."""
    return {"EMBER": "tinband", "FERN": "tinband"}.get(code, code.lower())


def change(folder: Path, name: str, old: str, new: str) -> int:
    """Replace the one place of `old` in a spec file; the number of its line."""
    path = folder / "kits" / name
    text = path.read_text(encoding="utf-8")
    assert text.count(old) == 1, (name, old)
    path.write_text(text.replace(old, new), encoding="utf-8")
    return text[: text.index(old)].count("\n") + 1


def kits_built(folder: Path) -> set[str]:
    """The kits that something was built of, as the folder of outputs in `folder` shows them."""
    out = folder / "build"
    folders = (path.name for path in out.iterdir() if path.is_dir()) if out.exists() else ()
    return set(folders) - {KEPT}


def digests(folder: Path) -> dict[str, str]:
    """File -> SHA-256 of everything below `folder`, but for what the tool keeps for itself there."""
    return {
        path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and KEPT not in path.parts
    }
