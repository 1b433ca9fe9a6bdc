"""A reader of one kit's open outputs that knows nothing of the program: only the files and the contract.

`check(files, settings)` returns every broken promise as a sentence; an empty list is a kit that keeps them.
"""

from __future__ import annotations

import csv
import hashlib
import io
import json
import math
import re
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from decimal import ROUND_FLOOR, Decimal
from itertools import groupby, pairwise

Row = dict[str, str]
Files = Mapping[str, bytes]
Span = tuple[int, int]
Link = tuple[int, int, bool]
"""The bar from hole (x, y) to the next: below it, or to the right when true."""

COLUMNS = {
    "pieces.csv": "piece,copies,canvas,columns,rows,pitch_mm,cover",
    "stitches.csv": "piece,x1,y1,x2,y2,colour,row",
    "work-order.csv": "piece,seq,row,colour,start,up_x,up_y,down_x,down_y,front_mm,back_mm,pass_mm,used_mm,"
    "needleful",
    "finishing.csv": "piece,kind,edge,hole,colour,stitches,mm",
    "thread.csv": "colour,thread,stitches,stitch_mm,finish_mm,tails_mm,needleful_mm,needlefuls,"
    "spare_needlefuls,put_ups",
    "pick-list.csv": "line,bin,item,description,colour,lot,per_kit,quantity,unit,run,kit,edition",
    "cut-list.csv": "sheet,canvas,stock,sheet_width,sheet_height,kit,piece,x,y,width,height,turned,width_mm,"
    "height_mm",
}
COLUMNS["work-order-left.csv"] = COLUMNS["work-order.csv"]
COVER = "x1,y1,x2,y2"
EDGES = ("top", "right", "bottom", "left")
ORDERS = ("work-order.csv", "work-order-left.csv")
PRINTED = (
    "chart-booklet.pdf",
    "instructions.pdf",
    "pick-list.pdf",
    "cut-list.pdf",
    "proof.pdf",
    "test-sheet.pdf",
)
SHOWN = ("chart-booklet.html", "instructions.html", "shop-facts.html")
PICTURES = tuple(
    (f"{name}.{kind}", start)
    for name in ("finished", "made-up")
    for kind, start in (("svg", b"<svg "), ("png", b"\x89PNG"))
)
VARIANT = re.compile(
    r"(chart-booklet|instructions)(\.[a-z]{2})?(\.left)?(\.large)?(\.mono)?(\.letter)?(\.imposed)?\.pdf"
    r"|[a-z-]+(\.letter)?\.pdf"
)
_TEXT = "piece canvas cover colour kind edge thread bin item description lot unit run kit stock turned packed"
_TEXT += " title"
TEXT = frozenset(_TEXT.split(" "))


@dataclass(frozen=True)
class ThreadOf:
    """How a thread is sold and how many strands are worked with."""

    put_up_mm: Decimal
    plies: int = 1
    strands: int = 1


@dataclass(frozen=True)
class CanvasOf:
    """What a blank loses at a cut, and the bar that closes it."""

    kerf: int
    bar_mm: Decimal


@dataclass(frozen=True)
class PieceOf:
    """How a piece is finished, with the bare holes at each side of its blank, and what covers it.

    `finish` is flat, sleeve, cushion, box, framed or ornament; `edges` are those of a box that are overcast.
    `cover` is columns, four-way, or drawn where its stitches alone say it. `outline` is the first and last
    hole row of each column, (0, 0) for a bare one; `shape` (round or heart) leaves it to the cover's file.
    `drawn` are the stitches of charted work. A stitch within a chain crosses one of `overs` bars; with
    `lengthen` no chain ends on one bar where it has two stitches. `mirrored` work is alike left and right.
    """

    finish: str
    corner: int = 0
    overlap: int = 0
    kept: int = 0
    bare_columns: int = 0
    bare_rows: int = 0
    may_turn: bool = False
    edges: tuple[str, ...] = ()
    cover: str = "columns"
    outline: tuple[Span, ...] = ()
    shape: str = ""
    drawn: tuple[tuple[int, int, int, int, str], ...] = ()
    overs: frozenset[int] = frozenset()
    lengthen: bool = False
    mirrored: bool = False


@dataclass(frozen=True)
class JoinOf:
    """Two edges, each "piece edge", sewn together so many times in a kit."""

    one: str
    other: str
    times: int
    colour: str


@dataclass(frozen=True)
class Settings:
    """What the folder itself does not say. Lengths in mm."""

    code: str
    edition: int
    needleful: Decimal
    tail: Decimal
    run_under: Decimal
    held: Decimal
    spare: Decimal
    threads: Mapping[str, ThreadOf]
    canvases: Mapping[str, CanvasOf]
    pieces: Mapping[str, PieceOf]
    longest_run: Decimal
    joins: tuple[JoinOf, ...] = ()
    inputs: tuple[str, ...] = ()
    """Files of kits/ that the kit was made from."""
    tested: frozenset[str] = frozenset()
    """The colours whose passes carry the scale of a test stitch."""


