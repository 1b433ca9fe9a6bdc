"""What differs between two editions of a kit, in the things that a workshop handles."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from difflib import SequenceMatcher
from typing import Final

from kitbuild.production.opened import Opened, Row

Ends = tuple[int, int, int, int]

CUSTOMERS: Final = ("chart-booklet", "instructions")
"""Documents that go into the box."""
QUIET_FACTS: Final = ("code", "edition", "language", "paper", "untested", "hours", "packed_weight_g")
"""Facts that are no difference by themselves, or are told elsewhere."""
_WORK: Final = ("piece", "seq", "colour", "up_x", "up_y", "down_x", "down_y")
_FINISH: Final = ("piece", "kind", "edge", "hole", "colour", "stitches")


@dataclass(frozen=True, slots=True)
class Changed:
    """One thing that differs, by its name; `before` or `after` is "" where there is none."""

    name: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class RowChanged:
    """A row of the open data that differs, by its key; None where it is new or gone."""

    key: str
    before: Row | None
    after: Row | None


@dataclass(frozen=True, slots=True)
class StitchesChanged:
    """The stitches of one piece that differ, each by its ends in holes."""

    piece: str
    new: tuple[Ends, ...]
    gone: tuple[Ends, ...]
    recoloured: tuple[Ends, ...]


@dataclass(frozen=True, slots=True)
class TextChanged:
    """A text of the customer's papers that differs; `documents` are those in which it stands."""

    documents: tuple[str, ...]
    language: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class ItemChanged:
    """How many of an item go into one box; `colour` is the palette's, "" for what has none."""

    item: str
    title: str
    colour: str
    unit: str
    before: int
    after: int


@dataclass(frozen=True, slots=True)
class Changes:
    """Everything that differs from `old` to `new`."""

    old: Opened
    new: Opened
    facts: tuple[Changed, ...]
    threads: tuple[RowChanged, ...]
    pieces: tuple[RowChanged, ...]
    stitches: tuple[StitchesChanged, ...]
    order: tuple[str, ...]
    """Pieces that are worked in another order, or finished otherwise."""
    palette: tuple[Changed, ...]
    items: tuple[ItemChanged, ...]
    texts: tuple[TextChanged, ...]
    cautions: tuple[RowChanged, ...]
    bins: tuple[Changed, ...]
    sheets: tuple[Changed, ...]
    costs: tuple[Changed, ...]
    documents: tuple[str, ...]
    """Documents that say something else, the workshop's own lists among them."""

    @property
    def printed(self) -> bool:
        """Whether anything differs that the customer's papers say, or that the box holds."""
        parts = (self.stitches, self.order, self.items, self.texts, self.cautions)
        return any(parts) or self.resized or self.recoloured or self.shown

    @property
    def any(self) -> bool:
        """Whether anything differs at all, but for the number of the edition and its date."""
        told = [fact for fact in self.facts if fact.name != "date"]
        parts = (told, self.threads, self.pieces, self.palette, self.bins, self.sheets, self.costs)
        parts = (*parts, self.documents)
        return self.printed or any(parts)

    @property
    def numbered(self) -> bool:
        """Whether the edition or its date is another: both stand on paper."""
        return any(self.old.facts[fact] != self.new.facts[fact] for fact in ("edition", "date"))

    @property
    def resized(self) -> bool:
        """Whether pieces are of another size, canvas or number."""
        pairs = ((row.before, row.after) for row in self.pieces)
        return any(one is None or two is None or _sizes(one) != _sizes(two) for one, two in pairs)

    @property
    def recoloured(self) -> bool:
        """Whether a colour is worked in another thread, or colours were added or taken out."""
        one, two = (
            {row["colour"]: row["thread"] for row in each["thread.csv"]} for each in (self.old, self.new)
        )
        return one != two

    @property
    def shown(self) -> bool:
        """Whether colours are called otherwise, or drawn with other patches or symbols."""
        return any(not each.name.endswith(("put_up_mm", "thread")) for each in self.palette)


