"""What a change means: which papers to print again, what becomes of packed boxes, what to buy."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Final, Literal

from kitbuild.production.changes import Changes
from kitbuild.production.opened import READ, Opened, Row

Again = Literal["again", "edition", "same"]
Verdict = Literal["open", "papers", "note", "ship"]
SIGNED: Final = ("warning", "caution")
"""Notes that must reach whoever opens the box."""
ORDER: Final[tuple[Verdict, ...]] = ("open", "papers", "note", "ship")
_DRAWN: Final = ("stitches.csv", "palette.csv")
_ORDERED: Final = ("finishing.csv", "pieces.csv")


@dataclass(frozen=True, slots=True)
class Paper:
    """A document: `again` where it says something else, `edition` where only edition and date are others."""

    document: str
    again: Again


@dataclass(frozen=True, slots=True)
class Reason:
    """Why packed boxes are touched: a sentence of the catalogue (`change.box.<id>`) with its values."""

    id: str
    verdict: Verdict
    values: dict[str, object] = field(default_factory=dict, hash=False)


@dataclass(frozen=True, slots=True)
class Exchange:
    """So many of an item are to be put into a packed box, or taken out of it (below 0)."""

    item: str
    title: str
    unit: str
    quantity: int


@dataclass(frozen=True, slots=True)
class Consequences:
    """What changes mean. `exchange` makes a packed box one of the new edition; `buy` is for all of them."""

    papers: tuple[Paper, ...]
    verdict: Verdict
    reasons: tuple[Reason, ...]
    exchange: tuple[Exchange, ...]
    buy: tuple[Exchange, ...]
    packed: int | None


def consequences(found: Changes, packed: int | None = None) -> Consequences:
    """What follows for papers, packed boxes (so many of them, None where nobody said) and stock."""
    reasons = tuple(sorted(_reasons(found), key=lambda reason: ORDER.index(reason.verdict)))
    exchange = tuple(_exchange(found))
    times = 1 if packed is None else packed
    buy = tuple(
        Exchange(each.item, each.title, each.unit, each.quantity * times)
        for each in exchange
        if each.quantity * times > 0
    )
    verdict: Verdict = reasons[0].verdict if reasons else "ship"
    return Consequences(tuple(_papers(found)), verdict, reasons, exchange, buy, packed)


def _papers(found: Changes) -> Iterator[Paper]:
    """Every document of the customer's, and the workshop's own lists."""
    rest: Again = "edition" if found.numbered else "same"
    named = dict.fromkeys(row["document"] for each in (found.new, found.old) for row in each["wording.csv"])
    texts = {document for text in found.texts for document in text.documents}
    gone = {row["document"] for row in found.old["wording.csv"]} - {
        row["document"] for row in found.new["wording.csv"]
    }
    for document in named:
        if document not in gone:
            otherwise = document in texts or _drawn_otherwise(found, document) or _is_new(found, document)
            yield Paper(document, "again" if otherwise else rest)
    for document in ("pick-list", "cut-list"):
        old, new = (_listed(each, document) for each in (found.old, found.new))
        names_edition = document == "pick-list" and found.numbered
        yield Paper(document, "again" if old != new or names_edition else rest)


def _is_new(found: Changes, document: str) -> bool:
    return all(row["document"] != document for row in found.old["wording.csv"])


def _drawn_otherwise(found: Changes, document: str) -> bool:
    """Whether the drawings of a document are others."""
    old, new = found.old, found.new
    files = list(_DRAWN)
    if document.startswith("instructions"):
        left = "left" in document.split(".")
        files += [*_ORDERED, "work-order-left.csv" if left else "work-order.csv"]
    return any(_drawn(old, file) != _drawn(new, file) for file in files)


def _drawn(edition: Opened, file: str) -> list[tuple[str, ...]]:
    """What of a file shows in drawings: no lengths of thread, and no put-ups."""
    hidden = ("_mm", "put_up", "title")
    names = [name for name in READ[file].split(",") if not name.endswith(hidden)]
    return [tuple(row[name] for name in names) for row in edition[file]]


def _listed(edition: Opened, document: str) -> list[tuple[str, ...]]:
    """The lines of a list of the workshop's, without the edition; printed matter is described with it."""
    printed = {f"{edition.code}-{kind}" for kind in ("booklet", "sheet")}
    file = f"{document}.csv"
    return [
        tuple(
            row[name] for name in READ[file].split(",") if name != "description" or row["item"] not in printed
        )
        for row in edition[file]
    ]