@dataclass
class Kit:
    """The tables of one kit by file name."""

    tables: dict[str, list[Row]] = field(default_factory=dict)

    def __getitem__(self, name: str) -> list[Row]:
        return self.tables[name]


def check(files: Files, settings: Settings, whole: bool = False) -> list[str]:
    """Every promise that the listings of a kit break; `whole` folders have printed files and a manifest."""
    kit, told = Kit(), []
    for name, header in COLUMNS.items():
        if name not in files:
            return [f"{name} is missing"]
        rows, faults = read(name, files[name], header)
        told += faults
        kit.tables[name] = rows
    if told:
        return told
    named = {row["cover"] for row in kit["pieces.csv"] if row["cover"].endswith(".csv")}
    if named != (found := {name for name in files if name.endswith("-cover.csv")}):
        return [f"pieces.csv names the covers {sorted(named)}, there are {sorted(found)}"]
    for name in named:
        kit.tables[name], faults = read(name, files[name], COVER)
        told += faults
    if told:
        return told
    for rule in (pieces, stitches, patterns, orders, needlefuls, finishing, thread, picks, cuts):
        told += rule(kit, settings)
    if whole:
        told += manifest(files, settings)
    return told


def read(name: str, content: bytes, header: str) -> tuple[list[Row], list[str]]:
    """The rows of a CSV file of UTF-8, CRLF line ends, and at least the contract's columns in their order."""
    text = content.decode("utf-8")
    told = []
    if text.startswith("\ufeff"):
        told.append(f"{name}: a byte order mark")
    bare = text.replace("\r\n", "")
    if not text.endswith("\r\n") or "\n" in bare or "\r" in bare:
        told.append(f"{name}: a line does not end in CRLF")
    table = list(csv.reader(io.StringIO(text, newline=""), strict=True))
    wanted = header.split(",")
    if table[0][: len(wanted)] != wanted:
        told.append(f"{name}: the columns are {table[0]}")
    rows = []
    for line, cells in enumerate(table[1:], 2):
        if len(cells) != len(table[0]):
            told.append(f"{name}:{line}: {len(cells)} cells")
            continue
        row = dict(zip(table[0], cells, strict=True))
        told += [f"{name}:{line}: {fault}" for fault in _cells(row)]
        rows.append(row)
    return rows, told


def _cells(row: Row) -> Iterator[str]:
    for column, value in row.items():
        if column in TEXT:
            if value[:1] in ("=", "+", "-", "@", "\t", "\r") and value:
                yield f"{column} {value!r} would run as a formula"
            continue
        digits = 6 if column == "pitch_mm" else 2 if column.endswith("mm") else 0
        whole, _, part = value.removeprefix("-").partition(".")
        if not whole.isdigit() or len(part) != digits or (digits and not part.isdigit()):
            yield f"{column} {value!r} is not a number of {digits} decimals"
        if value.startswith("-") and not value.strip("-0."):
            yield f"{column} {value!r} is a negative nothing"


def mm(row: Row, column: str) -> Decimal:
    return Decimal(row[column])


def taken(row: Row) -> Decimal:
    """Thread of one stitch of a work order."""
    return mm(row, "front_mm") + mm(row, "back_mm") + mm(row, "pass_mm")


def by(rows: list[Row], *columns: str) -> dict[tuple[str, ...], list[Row]]:
    groups: dict[tuple[str, ...], list[Row]] = defaultdict(list)
    for row in rows:
        groups[tuple(row[column] for column in columns)].append(row)
    return groups


def piece_of(kit: Kit, key: str) -> Row:
    return next(row for row in kit["pieces.csv"] if row["piece"] == key)


def copies_of(kit: Kit, key: str) -> int:
    return int(piece_of(kit, key)["copies"])


def pieces(kit: Kit, settings: Settings) -> Iterator[str]:
    keys = [row["piece"] for row in kit["pieces.csv"]]
    if sorted(keys) != sorted(settings.pieces):
        yield f"pieces.csv: the pieces are {keys}"
    for row in kit["pieces.csv"]:
        if row["canvas"] not in settings.canvases:
            yield f"pieces.csv: canvas {row['canvas']}"
        if int(row["copies"]) < 1 or int(row["columns"]) < 1 or int(row["rows"]) < 2:
            yield f"pieces.csv: {row}"
        made = settings.pieces.get(row["piece"], PieceOf("flat"))
        bare = made.cover == "drawn" or made.shape or not _is_rectangle(made.outline, int(row["rows"]))
        if row["cover"] != (f"{row['piece']}-cover.csv" if bare else made.cover):
            yield f"pieces.csv: {row['piece']} has the cover {row['cover']}"