def changes(old: Opened, new: Opened) -> Changes:
    """What differs between two editions of one kit."""
    return Changes(
        old=old,
        new=new,
        facts=_named(old, new, "kit.csv", ("fact",), ("value",), skip=QUIET_FACTS),
        threads=tuple(_rows(old, new, "thread.csv", ("colour",), _THREAD)),
        pieces=tuple(_rows(old, new, "pieces.csv", ("piece",), _PIECE)),
        stitches=tuple(_stitches(old, new)),
        order=tuple(_order(old, new)),
        palette=_named(old, new, "palette.csv", ("colour",), _PALETTE),
        items=tuple(_items(old, new)),
        texts=tuple(_texts(old, new)),
        cautions=tuple(_rows(old, new, "cautions.csv", ("note", "language"), ("severity", "text"))),
        bins=_named(old, new, "pick-list.csv", ("item",), ("bin",), both=True),
        sheets=tuple(_sheets(old, new)),
        costs=_named(old, new, "cost.csv", ("what", "item", "colour", "piece"), ("amount",)),
        documents=tuple(_documents(old, new)),
    )


_PALETTE: Final = ("name", "rgb", "symbol", "thread", "put_up_mm")
_THREAD: Final = ("thread", "needleful_mm", "needlefuls", "spare_needlefuls", "put_ups", "packed")
_PIECE: Final = (
    "copies",
    "canvas",
    "columns",
    "rows",
    "cover",
    "blank_columns",
    "blank_rows",
    "blank_width_mm",
    "blank_height_mm",
    "finished_width_mm",
    "finished_height_mm",
)


def _sizes(row: Row) -> list[str]:
    names = ("copies", "canvas", "columns", "rows", "cover", "blank_columns", "blank_rows")
    return [row[name] for name in names]


def _rows(
    old: Opened, new: Opened, file: str, keys: tuple[str, ...], compared: tuple[str, ...]
) -> Iterator[RowChanged]:
    """Rows that are new, gone, or differ in a compared column, in the order of the later edition."""
    before, after = old.by(file, *keys), new.by(file, *keys)
    for key in dict.fromkeys((*after, *before)):
        one, other = before.get(key), after.get(key)
        if one is None or other is None or any(one[name] != other[name] for name in compared):
            yield RowChanged(" ".join(key), one, other)


def _named(
    old: Opened,
    new: Opened,
    file: str,
    keys: tuple[str, ...],
    compared: tuple[str, ...],
    *,
    skip: tuple[str, ...] = (),
    both: bool = False,
) -> tuple[Changed, ...]:
    """Each value that differs; `both` leaves out what one of the editions does not have."""
    found = []
    for row in _rows(old, new, file, keys, compared):
        if row.key in skip or (both and None in (row.before, row.after)):
            continue
        for name in compared:
            before, after = (each[name] if each else "" for each in (row.before, row.after))
            if before != after:
                told = " ".join(row.key.split()) if len(compared) == 1 else f"{row.key} {name}"
                found.append(Changed(told, before, after))
    return tuple(found)


def _stitches(old: Opened, new: Opened) -> Iterator[StitchesChanged]:
    before, after = _by_piece(old), _by_piece(new)
    for piece in dict.fromkeys((*after, *before)):
        one, other = before.get(piece, {}), after.get(piece, {})
        found = StitchesChanged(
            piece,
            tuple(ends for ends in other if ends not in one),
            tuple(ends for ends in one if ends not in other),
            tuple(ends for ends in other if ends in one and one[ends] != other[ends]),
        )
        if found.new or found.gone or found.recoloured:
            yield found


def _by_piece(edition: Opened) -> dict[str, dict[Ends, str]]:
    """Colour of each stitch of each piece."""
    found: dict[str, dict[Ends, str]] = {}
    for row in edition["stitches.csv"]:
        ends = (int(row["x1"]), int(row["y1"]), int(row["x2"]), int(row["y2"]))
        found.setdefault(row["piece"], {})[ends] = row["colour"]
    return found


def _order(old: Opened, new: Opened) -> Iterator[str]:
    """Pieces that the needle goes through otherwise, with one hand or the other, or that are finished so."""
    files = (("work-order.csv", _WORK), ("work-order-left.csv", _WORK), ("finishing.csv", _FINISH))
    walks = [(_walks(old, file, names), _walks(new, file, names)) for file, names in files]
    pieces = dict.fromkeys(piece for one, other in walks for piece in (*other, *one))
    for piece in pieces:
        if any(one.get(piece) != other.get(piece) for one, other in walks):
            yield piece


