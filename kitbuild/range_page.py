"""The page of the range and one of each kit, beside the kits' folders: made from what was built."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Final

from kitbuild.base.cards import Card, FileGroup, Measure
from kitbuild.base.units import metric_text, money_minor
from kitbuild.documents.wording import Wording, languages, wording
from kitbuild.output.files import replace_file
from kitbuild.output.html_range import render_kit, render_range
from kitbuild.spec.house import House
from kitbuild.stamp import MANIFEST

INDEX: Final = "index.html"
WORDS: Final = (
    *("title", "skip", "table", "caption", "kits", "kit", "name", "edition", "size", "hours", "cost"),
    *("price", "margin", "warnings", "read", "files", "document", "back"),
)


def write_pages(out: Path, codes: Iterable[str], house: House) -> tuple[str, ...]:
    """Write the pages of those kits that are built in `out`; the names of all of them.

    WriteProblem where one cannot be written; a page that says the same stays as it is.
    """
    say = _speaking(house)
    words = {name: say(f"range.{name}", shop=house.name) for name in WORDS}
    cards = [card for code in sorted(codes) if (card := _card(out / code, say))]
    names = {INDEX}
    for card in cards:
        names.add(_written(page_of(out, card.code), render_kit(card, words, say.language)))
    _written(out / INDEX, render_range(cards, words, say.language))
    return tuple(sorted(names))


def _written(path: Path, content: bytes) -> str:
    """The name of a page that is written where it says something else than before."""
    if not _holds(path, content):
        replace_file(path, content)
    return path.name


def page_of(out: Path, code: str) -> Path:
    """Where the page of one kit stands."""
    return out / f"{code}.html"


def _speaking(house: House) -> Wording:
    """The catalogue of the workshop's first language; English where it has none."""
    language = house.language if house.language in languages() else "en"
    return wording(language, next((each for each in house.words if each.language == language), None))


def _holds(path: Path, content: bytes) -> bool:
    try:
        return path.read_bytes() == content
    except OSError:
        return False


def _card(folder: Path, say: Wording) -> Card | None:
    """A kit as its folder tells it; None where it was not built."""
    try:
        manifest = json.loads((folder / MANIFEST).read_bytes())
        facts = {row["fact"]: row["value"] for row in _rows(folder / "kit.csv")}
        costs = {row["what"]: row for row in _rows(folder / "cost.csv")}
        pieces = list(_rows(folder / "pieces.csv"))
        files = sorted(manifest["outputs"])
        return _made(manifest, facts, costs, pieces, files, say)
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return None


def _made(
    manifest: Mapping[str, object],
    facts: Mapping[str, str],
    costs: Mapping[str, Mapping[str, str]],
    pieces: list[Mapping[str, str]],
    files: list[str],
    say: Wording,
) -> Card:
    title, hours = say.own(facts["title"]), float(facts["hours"])
    return Card(
        code=facts["code"],
        title=title,
        edition=Measure(facts["edition"], float(facts["edition"])),
        sizes=tuple(_size(piece, say) for piece in pieces),
        hours=Measure(say("range.hours_text", hours=hours), hours),
        cost=_money(costs["total"], say),
        price=_money(costs["price"], say),
        margin=_money(costs["margin"], say),
        warnings=tuple(str(each) for each in manifest["warnings"]),  # type: ignore[attr-defined]
        pictures=tuple(_pictures(files, title, say)),
        screens=tuple(_screens(files, say)),
        groups=tuple(_groups(files)),
    )


def _pictures(files: Iterable[str], title: str, say: Wording) -> Iterator[tuple[str, str]]:
    """The made-up picture before the flat one, each with its words."""
    found = set(files)
    for name, words in (
        ("made-up.svg", say("range.made_up", title=title)),
        ("finished.svg", say("range.picture", title=title)),
    ):
        if name in found:
            yield name, words


def _size(piece: Mapping[str, str], say: Wording) -> str:
    wide, high = (metric_text(float(piece[f"finished_{side}_mm"])) for side in ("width", "height"))
    return say(
        "range.size_text", piece=say.own(piece["title"]), copies=int(piece["copies"]), width=wide, height=high
    )


def _money(row: Mapping[str, str], say: Wording) -> Measure:
    """An amount of cost.csv, which may be below nothing."""
    amount, currency = row["amount"], row["currency"]
    minor = money_minor(amount.lstrip("-"), currency) * (-1 if amount.startswith("-") else 1)
    return Measure(say("range.money", minor=minor, currency=currency), float(amount))


def _screens(files: Iterable[str], say: Wording) -> Iterator[tuple[str, str]]:
    """The documents to be read on a screen: the words that lead there, and the file."""
    for file in sorted(files, key=lambda each: each.split(".")[:-1]):  # the plain name first
        name, *variant = file.split(".")
        if variant[-1:] == ["html"]:
            yield " ".join([say(f"range.file.{name}"), *variant[:-1]]), file


def _groups(files: Iterable[str]) -> Iterator[FileGroup]:
    """All files by the document or list that they belong to, each told by the rest of its name."""
    groups: dict[str, list[tuple[str, str]]] = {}
    for file in files:
        name, *variant = file.split(".")
        groups.setdefault(name, []).append((" ".join(variant), file))
    for name, rows in groups.items():
        yield FileGroup(name, tuple(rows))


def _rows(path: Path) -> Iterator[dict[str, str]]:
    return csv.DictReader(io.StringIO(path.read_bytes().decode("utf-8"), newline=""))