def _is_rectangle(outline: tuple[Span, ...], rows: int) -> bool:
    return all(span == (1, rows) for span in outline)


def chain(x1: int, y1: int, x2: int, y2: int) -> list[Link]:
    """The links of a straight chain or stitch."""
    (left, right), (top, bottom) = sorted((x1, x2)), sorted((y1, y2))
    return [(left, y, False) for y in range(top, bottom)] + [(x, top, True) for x in range(left, right)]


def ends(row: Row) -> tuple[int, int, int, int]:
    return int(row["x1"]), int(row["y1"]), int(row["x2"]), int(row["y2"])


def misplaced(row: Row, piece: Row) -> bool:
    """Whether a chain is crooked, empty or outside of the stitched area."""
    x1, y1, x2, y2 = ends(row)
    inside = min(x1, x2, y1, y2) >= 1
    inside = inside and max(x1, x2) <= int(piece["columns"]) and max(y1, y2) <= int(piece["rows"])
    return not inside or (x1 == x2) == (y1 == y2)


def links_of(kit: Kit, piece: Row) -> set[Link]:
    """The links that the cover of a piece names."""
    wide, high, cover = int(piece["columns"]), int(piece["rows"]), piece["cover"]
    if cover == "columns":
        return {(x, y, False) for x in range(1, wide + 1) for y in range(1, high)}
    if cover == "four-way":
        return mitre(wide)
    if cover == "none":
        return set()
    return {link for row in kit[cover] for link in chain(*ends(row))}


def mitre(size: int) -> set[Link]:
    """Upright link (x, y) where y + 1 <= d(x) or y >= n + 1 - d(x), d(k) = min(k, n + 1 - k); and turned."""
    found = set()
    for x in range(1, size + 1):
        deep = min(x, size + 1 - x)
        for y in range(1, size):
            if y + 1 <= deep or y >= size + 1 - deep:
                found |= {(x, y, False), (y, x, True)}
    return found


def stitches(kit: Kit, settings: Settings) -> Iterator[str]:
    """Each link that the cover names is crossed once, and no other."""
    rows = by(kit["stitches.csv"], "piece")
    if [key for (key,) in rows] != [row["piece"] for row in kit["pieces.csv"] if row["cover"] != "none"]:
        yield "stitches.csv: its pieces are not those of pieces.csv"
    for piece in kit["pieces.csv"]:
        key, mine = piece["piece"], rows.get((piece["piece"],), [])
        shaped = kit[piece["cover"]] if piece["cover"].endswith(".csv") else []
        wrong = [row for row in (*mine, *shaped) if misplaced(row, piece)]
        if wrong:
            yield f"{key}: crooked or outside: {wrong[0]}, and {len(wrong) - 1} more"
            continue
        crossed = Counter(link for row in mine for link in chain(*ends(row)))
        wanted = Counter(links_of(kit, piece))
        for (x, y, across), times in (crossed - wanted).items():
            yield f"stitches.csv: {key} ({x}, {y}, {across}) is crossed {times} times too often"
        for x, y, across in wanted - crossed:
            yield f"stitches.csv: {key} ({x}, {y}, {across}) is bare"
        if len({link for row in shaped for link in chain(*ends(row))}) != sum(
            len(chain(*ends(row))) for row in shaped
        ):
            yield f"{piece['cover']}: a link stands in two chains"


def patterns(kit: Kit, settings: Settings) -> Iterator[str]:
    """The cover and the stitches are those that the spec of the piece asks for."""
    rows = by(kit["stitches.csv"], "piece")
    for piece in kit["pieces.csv"]:
        key, made = piece["piece"], settings.pieces[piece["piece"]]
        mine = [(*ends(row), row["colour"]) for row in rows.get((key,), [])]
        for fault in (*_area(kit, piece, made), *_worked(mine, piece, made)):
            yield f"{key}: {fault}"


Stitch = tuple[int, int, int, int, str]


def spans(kit: Kit, piece: Row) -> list[Span]:
    """First and last hole row of each column by the upright links of the cover; (0, 0) for a bare one."""
    rows: dict[int, set[int]] = defaultdict(set)
    for x, y, across in links_of(kit, piece):
        if not across:
            rows[x] |= {y, y + 1}
    return [(min(rows[x]), max(rows[x])) if rows[x] else (0, 0) for x in range(1, int(piece["columns"]) + 1)]


