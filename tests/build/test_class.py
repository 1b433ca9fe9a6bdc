"""A class by the command line: its papers, its box from one lot a colour, what is short or wrong."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pypdfium2
import pytest

from tests.build.places import LOCATED, run
from tests.spec.ranges import copy_kits

FILES = {
    "packing-list.csv",
    "needs.csv",
    "cut-list.csv",
    "offcuts.csv",
    "labels.pdf",
    "run.json",
    "manifest.json",
}
FILES |= {f"{name}{paper}.pdf" for name in ("packing-list", "cut-list") for paper in ("", ".letter")}
FILES |= {
    f"teacher-sheet{language}{paper}.pdf" for language in ("", ".fr", ".de") for paper in ("", ".letter")
}
FILES |= {f"wall-chart{language}.pdf" for language in ("", ".fr", ".de")}
NAME = "saturday-whin"


@pytest.fixture
def place(tmp_path: Path) -> Path:
    """A shop with enough bark for a class in one lot."""
    kits = copy_kits(tmp_path)
    lots = (kits / "stock.csv").read_text()
    assert "wool-0123,4502,,12," in lots
    (kits / "stock.csv").write_text(lots.replace("wool-0123,4502,,12,", "wool-0123,4502,,60,"))
    file = kits / f"{NAME}.yaml"
    file.write_text(file.read_text().replace("learners: 5", "learners: 12"))
    return tmp_path


def rows(place: Path, name: str) -> dict[str, dict[str, str]]:
    with (place / "build" / "class" / NAME / f"{name}.csv").open(newline="", encoding="utf-8") as file:
        return {row["item"]: row for row in csv.DictReader(file)}


def test_a_class_writes_its_papers(place: Path) -> None:
    ran = run(place, "class", NAME)
    assert (ran.code, ran.err) == (0, "")
    folder = place / "build" / "class" / NAME
    assert {path.name for path in folder.iterdir()} == FILES
    inputs = json.loads((folder / "manifest.json").read_bytes())["outputs"]["packing-list.pdf"]["inputs"]
    assert {"kits/saturday-whin.yaml", "kits/whin.yaml", "kits/stock.csv"} <= set(inputs)
    packed = rows(place, "packing-list")
    assert (packed["wool-0123"]["quantity"], packed["wool-0123"]["lot"]) == ("29", "4502")
    assert packed["plastic-7"]["quantity"] == "52"
    with (folder / "cut-list.csv").open(newline="", encoding="utf-8") as file:
        assert len(list(csv.DictReader(file))) == 52
    chart = pypdfium2.PdfDocument((folder / "wall-chart.pdf").read_bytes())
    assert [round(side * 25.4 / 72) for side in chart[0].get_size()] == [594, 420]


def sizes(path: Path) -> set[tuple[int, int]]:
    """The sizes of a file's pages in mm."""
    pages = pypdfium2.PdfDocument(path)
    return {tuple(round(side * 25.4 / 72) for side in page.get_size()) for page in pages}  # type: ignore[misc]


def test_each_language_and_paper_has_its_own(place: Path) -> None:
    """The chart that is joined from sheets is made for each paper; the house's lists in one language."""
    file = place / "kits" / f"{NAME}.yaml"
    file.write_text(file.read_text().replace("wall_chart: A2", "wall_chart: tiled"))
    assert run(place, "class", NAME).code == 0
    folder = place / "build" / "class" / NAME
    for name in ("wall-chart", "teacher-sheet", "packing-list"):
        assert sizes(folder / f"{name}.pdf") == {(210, 297)}, name
        assert sizes(folder / f"{name}.letter.pdf") == {(216, 279)}, name
    for name, words in (
        ("wall-chart", ("line", "ligne", "Linie")),
        ("teacher-sheet", ("Hole", "Trou", "Loch")),
    ):
        for language, word in zip(("", ".fr", ".de"), words, strict=True):
            page = pypdfium2.PdfDocument(folder / f"{name}{language}.letter.pdf")[0]
            assert word.lower() in page.get_textpage().get_text_bounded().lower(), (name, language)


def test_what_is_short_is_told_and_cannot_be_reserved(place: Path) -> None:
    stock = place / "kits" / "stock.csv"
    stock.write_text(stock.read_text().replace("wool-0123,4502,,60,", "wool-0123,4502,,28,"))
    ran = run(place, "class", NAME)
    assert ran.code == 4
    assert ran.err.startswith(f"kits/{NAME}.yaml:10:11: KB645 class {NAME} is short of `wool-0123` (")
    assert rows(place, "needs")["wool-0123"]["short"] == "29"
    assert rows(place, "packing-list")["wool-0123"]["short"] == "yes"
    assert run(place, "stock", "count").code == 0
    ran = run(place, "class", NAME, "reserve")
    assert ran.code == 1
    assert LOCATED.match(ran.err)
    assert f"kitbuild class {NAME}" in ran.err


def test_a_class_is_reserved_and_posted_with_what_is_spare(place: Path) -> None:
    assert run(place, "stock", "count").code == 0
    assert run(place, "class", NAME).code == 0
    assert run(place, "class", NAME, "reserve").code == 0
    assert "KB621" in run(place, "class", NAME).err
    assert run(place, "class", NAME, "post").code == 0
    out = run(place, "stock", "export").out.splitlines()
    assert next(line for line in out if line.startswith("wool-0123,4502")).split(",")[3] == "31"
    assert next(line for line in out if line.startswith("needle-16")).split(",")[3] == "168"
    assert "KB621" in run(place, "class", NAME, "post").err


def test_a_line_longer_than_its_class_is_a_warning(place: Path) -> None:
    file = place / "kits" / f"{NAME}.yaml"
    file.write_text(file.read_text().replace("stitches_per_hour: 150", "stitches_per_hour: 10"))
    ran = run(place, "class", NAME)
    assert ran.code == 0
    assert f"kits/{NAME}.yaml:9:10: KB646 warning: the line takes 156 minutes" in ran.err


def test_a_title_without_words_in_a_language_is_a_warning(place: Path) -> None:
    file = place / "kits" / f"{NAME}.yaml"
    file.write_text(file.read_text().replace("title: A Saturday", "title: One Saturday"))
    ran = run(place, "class", NAME)
    assert (ran.code, ran.codes) == (0, ["KB706", "KB706"])
    assert f"1 text of class {NAME} not said in fr: `One Saturday" in ran.err


def test_wrong_names_and_files(place: Path) -> None:
    ran = run(place, "class", "sunday")
    assert (ran.code, ran.err) == (2, f"kitbuild: no class is called sunday (the range has {NAME})\n")
    file = place / "kits" / f"{NAME}.yaml"
    for old, new, told in (
        ("learners: 12", "learners: 0", "10:11: KB206 `0` is too small"),
        ("kit: WHIN", "kit: WHIM", "6:6: KB345"),
    ):
        text = file.read_text()
        file.write_text(text.replace(old, new))
        ran = run(place, "class", NAME)
        assert ran.code == 1
        assert ran.err.startswith(f"kits/{NAME}.yaml:{told}"), ran.err
        file.write_text(text)
    assert run(place, "check", "kits/whin.yaml").code == 0
