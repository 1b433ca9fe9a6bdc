"""Edits of the demo range with all that follows from them: `edits.yaml` is the table, a row an edit."""

from __future__ import annotations

import shutil
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

from kitbuild.build import Made, make, outputs
from kitbuild.content import content_digest
from kitbuild.editions import open_made
from kitbuild.production.changes import changes
from kitbuild.production.consequences import Consequences, consequences
from kitbuild.spec.folder import read_range
from tests.build.places import CODES, kit_file
from tests.spec.ranges import KITS

PACKED = 3
OF_NO_BOX = {"proof.pdf", "test-sheet.pdf"}
"""Papers that nobody keeps."""
ROWS: list[dict[str, Any]] = yaml.safe_load(Path(__file__).with_name("edits.yaml").read_text("utf-8"))
WORDS = "kind: wording\nlanguage: en\nsentences:\n  {}\n"


@dataclass(frozen=True)
class Pair:
    """A kit before and after an edit, and what is said to follow."""

    before: Made
    after: Made
    means: Consequences


def name_of(row: Mapping[str, Any]) -> str:
    return f"{row['kit']}: " + "; ".join(new.strip() for _, new in row["change"].values())


def shop(folder: Path, code: str, change: Mapping[str, tuple[str, str]]) -> Path:
    """The files of one kit in a folder, edited; in one language, on one paper, for both hands."""
    folder.mkdir(parents=True)
    names = {"workshop", "materials", kit_file(code)}
    names |= {"rowan-berry"} if code == "ROWAN" else {"whin-coaster-test"} if code == "WHIN" else set()
    for path in (path for path in KITS.iterdir() if path.stem in names):
        shutil.copy(path, folder)
    house = folder / "workshop.yaml"
    lines = (line for line in house.read_text("utf-8").splitlines() if not line.startswith("also_in:"))
    told = "\n".join(lines).replace("[A4, Letter]", "[A4]")
    told = told.replace("[left, large, mono, imposed, left.mono]", "[left]")
    house.write_text(told + "\n", "utf-8")
    for name, (old, new) in change.items():
        path = folder / f"{name}.yaml"
        if not old:
            path.write_text(WORDS.format(new), "utf-8")
            continue
        text = path.read_text("utf-8")
        assert old in text, (name, old)
        path.write_text(text.replace(old, new), "utf-8")
    return folder


def made(folder: Path, code: str) -> Made:
    kits, found = read_range(folder)
    assert kits is not None, found
    return make(next(kit for kit in kits.kits if kit.code == code))


@cache
def unedited(folder: Path, code: str) -> Made:
    return made(shop(folder / code / "kits", code, {}), code)


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("edits")


def pair(place: Path, row: Mapping[str, Any]) -> Pair:
    """The kit of a row before and after."""
    code, number = row["kit"], ROWS.index(dict(row))
    before, after = unedited(place, code), made(shop(place / str(number) / "kits", code, row["change"]), code)
    return Pair(before, after, consequences(changes(open_made(before), open_made(after)), PACKED))


def differing(before: Made, after: Made) -> set[str]:
    """The files that show something else, but for their head and foot."""
    then, now = dict(shown(before)), dict(shown(after))
    return {file for file in then if now[file] != then[file] and not file.endswith(".csv")}


def shown(made: Made) -> Iterator[tuple[str, str]]:
    """File and a digest of all that a reader sees in it, but for its head and foot."""
    for each in outputs(made):
        yield each.name, content_digest(getattr(each.content, "blocks", each.content))


def test_every_kit_has_every_kind_of_edit() -> None:
    counts = {code: sum(row["kit"] == code for row in ROWS) for code in CODES}
    assert min(counts.values()) >= 8, counts


@pytest.mark.parametrize("row", ROWS, ids=name_of)
def test_an_edit_has_its_consequences(row: dict[str, Any], place: Path) -> None:
    found = pair(place, row)
    means = found.means
    told = {
        "again": {paper.document.split(".")[0] for paper in means.papers if paper.again == "again"},
        "boxes": means.verdict,
        "why": {reason.id for reason in means.reasons},
        "box": sorted(f"{each.quantity:+} {each.item}" for each in means.exchange),
    }
    assert told == {
        "again": set(row["again"]),
        "boxes": row["boxes"],
        "why": set(row.get("why", ())),
        "box": sorted(row.get("box", ())),
    }
    assert sorted((each.item, each.quantity) for each in means.buy) == sorted(
        (each.item, each.quantity * PACKED) for each in means.exchange if each.quantity > 0
    )
    if not any("edition:" in old or "date:" in old for old, _ in row["change"].values()):
        assert again(means) == differing(found.before, found.after) - OF_NO_BOX