def _area(kit: Kit, piece: Row, made: PieceOf) -> Iterator[str]:
    """The cover is the family's inside the outline; named shapes are alike at both sides."""
    wide, high = int(piece["columns"]), int(piece["rows"])
    links = links_of(kit, piece)
    if made.cover == "drawn":
        if links != {link for stitch in made.drawn for link in chain(*stitch[:4])}:
            yield "the cover is not what was drawn"
        return
    if made.shape:
        found = spans(kit, piece)
        if found != found[::-1] or min(found)[0] != 1 or max(last for _, last in found) != high:
            yield f"a {made.shape} of {found}"
        if made.shape == "round" and any(first + last != high + 1 for first, last in found):
            yield f"a round of {found}"
        if links != {link for x, (first, last) in enumerate(found, 1) for link in chain(x, first, x, last)}:
            yield "the cover has gaps within a column"
        return
    outline = made.outline or ((1, high),) * wide
    holes = {(x, y) for x, (first, last) in enumerate(outline, 1) for y in range(first, last + 1) if first}
    whole = mitre(wide) if made.cover == "four-way" else links_of(kit, {**piece, "cover": "columns"})
    wanted = {(x, y, across) for x, y, across in whole if {(x, y), (x + across, y + (not across))} <= holes}
    if links != wanted:
        yield f"the cover lacks {len(wanted - links)} links, and has {len(links - wanted)} others"


def _worked(mine: list[Stitch], piece: Row, made: PieceOf) -> Iterator[str]:
    """Stitches as they were drawn, of the lengths that were written, and alike where they must be."""
    wide = int(piece["columns"]) + 1
    if made.drawn and Counter(mine) != Counter(made.drawn):
        yield "the stitches are not those of the chart"
    if made.mirrored and {(wide - x2, y1, wide - x1, y2, of) for x1, y1, x2, y2, of in mine} != set(mine):
        yield "left and right are not alike"
    if made.cover == "four-way" and not made.outline:
        turned = {(wide - y2, x1, wide - y1, x2, of) for x1, y1, x2, y2, of in mine}
        if turned != set(mine):
            yield "the four quarters are not alike"
    for lengths in _chains(mine):
        if made.lengthen and len(lengths) > 1 and 1 in (lengths[0], lengths[-1]):
            yield f"a chain of {lengths} ends on one bar"
        # A stitch that was lengthened beyond over 8 is split, so that the second from an end is free as well.
        inner = lengths[2:-2] if made.lengthen else lengths[1:-1]
        if made.overs and not made.overs.issuperset(inner):
            yield f"a chain of {lengths} has stitches over others than {sorted(made.overs)}"
        if not made.drawn and max(lengths) > 8:
            yield f"a chain of {lengths} has a stitch over more than 8"


def _chains(mine: list[Stitch]) -> Iterator[list[int]]:
    """The lengths of the stitches of each unbroken chain, in their order."""
    lines: dict[tuple[bool, int], list[Span]] = defaultdict(list)
    for x1, y1, x2, y2, _ in mine:
        lines[x1 == x2, x1 if x1 == x2 else y1].append((y1, y2) if x1 == x2 else (x1, x2))
    for line in lines.values():
        line.sort()
        lengths = [line[0][1] - line[0][0]]
        for one, other in pairwise(line):
            if one[1] != other[0]:
                yield lengths
                lengths = []
            lengths.append(other[1] - other[0])
        yield lengths


def _scaled(key: tuple[str, str], lengths: Mapping[Decimal, set[Decimal]]) -> Iterator[str]:
    """A test scales the whole stitch: what it takes grows evenly with what lies on front and back."""
    least, most = min(lengths), max(lengths)
    first, last = (each + min(lengths[each]) for each in (least, most))
    for lying, passes in lengths.items():
        even = first + (last - first) * (lying - least) / ((most - least) or 1)
        if any(abs(lying + one - even) > Decimal("0.04") for one in passes):
            yield f"{key} passes the canvas with {sorted(passes)} at {lying}, not with {even - lying:.2f}"


def orders(kit: Kit, settings: Settings) -> Iterator[str]:
    passing: dict[tuple[str, str], dict[Decimal, set[Decimal]]] = defaultdict(lambda: defaultdict(set))
    for row in (row for name in ORDERS for row in kit[name]):
        lying = Decimal(row["front_mm"]) + Decimal(row["back_mm"])
        passing[row["piece"], row["colour"]][lying].add(Decimal(row["pass_mm"]))
    for key, lengths in passing.items():
        if key[1] in settings.tested:
            yield from _scaled(key, lengths)
        elif len(set().union(*lengths.values())) > 1:
            yield f"{key} passes the canvas with {sorted(set().union(*lengths.values()))}"
    for name in ORDERS:
        for piece in kit["pieces.csv"]:
            mine = [row for row in kit[name] if row["piece"] == piece["piece"]]
            yield from (f"{name}: {piece['piece']}: {fault}" for fault in _order(mine, piece, kit, settings))
        if [row["piece"] for row in kit[name]] != [row["piece"] for row in kit["stitches.csv"]]:
            yield f"{name}: pieces come in another order than in stitches.csv"


