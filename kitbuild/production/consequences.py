"""What a change means: which papers to print again, what becomes of packed boxes, what to buy."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Final, Literal

from kitbuild.production.changes import Changes
from kitbuild.production.opened import Opened, Row
from kitbuild.production.papers import Paper, papers

Verdict = Literal["open", "papers", "note", "ship"]
SIGNED: Final = ("warning", "caution")
"""Notes that must reach whoever opens the box."""
_Cut = tuple[str, ...]
_CUT: Final = ("canvas", "blank_columns", "blank_rows", "blank_width_mm", "blank_height_mm")
ORDER: Final[tuple[Verdict, ...]] = ("open", "papers", "note", "ship")


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
    printed = tuple(papers(found))
    exchange = tuple(_exchange(found, {paper.document for paper in printed if paper.again == "again"}))
    times = 1 if packed is None else packed
    buy = tuple(
        Exchange(each.item, each.title, each.unit, each.quantity * times)
        for each in exchange
        if each.quantity * times > 0
    )
    verdict: Verdict = reasons[0].verdict if reasons else "ship"
    return Consequences(printed, verdict, reasons, exchange, buy, packed)


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
    """Cautions with a signal word that are new or say something else, each in one language."""
    first = found.new.facts["language"]
    signed = [row.after for row in found.cautions if row.after and row.after["severity"] in SIGNED]
    told = {row["note"] for row in signed if row["language"] == first}
    for row in signed:
        if row["language"] == first or row["note"] not in told:
            yield Reason("caution", "open", {"text": row["text"]})


def _exchange(found: Changes, again: Collection[str]) -> Iterator[Exchange]:
    """What to put into a packed box and what to take out, for it to be one of the new edition.

    `again` are the documents that say or show something else.
    """
    for item in found.items:
        yield Exchange(item.item, item.title, item.unit, item.after - item.before)
    yield from _exchanged_blanks(_blanks(found.old), _blanks(found.new))
    named = {"instructions": "sheet", "chart-booklet": "booklet"}
    for document, item in named.items():
        if document in again:
            code = f"{found.new.code}-{item}"
            row = found.new.by("pick-list.csv", "item").get((code,))
            if row:
                yield Exchange(code, row["description"], row["unit"], 1)


def _exchanged_blanks(old: Mapping[_Cut, Exchange], new: Mapping[_Cut, Exchange]) -> Iterator[Exchange]:
    """Blanks of another canvas, size or number: those of today, less those in the box."""
    for key in dict.fromkeys((*new, *old)):
        quantity = sum(sign * blanks[key].quantity for sign, blanks in ((1, new), (-1, old)) if key in blanks)
        if quantity:
            yield replace(new.get(key) or old[key], quantity=quantity)


def _blanks(edition: Opened) -> dict[_Cut, Exchange]:
    """How many blanks one box holds, by what they are cut from and to; each as the pick list calls it."""
    found: dict[_Cut, Exchange] = {}
    lines: dict[str, list[Row]] = {}
    for row in edition["pick-list.csv"]:
        lines.setdefault(row["item"], []).append(row)
    for piece in edition["pieces.csv"]:
        canvas, key = piece["canvas"], tuple(piece[name] for name in _CUT)
        called = lines[canvas].pop(0) if lines.get(canvas) else {"description": canvas, "unit": ""}
        quantity = int(piece["copies"]) + (found[key].quantity if key in found else 0)
        found[key] = Exchange(canvas, called["description"], called["unit"], quantity)
    return found
