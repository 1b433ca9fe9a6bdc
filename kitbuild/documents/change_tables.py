"""Every difference between two editions, as tables: thread, canvas, stitches, colours, words, cost."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from typing import Final

from kitbuild.base.blocks import Block, Heading, Paragraph, Table
from kitbuild.base.document import Sheet
from kitbuild.documents.change_picture import change_picture
from kitbuild.documents.unit_words import listed_unit
from kitbuild.documents.wording import Wording
from kitbuild.production.changes import Changed, Changes, RowChanged, TextChanged
from kitbuild.production.opened import Opened, Row, piece_title

Three = tuple[str, str, str]
_PICTURE_MM: Final = 120.0
MOST_FURTHER: Final = 12
"""A change of the work changes many texts, in every language alike: one of them is enough to read."""
_SUMS: Final = ("price", "tax", "fee", "royalty", "margin")


def change_blocks(say: Wording, found: Changes, sheet: Sheet) -> Iterator[Block]:
    """All that differs, one heading and table for each kind of thing; nothing for what is the same."""
    parts: tuple[tuple[str, Sequence[Three]], ...] = (
        ("threads", [_thread(say, found, row) for row in found.threads]),
        ("pieces", list(_pieces(say, found))),
    )
    for id, rows in parts:
        yield from _section(say, found, id, rows)
    yield from _stitches(say, found, sheet)
    later: tuple[tuple[str, Sequence[Three]], ...] = (
        ("palette", [_palette(say, each) for each in found.palette]),
        ("items", [(each.title, *_counts(each.unit, each.before, each.after)) for each in found.items]),
        ("cautions", [_caution(say, row) for row in found.cautions]),
        ("texts", [(", ".join(each.documents), each.before, each.after) for each in _told(found)]),
        ("costs", [_cost(say, found, each) for each in found.costs]),
        ("sheets", [(each.name, each.before, each.after) for each in found.sheets]),
        ("bins", [(each.name, each.before, each.after) for each in found.bins]),
        ("facts", [(say(f"edition.fact.{each.name}"), each.before, each.after) for each in found.facts]),
    )
    for id, rows in later:
        yield from _section(say, found, id, rows)
        if id == "texts":
            for language, count in _further(found).items():
                yield Paragraph(say("edition.texts.further", language=language, count=count))


def _further(found: Changes) -> Counter[str]:
    """Languages beside the first in which too many texts differ to be told, with how many there are."""
    counts = Counter(text.language for text in found.texts)
    del counts[found.new.facts["language"]]
    return Counter({language: count for language, count in counts.items() if count > MOST_FURTHER})


def _told(found: Changes) -> Iterator[TextChanged]:
    """The texts that the sheet lists: all of the first language, those of others where they are few."""
    further = _further(found)
    return (text for text in found.texts if text.language not in further)


def _section(say: Wording, found: Changes, id: str, rows: Sequence[Three]) -> Iterator[Block]:
    if not rows:
        return
    yield Heading(2, say(f"edition.{id}.heading"))
    none = say("edition.none")
    filled = tuple((what, before or none, after or none) for what, before, after in rows)
    yield Table((say("edition.what"), *_editions(say, found)), filled, (0.24, 0.38, 0.38), "lll")


def _editions(say: Wording, found: Changes) -> tuple[str, str]:
    """What stands over the two sides: their editions, or before and now where both have one number."""
    old, new = found.old.edition, found.new.edition
    if old == new:
        return say("edition.before.same"), say("edition.after.same")
    return say("edition.before", old=old), say("edition.after", new=new)


def _counts(unit: str, before: int, after: int) -> tuple[str, str]:
    return (f"{before} × {unit}" if before else "", f"{after} × {unit}" if after else "")


def _thread(say: Wording, found: Changes, row: RowChanged) -> Three:
    """Needlefuls, spare and what is packed of one colour."""
    name = next(
        each["name"]
        for edition in (found.new, found.old)
        for each in edition["palette.csv"]
        if each["colour"] == row.key
    )
    return name, _has(say, found.old, row.before), _has(say, found.new, row.after)


def _has(say: Wording, edition: Opened, row: Row | None) -> str:
    if row is None:
        return ""
    pick = edition.by("pick-list.csv", "item", "colour").get((row["thread"], row["colour"]), {})
    quantity = int(pick.get("quantity", row["put_ups"]))
    return say(
        "edition.threads.has",
        thread=row["thread"],
        needlefuls=int(row["needlefuls"]),
        needleful_mm=float(row["needleful_mm"]),
        spare=int(row["spare_needlefuls"]),
        counted=listed_unit(say, pick.get("unit", "")).counted(say, quantity),
    )


def _pieces(say: Wording, found: Changes) -> Iterator[Three]:
    """Copies, canvas and sizes of each piece, those that differ."""
    told: tuple[tuple[str, Callable[[Row], str]], ...] = (
        ("copies", lambda row: row["copies"]),
        ("canvas", lambda row: row["canvas"]),
        ("stitched", lambda row: say("size.holes", columns=row["columns"], rows=row["rows"])),
        ("blank", lambda row: _blank(say, row)),
        ("finished", lambda row: _sized(say, row, "finished")),
        ("cover", lambda row: row["cover"]),
    )
    for piece in found.pieces:
        title = piece_title(piece.key, found.new, found.old)
        for id, text in told:
            before, after = (text(row) if row else "" for row in (piece.before, piece.after))
            if before != after:
                yield say(f"edition.pieces.{id}", piece=title), before, after


def _blank(say: Wording, row: Row) -> str:
    counted = int(row["blank_columns"]) > 0
    holes = say("size.holes", columns=row["blank_columns"], rows=row["blank_rows"]) if counted else ""
    return ", ".join(filter(None, (holes, _sized(say, row, "blank"))))


def _sized(say: Wording, row: Row, name: str) -> str:
    return say("size.lengths", width=float(row[f"{name}_width_mm"]), height=float(row[f"{name}_height_mm"]))


def _stitches(say: Wording, found: Changes, sheet: Sheet) -> Iterator[Block]:
    """How many stitches differ, with a picture of each piece; and what is worked in another order."""
    if not (found.stitches or found.order):
        return
    yield Heading(2, say("edition.stitches.heading"))
    for each in found.stitches:
        counts = {name: len(getattr(each, name)) for name in ("new", "gone", "recoloured")}
        yield Paragraph(
            say("edition.stitches.text", piece=piece_title(each.piece, found.new, found.old), **counts)
        )
        if picture := change_picture(say, found.new, each, sheet.frame_width_mm, _PICTURE_MM):
            yield picture
    for piece in found.order:
        yield Paragraph(say("edition.order.text", piece=piece_title(piece, found.new, found.old)))


def _palette(say: Wording, each: Changed) -> Three:
    colour, _, name = each.name.rpartition(" ")
    return say(f"edition.palette.{name}", colour=colour), each.before, each.after


def _caution(say: Wording, row: RowChanged) -> Three:
    """A note as it was and as it is, each with its signal word."""
    texts = tuple(_signed(say, each) if each else "" for each in (row.before, row.after))
    language = (row.after or row.before or {"language": ""})["language"]
    return language, texts[0], texts[1]


def _cost(say: Wording, found: Changes, each: Changed) -> Three:
    what, _, rest = each.name.partition(" ")
    name = say(f"edition.cost.{what}") if what in _SUMS else rest
    if what in ("packing", "total"):
        name = say(f"proof.cost.{what}")
    before, after = (
        f"{amount} {edition.facts['currency']}" if amount else ""
        for amount, edition in ((each.before, found.old), (each.after, found.new))
    )
    return name, before, after


def _signed(say: Wording, row: Row) -> str:
    severity = row["severity"]
    return f"{say(f'signal.{severity}')}: {row['text']}"