def _order(work: list[Row], piece: Row, kit: Kit, settings: Settings) -> Iterator[str]:
    """Each stitch once; lengths are the geometry's; used is their sum, to the hundredth."""
    pitch = Decimal(piece["pitch_mm"])
    expected = Counter(
        (frozenset({(row["x1"], row["y1"]), (row["x2"], row["y2"])}), row["colour"], row["row"])
        for row in kit["stitches.csv"]
        if row["piece"] == piece["piece"]
    )
    seen = Counter(
        (frozenset({(row["up_x"], row["up_y"]), (row["down_x"], row["down_y"])}), row["colour"], row["row"])
        for row in work
    )
    if seen != expected:
        yield f"{len(expected - seen)} stitches are not worked, {len(seen - expected)} are not there"
    if [row["seq"] for row in work] != [str(at) for at in range(1, len(work) + 1)]:
        yield "seq does not count from 1"
    used: dict[str, Decimal] = {}
    last: dict[str, tuple[int, int]] = {}
    held: dict[str, tuple[str, str]] = {}
    for row in work:
        start, up = row["start"], (int(row["up_x"]), int(row["up_y"]))
        down = int(row["down_x"]), int(row["down_y"])
        where = f"seq {row['seq']}"
        front, back = (Decimal(math.dist(*ends)) * pitch for ends in ((up, down), (last.get(start, up), up)))
        if abs(mm(row, "front_mm") - front) > Decimal("0.0051"):
            yield f"{where}: front {row['front_mm']} is not {front:.4f}"
        if abs(mm(row, "back_mm") - back) > Decimal("0.0051"):
            yield f"{where}: back {row['back_mm']} is not {back:.4f}"
        if mm(row, "back_mm") > settings.longest_run + Decimal("0.0051"):
            yield f"{where}: {row['back_mm']} mm on the back"
        if start not in used and int(start) != len(used) + 1:
            yield f"{where}: start {start} does not count on"
        if last.get(start) == up:
            yield f"{where}: up in the hole just gone down"
        used[start] = used.get(start, settings.tail) + taken(row)
        if mm(row, "used_mm") != used[start]:
            yield f"{where}: used {row['used_mm']} is not {used[start]}"
        if held.setdefault(start, (row["needleful"], row["colour"])) != (row["needleful"], row["colour"]):
            yield f"{where}: start {start} changes its needleful or its colour"
        last[start] = down


def needlefuls(kit: Kit, settings: Settings) -> Iterator[str]:
    """A needleful is one colour's, is used in one piece, and never gives more than it holds."""
    for name in ORDERS:
        groups = by(kit[name], "needleful")
        if sorted(int(key) for (key,) in groups) != list(range(1, len(groups) + 1)):
            yield f"{name}: needlefuls do not count from 1"
        for (key,), rows in groups.items():
            if len({(row["colour"], row["piece"]) for row in rows}) > 1:
                yield f"{name}: needleful {key} is used for two"
            ends = {row["start"]: mm(row, "used_mm") for row in rows}
            spent = sum(used + settings.run_under for used in ends.values()) + settings.held
            if spent > settings.needleful:
                yield f"{name}: needleful {key} gives {spent} mm"
            begun = [start for start, _ in groupby(rows, key=lambda row: row["start"])]
            if len(set(begun)) != len(begun):
                yield f"{name}: needleful {key} is in two starts at once"


def finishing(kit: Kit, settings: Settings) -> Iterator[str]:
    """One row a hole of each edge and seam of one copy, and of each join of the whole kit."""
    rows = by(kit["finishing.csv"], "piece")
    for (key,) in rows:
        if key not in settings.pieces:
            yield f"finishing.csv: piece {key}"
    colours = {row["colour"] for row in kit["thread.csv"]}
    joins = _joins(kit, settings)
    for piece in kit["pieces.csv"]:
        key, mine = piece["piece"], rows.get((piece["piece"],), [])
        made = settings.pieces[key]
        found = Counter((row["kind"], row["edge"], int(row["hole"]), int(row["stitches"])) for row in mine)
        wanted = Counter(_finish(kit, piece, made))
        wanted.update(each[:4] for each in joins[key])
        if found != wanted:
            yield f"finishing.csv: {key} lacks {wanted - found}, has {found - wanted}"
        sewn = Counter((row["edge"], row["colour"]) for row in mine if row["kind"] == "join")
        if sewn != Counter((each[1], each[4]) for each in joins[key]):
            yield f"finishing.csv: {key} is joined in {sewn}"
        if len({row["colour"] for row in mine if row["kind"] != "join"}) > 1:
            yield f"finishing.csv: {key} is finished in two colours"
        for row in mine:
            if mm(row, "mm") <= 0 or row["colour"] not in colours:
                yield f"finishing.csv: {row}"
        for (kind, edge, colour), each in by(mine, "kind", "edge", "colour").items():
            one = [mm(row, "mm") / int(row["stitches"]) for row in each]
            if made.finish != "sleeve" and max(one) - min(one) > Decimal("0.011"):
                yield f"finishing.csv: {key} {kind} {edge} {colour} takes {min(one)} to {max(one)} a stitch"