def _reasons(found: Changes) -> Iterator[Reason]:
    """Every reason why packed boxes are touched."""
    otherwise = bool(found.stitches or found.order or found.resized or found.recoloured)
    if not otherwise:
        yield from _short(found)
    yield from _signed(found)
    for item in found.items:
        if not item.colour and item.after > item.before:
            values = {"title": item.title, "count": item.after - item.before, "unit": item.unit}
            yield Reason("lacks", "open", values)
        if not otherwise and item.after < item.before:
            values = {"title": item.title, "count": item.before - item.after, "unit": item.unit}
            yield Reason("over", "ship", values)
    if found.stitches or found.order or found.resized:
        yield Reason("worked", "papers")
    elif found.recoloured:
        yield Reason("coloured", "papers")
    if found.texts and not otherwise:
        yield Reason("wording", "note")
    elif found.shown and not otherwise:
        yield Reason("shown", "note")


def _short(found: Changes) -> Iterator[Reason]:
    """Colours of which a packed box holds less than is now known to be needed for the same work."""
    old = found.old.by("thread.csv", "colour")
    names = {row["colour"]: row["name"] for row in found.new["palette.csv"]}
    for row in found.new["thread.csv"]:
        before, needs = old[(row["colour"],)], int(row["needlefuls"])
        holds, spare = held(before, row), int(row["spare_needlefuls"])
        values = {"colour": names.get(row["colour"], row["colour"]), "holds": holds, "needs": needs}
        if holds < needs:
            yield Reason("short", "open", values | {"add": _to_add(before, row), "unit": _unit(found, row)})
        elif holds < needs + spare and holds < held(row, row):
            yield Reason("spare", "ship", values | {"spare": spare, "left": holds - needs})


def held(box: Row, now: Row) -> int:
    """Needlefuls of today's length in a packed box; put-ups are what their thread is said to be today."""
    if box["packed"] == "put-ups":
        return int(box["put_ups"]) * int(now["needlefuls_in_put_up"])
    cut = int(box["needlefuls"]) + int(box["spare_needlefuls"])
    return cut if float(box["needleful_mm"]) >= float(now["needleful_mm"]) else 0


def _to_add(box: Row, now: Row) -> int:
    """Units to add to a box that is short, so that it holds what is packed today."""
    lacking = int(now["needlefuls"]) + int(now["spare_needlefuls"]) - held(box, now)
    if now["packed"] == "needlefuls":
        return lacking
    return -(-lacking // max(int(now["needlefuls_in_put_up"]), 1))


def _unit(found: Changes, row: Row) -> str:
    """What the thread of a colour is counted in, as the pick list says it."""
    picks = found.new.by("pick-list.csv", "item", "colour")
    return picks[(row["thread"], row["colour"])]["unit"]


def _signed(found: Changes) -> Iterator[Reason]:
    """Cautions with a signal word that are new or say something else, in the first language."""
    language = found.new.facts["language"]
    for row in found.cautions:
        now = row.after
        if now and now["language"] == language and now["severity"] in SIGNED:
            yield Reason("caution", "open", {"text": now["text"]})


def _exchange(found: Changes) -> Iterator[Exchange]:
    """What to put into a packed box and what to take out, for it to be one of the new edition."""
    for item in found.items:
        yield Exchange(item.item, item.title, item.unit, item.after - item.before)
    old, new = _blanks(found.old), _blanks(found.new)
    for key in dict.fromkeys((*new, *old)):
        if old[key] != new[key]:
            canvas, title, unit = key
            yield Exchange(canvas, title, unit, new[key] - old[key])
    named = {"instructions": "sheet", "chart-booklet": "booklet"}
    again = [paper.document for paper in _papers(found) if paper.again == "again"]
    for document, item in named.items():
        if document in again:
            code = f"{found.new.code}-{item}"
            row = found.new.by("pick-list.csv", "item").get((code,))
            if row:
                yield Exchange(code, row["description"], row["unit"], 1)


def _blanks(edition: Opened) -> Counter[tuple[str, str, str]]:
    """How many blanks of each canvas, as their description says what they are cut to, one box holds."""
    canvases = {row["canvas"] for row in edition["pieces.csv"]}
    found: Counter[tuple[str, str, str]] = Counter()
    for row in edition["pick-list.csv"]:
        if row["item"] in canvases:
            found[(row["item"], row["description"], row["unit"])] += int(row["quantity"])
    return found