def again(means: Consequences) -> set[str]:
    return {paper.file for paper in means.papers if paper.again == "again"}


@pytest.mark.parametrize(
    ("file", "old", "new"),
    [
        ("tarn", "thread: wool-0960", "thread: wool-0770"),
        ("wording-de", "Lesezeichen Bergsee", "Lesezeichen am Bergsee"),
        ("tarn", "corner: 2", "corner: 3"),
    ],
)
def test_every_variant_that_shows_something_else_is_named(
    file: str, old: str, new: str, tmp_path: Path
) -> None:
    """In all languages, editions and papers, and on the screen."""
    both = []
    for name in ("before", "after"):
        shutil.copytree(KITS, tmp_path / name / "kits")
        path = tmp_path / name / "kits" / f"{file}.yaml"
        if name == "after":
            path.write_text(path.read_text("utf-8").replace(old, new), "utf-8")
        both.append(made(tmp_path / name / "kits", "TARN"))
    means = consequences(changes(*map(open_made, both)))
    shop_files = {name for name, _ in shown(both[0]) if name.split(".")[0] in ("proof", "test-sheet")}
    assert {paper.file for paper in means.papers} == {
        name for name, _ in shown(both[0]) if not name.endswith(".csv")
    } - shop_files
    assert again(means) == differing(*both) - shop_files
    assert 0 < len(again(means)) < len(means.papers)


def test_another_first_language_leaves_the_boxes_as_they_are(tmp_path: Path) -> None:
    """Words for units and blanks are others, the things are not: only papers must be printed."""
    both = []
    for name, first, others in (("before", "en", "de"), ("after", "de", "en")):
        folder = shop(tmp_path / name / "kits", "TARN", {})
        shutil.copy(KITS / "wording-de.yaml", folder)
        house = folder / "workshop.yaml"
        told = f"language: {first}\nalso_in: [{others}]"
        house.write_text(house.read_text("utf-8").replace("language: en", told), "utf-8")
        both.append(made(folder, "TARN"))
    means = consequences(changes(*map(open_made, both)))
    assert (means.verdict, means.reasons) == ("ship", ())
    assert {each.item for each in means.exchange} == {"TARN-booklet", "TARN-sheet"}
    told = {paper.file: paper.again for paper in means.papers}
    assert (told["instructions.pdf"], told["instructions.en.pdf"], told["instructions.de.pdf"]) == (
        "again",
        "new",
        "gone",
    )


def test_another_title_of_a_piece_leaves_its_blanks_alone(place: Path) -> None:
    folder = shop(place / "titled" / "kits", "WHIN", {"whin": ("title: Coaster", "title: Mug mat")})
    before, after = unedited(place, "WHIN"), made(folder, "WHIN")
    means = consequences(changes(open_made(before), open_made(after)))
    assert {each.item for each in means.exchange} == {"WHIN-booklet", "WHIN-sheet"}
    assert again(means) == differing(before, after) - OF_NO_BOX


def test_an_edition_that_lists_no_files_can_be_compared(place: Path) -> None:
    """Earlier versions kept the texts of the customer's papers alone: the rest is made again."""
    now = open_made(unedited(place, "TARN"))
    customers = tuple(row for row in now["wording.csv"] if row["document"].startswith(("chart", "instr")))
    then = replace(now, tables={**now.tables, "documents.csv": (), "wording.csv": customers})
    papers = consequences(changes(then, now)).papers
    lists, pictures = (
        {"pick-list.pdf", "cut-list.pdf"},
        {f"{name}.{suffix}" for name in ("finished", "made-up") for suffix in ("svg", "png")},
    )
    facts = {"shop-facts.html"}
    assert {paper.file for paper in papers if paper.again == "again"} == lists | pictures | facts
    assert {paper.again for paper in papers} == {"again", "same"}