def _joins(kit: Kit, settings: Settings) -> dict[str, list[tuple[str, str, int, int, str]]]:
    """By piece: kind, edge, hole, stitches and colour of every hole that is joined."""
    found: dict[str, list[tuple[str, str, int, int, str]]] = defaultdict(list)
    for join in settings.joins:
        key, edge = min(join.one.split(), join.other.split())
        for hole in range(1, holes_along(piece_of(kit, key), edge) + 1):
            found[key].append(("join", edge, hole, join.times, join.colour))
    return found


def holes_along(piece: Row, edge: str) -> int:
    return int(piece["columns" if edge in ("top", "bottom") else "rows"])


def _finish(kit: Kit, piece: Row, made: PieceOf) -> Iterator[tuple[str, str, int, int]]:
    """Kind, edge, hole and stitches of every hole that the contract says is finished, joins apart."""
    wide, high = int(piece["columns"]), int(piece["rows"])
    if made.finish == "sleeve":
        for hole in range(1, wide + made.overlap + 1):
            for edge in ("top", "bottom"):
                yield "edge", edge, hole, 1
        for hole in range(1 - made.kept, high + made.kept + 1):
            yield "seam", "left", hole, 1
    elif made.outline or made.shape:
        if made.finish in ("flat", "ornament"):
            yield from _round_a_shape(list(made.outline) or spans(kit, piece))
    elif made.finish in ("flat", "ornament", "box"):
        overcast = made.edges if made.finish == "box" else EDGES
        for edge in overcast:
            for hole in range(1, holes_along(piece, edge) + 1):
                across = {1: ("left", "top"), holes_along(piece, edge): ("right", "bottom")}.get(hole, ())
                corner = any(each in overcast for each in across if _turns(edge, each))
                if not corner or edge in ("top", "bottom"):
                    yield "edge", edge, hole, made.corner if corner else 1


def _turns(edge: str, other: str) -> bool:
    return (edge in ("top", "bottom")) != (other in ("top", "bottom"))


def _round_a_shape(outline: list[Span]) -> Iterator[tuple[str, str, int, int]]:
    """One stitch in each hole that has no hole of the shape above, below, or at a side of it.

    A hole at the end of its column stands under top or bottom; in a strip one hole wide both sides count.
    """
    inside = {(x, y) for x, (first, last) in enumerate(outline, 1) for y in range(first, last + 1) if first}
    for x, y in inside:
        ended = [edge for edge, at in (("top", y - 1), ("bottom", y + 1)) if (x, at) not in inside]
        yield from (("edge", edge, x, 1) for edge in ended)
        for edge, at in (("left", x - 1), ("right", x + 1)) if not ended else ():
            if (at, y) not in inside:
                yield "edge", edge, y, 1


def thread(kit: Kit, settings: Settings) -> Iterator[str]:
    """One row for each colour; stitch + finish + tails are the needlefuls, to the hundredth."""
    rows = {row["colour"]: row for row in kit["thread.csv"]}
    worked = {row["colour"] for row in (*kit["stitches.csv"], *kit["finishing.csv"])}
    if len(rows) != len(kit["thread.csv"]) or set(rows) != worked:
        yield f"thread.csv: the colours are {[row['colour'] for row in kit['thread.csv']]}"
    if len({row["thread"] for row in rows.values()}) != len(rows):
        yield "thread.csv: two colours on one thread"
    for colour, row in rows.items():
        for fault in _thread(kit, settings, colour, row):
            yield f"thread.csv: {colour}: {fault}"