def _walks(edition: Opened, file: str, names: tuple[str, ...]) -> dict[str, list[tuple[str, ...]]]:
    found: dict[str, list[tuple[str, ...]]] = {}
    for row in edition[file]:
        found.setdefault(row["piece"], []).append(tuple(row[name] for name in names))
    return found


def _items(old: Opened, new: Opened) -> Iterator[ItemChanged]:
    """What goes into a box in another number, or in another unit; printed matter is not among it.

    Units can be told apart where both editions name them in one language.
    """
    told = old.facts["language"] == new.facts["language"]
    before, after = _counted(old, told=told), _counted(new, told=told)
    for key in dict.fromkeys((*after, *before)):
        one, other = before.get(key), after.get(key)
        if (one and one[0]) != (other and other[0]):
            _, title, unit = other or one or (0, "", "")
            counts = (each[0] if each else 0 for each in (one, other))
            yield ItemChanged(key[0], title, key[1], unit, *counts)


def _counted(edition: Opened, *, told: bool) -> dict[tuple[str, str, str], tuple[int, str, str]]:
    """Quantity, description and unit of each item and colour, and of each unit where that is `told`."""
    found: dict[tuple[str, str, str], tuple[int, str, str]] = {}
    printed = {f"{edition.code}-{kind}" for kind in ("booklet", "sheet")}
    blanks = {row["canvas"] for row in edition["pieces.csv"]}
    for row in edition["pick-list.csv"]:
        if row["item"] not in printed and row["item"] not in blanks:
            key = (row["item"], row["colour"], row["unit"] if told else "")
            before, title, unit = found.get(key, (0, row["description"], row["unit"]))
            found[key] = (before + int(row["quantity"]), title, unit)
    return found


def _texts(old: Opened, new: Opened) -> Iterator[TextChanged]:
    """Texts for customers that differ, each told once in its language with all documents in which it does."""
    found: dict[tuple[str, str, str], list[str]] = {}
    before, after = _by_document(old), _by_document(new)
    for document in dict.fromkeys((*after, *before)):
        if _comparable(before.get(document), after.get(document)) and document.split(".")[0] in CUSTOMERS:
            language, texts = after[document]
            for one, other in _pairs(before[document][1], texts):
                found.setdefault((language, one, other), []).append(document)
    for (language, one, other), documents in found.items():
        yield TextChanged(tuple(dict.fromkeys(documents)), language, one, other)


def _comparable(one: tuple[str, list[str]] | None, other: tuple[str, list[str]] | None) -> bool:
    """Whether a document is there before and after in one language, so that its texts can be compared."""
    return one is not None and other is not None and one[0] == other[0]


def _documents(old: Opened, new: Opened) -> Iterator[str]:
    """Documents of both editions whose texts are not the same."""
    before, after = _by_document(old), _by_document(new)
    yield from (each for each in after if each in before and after[each] != before[each])


def _by_document(edition: Opened) -> dict[str, tuple[str, list[str]]]:
    """Language and texts of each document."""
    found: dict[str, tuple[str, list[str]]] = {}
    for row in edition["wording.csv"]:
        found.setdefault(row["document"], (row["language"], []))[1].append(row["text"])
    return found


def _pairs(old: list[str], new: list[str]) -> Iterator[tuple[str, str]]:
    """Texts that differ, side by side; those that were taken out or put in stand alone."""
    for kind, a, b, c, d in SequenceMatcher(None, old, new, autojunk=False).get_opcodes():
        if kind != "equal":
            for at in range(max(b - a, d - c)):
                yield (
                    old[a + at] if a + at < b else "",
                    new[c + at] if c + at < d else "",
                )


def _sheets(old: Opened, new: Opened) -> Iterator[Changed]:
    """How many sheets of each stock a box takes, where that differs."""
    before, after = (Counter(stock for stock, _ in _laid(each)) for each in (old, new))
    for stock in dict.fromkeys((*after, *before)):
        if before[stock] != after[stock]:
            yield Changed(stock, str(before[stock]), str(after[stock]))


def _laid(edition: Opened) -> set[tuple[str, str]]:
    return {(row["stock"], row["sheet"]) for row in edition["cut-list.csv"]}