def _thread(kit: Kit, settings: Settings, colour: str, row: Row) -> Iterator[str]:
    count, spare, put_ups = (int(row[name]) for name in ("needlefuls", "spare_needlefuls", "put_ups"))
    whole = sum(mm(row, name) for name in ("stitch_mm", "finish_mm", "tails_mm"))
    if mm(row, "needleful_mm") != settings.needleful:
        yield f"a needleful of {row['needleful_mm']} mm"
    if whole != count * mm(row, "needleful_mm"):
        yield f"{whole} mm in {count} needlefuls"
    if mm(row, "tails_mm") < count * (settings.tail + settings.run_under):
        yield f"tails of {row['tails_mm']} mm for {count} needlefuls"
    mine = [each for each in kit["stitches.csv"] if each["colour"] == colour]
    if int(row["stitches"]) != sum(copies_of(kit, each["piece"]) for each in mine):
        yield f"{row['stitches']} stitches"
    finish = [each for each in kit["finishing.csv"] if each["colour"] == colour]
    finish_mm = sum(mm(each, "mm") * _times(kit, each) for each in finish)
    if mm(row, "finish_mm") != finish_mm:
        yield f"finishing takes {row['finish_mm']}, not {finish_mm}"
    lengths, names = [], []
    for name in ORDERS:
        work = [each for each in kit[name] if each["colour"] == colour]
        lengths.append(sum(copies_of(kit, each["piece"]) * taken(each) for each in work))
        used = {(each["piece"], each["needleful"]) for each in work}
        names.append(sum(copies_of(kit, piece) for piece, _ in used))
    if mm(row, "stitch_mm") != max(lengths):
        yield f"stitches take {row['stitch_mm']}, not {max(lengths)}"
    for_finish = count - max(names)
    usable = settings.needleful - settings.tail - settings.run_under - settings.held
    if (for_finish == 0) != (not finish) or for_finish * usable < finish_mm:
        yield f"{count} needlefuls, {max(names)} of them to stitch with, for {finish_mm} mm of finishing"
    begun = sum(join.times for join in settings.joins if join.colour == colour)
    for (key,), rows in by([each for each in finish if each["kind"] != "join"], "piece").items():
        begun += copies_of(kit, key) * _begun(rows, settings.pieces[key])
    least = finish_mm + begun * (settings.tail + settings.run_under)
    if for_finish * (settings.needleful - settings.held) < least:
        yield f"{for_finish} needlefuls do not hold the finishing and its tails, {least} mm"
    if spare != math.ceil(count * settings.spare):
        yield f"{spare} spare needlefuls for {count}"
    sold = settings.threads[row["thread"]]
    cut = int((sold.put_up_mm / settings.needleful).to_integral_value(ROUND_FLOOR))
    in_put_up = cut * sold.plies // sold.strands
    if put_ups != math.ceil(Decimal(count + spare) / in_put_up):
        yield f"{put_ups} put-ups hold {in_put_up} each, for {count} and {spare}"


def _times(kit: Kit, finish: Row) -> int:
    """A join stands for the whole kit, an edge or a seam for one copy."""
    return 1 if finish["kind"] == "join" else copies_of(kit, finish["piece"])


def _begun(rows: list[Row], made: PieceOf) -> int:
    """How often the needle begins: it goes on round a corner, but not to the edge opposite."""
    if made.finish == "sleeve":
        return len({(row["kind"], row["edge"]) for row in rows})
    if made.outline or made.shape:
        return 1
    overcast = {row["edge"] for row in rows}
    return sum(edge in overcast and EDGES[at - 1] not in overcast for at, edge in enumerate(EDGES)) or 1


def picks(kit: Kit, settings: Settings) -> Iterator[str]:
    rows = kit["pick-list.csv"]
    if [row["line"] for row in rows] != [str(at) for at in range(1, len(rows) + 1)]:
        yield "pick-list.csv: lines do not count from 1"
    if [row["bin"] for row in rows] != sorted(row["bin"] for row in rows):
        yield "pick-list.csv: not in the order of bins"
    for row in rows:
        if row["lot"] or row["run"] or row["quantity"] != row["per_kit"] or int(row["quantity"]) < 1:
            yield f"pick-list.csv: {row}"
        if (row["kit"], row["edition"]) != (settings.code, str(settings.edition)):
            yield f"pick-list.csv: {row['item']} is for {row['kit']} {row['edition']}"
        if not row["bin"] or not row["description"] or not row["unit"]:
            yield f"pick-list.csv: {row['item']} says too little"
    wool = {(row["item"], row["colour"]): row["quantity"] for row in rows if row["colour"]}
    if wool != {(row["thread"], row["colour"]): row["put_ups"] for row in kit["thread.csv"]}:
        yield f"pick-list.csv: threads are {wool}"
    cloth: Counter[str] = Counter()
    for row in rows:
        if row["item"] in settings.canvases:
            cloth[row["item"]] += int(row["quantity"])
    needed = Counter({row["canvas"]: 0 for row in kit["pieces.csv"]})
    for row in kit["pieces.csv"]:
        needed[row["canvas"]] += int(row["copies"])
    if cloth != needed:
        yield f"pick-list.csv: canvas {cloth}, not {needed}"
    for kind in ("booklet", "sheet"):
        if [row["quantity"] for row in rows if row["item"] == f"{settings.code}-{kind}"] != ["1"]:
            yield f"pick-list.csv: the {kind} of this edition"


def cuts(kit: Kit, settings: Settings) -> Iterator[str]:
    rows = kit["cut-list.csv"]
    sheets = by(rows, "sheet")
    if sorted(int(key) for (key,) in sheets) != list(range(1, len(sheets) + 1)):
        yield "cut-list.csv: sheets do not count from 1"
    cut = Counter(row["piece"] for row in rows)
    if cut != (wanted := Counter({row["piece"]: int(row["copies"]) for row in kit["pieces.csv"]})):
        yield f"cut-list.csv: blanks are {cut}, not {wanted}"
    for row in rows:
        yield from (f"cut-list.csv: {row}: {fault}" for fault in _blank(row, kit, settings))
    for (sheet,), mine in sheets.items():
        if len({tuple(row[name] for name in list(row)[:5]) for row in mine}) > 1:
            yield f"cut-list.csv: sheet {sheet} is two sheets"
        kerf = settings.canvases[mine[0]["canvas"]].kerf
        boxes = [tuple(int(row[name]) for name in ("x", "y", "width", "height")) for row in mine]
        for at, (x, y, wide, high) in enumerate(boxes):
            for other in boxes[at + 1 :]:
                apart = x + wide + kerf <= other[0] or other[0] + other[2] + kerf <= x
                if not apart and not (y + high + kerf <= other[1] or other[1] + other[3] + kerf <= y):
                    yield f"cut-list.csv: sheet {sheet}: two blanks overlap or leave no kerf"


def _blank(row: Row, kit: Kit, settings: Settings) -> Iterator[str]:
    piece, made = piece_of(kit, row["piece"]), settings.pieces[row["piece"]]
    across = int(piece["columns"]) + 2 * made.bare_columns
    down = int(piece["rows"]) + 2 * made.bare_rows
    x, y, wide, high = (int(row[name]) for name in ("x", "y", "width", "height"))
    if row["turned"] not in (("yes", "no") if made.may_turn else ("no",)):
        yield "turned"
    if (wide, high) != ((down, across) if row["turned"] == "yes" else (across, down)):
        yield f"not {across} x {down}"
    if row["canvas"] != piece["canvas"] or row["kit"] != settings.code:
        yield "another canvas or kit"
    if x < 0 or y < 0 or x + wide > int(row["sheet_width"]) or y + high > int(row["sheet_height"]):
        yield "outside the sheet"
    for name, holes in (("width_mm", wide), ("height_mm", high)):
        size = holes * Decimal(piece["pitch_mm"]) + settings.canvases[row["canvas"]].bar_mm
        if abs(mm(row, name) - size) > Decimal("0.006"):
            yield f"{name} is not {size}"


def manifest(files: Files, settings: Settings) -> Iterator[str]:
    """Every output with its digest; printed files beside the lists."""
    for name in PRINTED:
        if not files.get(name, b"").startswith(b"%PDF-"):
            yield f"{name} is missing"
    for name in SHOWN:
        if not files.get(name, b"").startswith(b"<!DOCTYPE html>"):
            yield f"{name} is missing"
    for name, start in PICTURES:
        if not files.get(name, b"").startswith(start):
            yield f"{name} is missing"
    for name in files:
        if name.endswith(".pdf") and not VARIANT.fullmatch(name):
            yield f"{name} has words that no variant has, or in another order"
    told = json.loads(files["manifest.json"].decode("utf-8"))
    if (told["code"], told["edition"]) != (settings.code, settings.edition):
        yield f"manifest.json: {told['code']} {told['edition']}"
    if not told["version"] or not isinstance(told["warnings"], list):
        yield "manifest.json: no version or no warnings"
    if set(told["outputs"]) != set(files) - {"manifest.json"}:
        yield f"manifest.json: outputs {sorted(told['outputs'])}"
    for name, output in told["outputs"].items():
        if output["sha256"] != hashlib.sha256(files[name]).hexdigest():
            yield f"manifest.json: the digest of {name}"
        if not output["inputs"] or any(len(digest) != 64 for digest in output["inputs"].values()):
            yield f"manifest.json: the inputs of {name}"
        read_in = {key.rpartition("/")[2] for key in output["inputs"]}
        if not read_in.issuperset(settings.inputs):
            yield f"manifest.json: {name} was not made from {set(settings.inputs) - read_in}"
