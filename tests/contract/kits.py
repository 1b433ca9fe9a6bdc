"""Random kits as a workshop would write them: YAML files, and what the checker must be told beside them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

import yaml
from hypothesis import strategies as st

from tests.contract.checker import EDGES, CanvasOf, JoinOf, PieceOf, Settings, Stitch, ThreadOf, chain, mitre

COLOURS = ("bark", "moss", "gorse", "lichen", "fern", "honey")
FAMILIES = (
    "flame",
    "scallop",
    "ribbon",
    "diamond",
    "medallion",
    "hungarian point",
    "four-way",
    "charted",
)
WAYS = {
    "plain": ("flat", "sleeve", "cushion", "framed", "ornament"),
    "shaped": ("ornament", "ornament", "cushion", "framed"),
    "box": ("box",),
}
"""The kinds of finish of a kit's pieces."""
POLICIES = ("clean holes", "cover the back", "even", "save thread")

#: key -> weave, count, measured pitch in mm or "", thickness, bar, kerf, stock.
CANVASES: dict[str, dict[str, Any]] = {
    "plastic-7": {
        "weave": "plastic",
        "count": 7,
        "measured_pitch": "3.81 mm",
        "thickness": "1.5 mm",
        "bar": "1.1 mm",
        "kerf": 1,
        "stock": {
            "sheet-7": {"sheet": "110 x 130 holes", "cost": 1.45},
            "sheet-7-small": {"sheet": "70 x 90 holes", "cost": 0.95},
        },
    },
    "plastic-10": {
        "weave": "plastic",
        "count": 10,
        "thickness": "1.1 mm",
        "bar": "0.7 mm",
        "kerf": 2,
        "stock": {"sheet-10": {"sheet": "136 x 140 holes", "cost": 1.95}},
    },
    "mono-13": {
        "weave": "woven",
        "count": 13,
        "thickness": "0.6 mm",
        "bar": "0.5 mm",
        "kerf": 0,
        "stock": {"roll-13": {"roll": "1 m", "length": "10 m", "cost": 240.0}},
    },
}
#: Put-up in mm, plies, strands; the length as it is written.
THREADS = (
    ("10 m", Decimal(10000), 1, 1),
    ("8 yd", Decimal("7315.2"), 1, 1),
    ("25 m", Decimal(25000), 1, 2),
    ("65 in", Decimal(1651), 3, 2),
    ("10 m", Decimal(10000), 3, 1),
    ("40 yd", Decimal(36576), 1, 1),
)


@dataclass(frozen=True)
class Written:
    """The files of a folder kits/, and what the checker must know of the kit in it."""

    files: dict[str, str]
    settings: Settings

    def _repr_pretty_(self, printer: Any, cycle: bool) -> None:
        """The kit as it is written, which is enough to see what is wrong."""
        printer.text("\n".join(text for name, text in self.files.items() if name != "materials.yaml"))


@dataclass(frozen=True)
class Line:
    """A line as it is written, the columns of its repeat, its groups, twice its peak's and valley's place.

    The places are given for a zigzag that is alike at both sides of them, from 0.
    """

    written: dict[str, Any]
    columns: int
    groups: int
    middles: tuple[int, int] | None = None


@dataclass(frozen=True)
class Work:
    """What a piece's pattern asks for, for the checker, and the chart's file where there is one."""

    pattern: dict[str, Any]
    columns: int
    rows: int
    outline: dict[str, Any] | None
    made: dict[str, Any]
    chart: str = ""


def materials() -> dict[str, Any]:
    canvases = {
        key: {
            "title": f"Canvas {key}",
            **canvas,
            "bin": "C-01",
            "stock": {name: {**stock, "bin": "C-02"} for name, stock in canvas["stock"].items()},
        }
        for key, canvas in CANVASES.items()
    }
    threads = {
        f"wool-{key}": {
            "title": f"Wool {key}",
            "fibre": "wool",
            "colour": f"#{40 * at:02x}5a{200 - 30 * at:02x}",
            "colour_name": key.title(),
            "put_up": "skein",
            "put_up_length": put_up,
            "thickness": "1.9 mm",
            "bend": f"{0.4 + 0.13 * at:.2f} mm",
            "plies": plies,
            "strands": strands,
            "cost": 1.35,
            "bin": f"A-{at:02}",
        }
        for at, (key, (put_up, _, plies, strands)) in enumerate(zip(COLOURS, THREADS, strict=True))
    }
    needles = {"needle-16": {"title": "Needle 16", "size": 16, "cost": 0.22, "bin": "N-01"}}
    extras = {"lid": {"title": "Lid", "unit": "piece", "made_of": ["wood"], "cost": 2.6, "bin": "E-01"}}
    return {
        "kind": "materials",
        "canvases": canvases,
        "threads": threads,
        "needles": needles,
        "extras": extras,
    }


def workshop(thread: dict[str, Any]) -> dict[str, Any]:
    return {
        "kind": "workshop",
        "name": "Case room",
        "address": ["1 Case Yard"],
        "contact": "case@case.example",
        "language": "en",
        "papers": ["A4"],
        "currency": "EUR",
        "thread": thread,
        "pace": {"stitches_per_hour": 220, "finish_stitches_per_hour": 160},
        "packing": {"minutes": 9, "wage": 16.0},
        "printing": {"booklet": 0.9, "sheet": 0.2, "bin": "P-01"},
    }


@st.composite
def _lines(draw: st.DrawFn, returning: bool) -> Line:
    way = draw(st.sampled_from(("zigzag", "zigzag", "scallop", "list")))
    if way == "zigzag":
        down = draw(st.integers(2, 7))
        up = down if returning else draw(st.integers(2, 7))
        wide, turns = draw(st.integers(1, 3)), draw(st.sampled_from(("once", "twice")))
        written = {"groups_of": wide, "step": draw(st.integers(1, 4)), "down": down, "up": up, "turns": turns}
        groups = down + up - (2 if turns == "once" else 0)
        alike = turns == "once" and down == up
        return Line(written, wide * groups, groups, (wide - 1, (2 * down - 1) * wide - 1) if alike else None)
    if way == "scallop":
        half = draw(st.lists(st.tuples(st.integers(1, 4), st.integers(1, 4)), min_size=1, max_size=3))
        runs = [*half, (1, 5), *reversed(half)]
        written = {"groups": [f"{count}x{size}" for count, size in runs], "step": 2, "turns": "twice"}
        return Line(written, sum(count * size for count, size in runs), sum(count for count, _ in runs))
    sizes = draw(st.lists(st.integers(1, 4), min_size=1, max_size=6))
    steps = [f" {draw(st.sampled_from(('up', 'down')))} {draw(st.integers(0, 5))}" for _ in sizes[1:]]
    groups = [f"{size}{step}" for size, step in zip(sizes, ["", *steps], strict=True)]
    drift = {} if returning or not draw(st.booleans()) else {"drift": f"down {draw(st.integers(0, 6))}"}
    return Line({"list": groups, **drift}, sum(sizes), len(sizes))


@st.composite
def _outlines(draw: st.DrawFn, columns: int, rows: int) -> tuple[tuple[int, int], ...]:
    """Spans of hole rows; some columns are bare, neighbours may lie far apart."""
    found = []
    for _ in range(columns):
        first = draw(st.integers(1, rows - 1))
        bare = draw(st.integers(0, 9)) == 0
        found.append((0, 0) if bare else (first, draw(st.integers(first + 1, rows))))
    return tuple(found) if any(last for _, last in found) else ((1, rows), *found[1:])


@st.composite
def _cut(draw: st.DrawFn, first: int, last: int, colours: tuple[str, ...]) -> list[tuple[int, int, str]]:
    """A chain from hole to hole as stitches over 1 to 8: ends and colour."""
    found = []
    while first < last:
        end = min(last, first + draw(st.integers(1, 8)))
        found.append((first, end, draw(st.sampled_from(colours))))
        first = end
    return found


@st.composite
def _charts(draw: st.DrawFn, colours: tuple[str, ...], rows: int, least: int, shaped: bool) -> Work:
    """Charted work: in the spec by column, or in a file, there with rows of sideways stitches as well."""
    columns = draw(st.integers(least, 24))
    outline = draw(_outlines(columns, rows)) if shaped else ()
    mixed = not shaped and draw(st.booleans())
    upright = draw(st.integers(2, rows - 1)) if mixed else rows
    areas = outline or ((1, upright),) * columns
    work: list[Stitch] = []
    entries = []
    for x, (first, last) in enumerate(areas, 1):
        parts = draw(_cut(first, last, colours)) if first else []
        work += [(x, y1, x, y2, colour) for y1, y2, colour in parts]
        if parts:
            entries.append(f"{x}: {', '.join(f'{y2 - y1} {colour}' for y1, y2, colour in parts)}")
    for y in range(upright + 1, rows + 1):
        work += [(x1, y, x2, y, colour) for x1, x2, colour in draw(_cut(1, columns, colours))]
    made = {"cover": "drawn" if mixed else "columns", "drawn": tuple(work), "outline": outline}
    written = {"spans": [f"{first}-{last}" if first else "-" for first, last in outline]} if shaped else None
    if not mixed and draw(st.booleans()):
        return Work({"family": "charted", "chart": entries}, columns, rows, written, made)
    lines = [
        (x2, y2, x1, y1, colour) if draw(st.booleans()) else each
        for each in work
        for x1, y1, x2, y2, colour in [each]
    ]
    chart = "".join(f"{','.join(map(str, line))}\n" for line in (("x1", "y1", "x2", "y2", "colour"), *lines))
    return Work({"family": "charted", "chart_file": ""}, columns, rows, written, made, chart)


@st.composite
def _works(
    draw: st.DrawFn, family: str, colours: tuple[str, ...], rows: int, returning: bool, shaped: bool
) -> Work:
    """A pattern of a family in a size; `shaped` gives it an outline."""
    if family == "charted":
        return draw(_charts(colours, rows, 16 if returning else 3, shaped))
    line = draw(_lines(returning=returning or family in ("diamond", "medallion")))
    over = draw(st.integers(2, 8))
    edges = draw(st.sampled_from(("shorten", "lengthen")))
    pattern: dict[str, Any] = {"family": family, "line": line.written, "edges": edges}
    pattern["rings" if family in ("diamond", "medallion", "ribbon") else "colours"] = list(colours)
    made: dict[str, Any] = {"lengthen": edges == "lengthen"}
    if family == "hungarian point":
        whole = draw(st.integers(4, 10))
        bars = st.integers(max(2, whole - 8), min(8, whole - 2))
        first = draw(st.lists(bars, min_size=1, max_size=min(line.groups, 3)))
        pattern["lengths"] = [" ".join(map(str, row)) for row in (first, [whole - each for each in first])]
        made["overs"] = frozenset((*first, *(whole - each for each in first)))
    else:
        pattern["over"] = over
        made["overs"] = frozenset({over} if family in ("flame", "scallop") else ())
    if family in ("medallion", "ribbon"):
        pattern["apart"] = draw(st.integers(0, 12))
    if family == "ribbon":
        pattern["shift"] = draw(st.integers(0, line.columns))
    columns = draw(st.integers(16, 66))
    if family == "four-way":
        columns = rows = rows + 1 - rows % 2
        made |= {"cover": "four-way", "overs": frozenset(), "lengthen": made["lengthen"] or not shaped}
    elif line.middles and draw(st.booleans()):
        at = draw(st.integers(0, 1))
        columns += (columns - 1 - line.middles[at]) % 2
        pattern["centre"] = ("peak", "valley")[at]
        made["mirrored"] = family not in ("hungarian point", "ribbon") and not shaped
    else:
        left = draw(st.integers(0, min(line.columns - 1, columns)))
        pattern["ends"] = {"left": left, "right": (columns - left) % line.columns}
    if not shaped:
        return Work(pattern, columns, rows, None, made)
    shape = draw(st.sampled_from(("round", "heart", "spans", "spans")))
    if shape == "spans" or family == "four-way":
        outline = draw(_outlines(columns, rows))
        if family == "four-way" and not any(_crossed(columns, outline)):
            outline = ((1, rows),) * columns
        made["outline"] = outline
        spans = [f"{first}-{last}" if first else "-" for first, last in outline]
        return Work(pattern, columns, rows, {"spans": spans}, made)
    made |= {"shape": shape, "mirrored": "centre" in pattern and family not in ("hungarian point", "ribbon")}
    return Work(pattern, columns, rows, {"shape": shape}, made)


def _crossed(columns: int, outline: tuple[tuple[int, int], ...]) -> list[bool]:
    """Whether the upright links inside an outline are crossed in four-way work."""
    links = mitre(columns)
    return [
        link in links
        for x, (first, last) in enumerate(outline, 1)
        if first
        for link in chain(x, first, x, last)
    ]


@st.composite
def _finishes(
    draw: st.DrawFn, kind: str, pitch: float, colours: tuple[str, ...]
) -> tuple[dict[str, Any], dict[str, Any]]:
    """A finish as it is written, and what the checker is told of it."""
    edge, corner = draw(st.sampled_from(colours)), draw(st.integers(2, 3))
    if kind == "flat":
        return {"edge": edge, "corner": corner}, {"corner": corner}
    if kind == "box":
        edges = draw(st.lists(st.sampled_from(EDGES), unique=True, max_size=4))
        given = {"edge": edge} if edges or draw(st.booleans()) else {}
        return {**given, "edges": edges, "corner": corner}, {"edges": tuple(edges), "corner": corner}
    border = draw(
        st.sampled_from((5, 12.7, 30)) if kind in ("cushion", "framed") else st.sampled_from((0, 0, 7))
    )
    bare = math.ceil(border / pitch - 1e-9)
    written = {"border": f"{border} mm"}
    if kind in ("cushion", "framed"):
        return written | {"allowance": "4 mm"}, {"bare_columns": bare, "bare_rows": bare}
    if kind == "ornament":
        told = {"corner": corner, "bare_columns": bare, "bare_rows": bare}
        return written | {"edge": edge, "corner": corner}, told
    overlap, kept = draw(st.integers(1, 3)), draw(st.integers(0, 1))
    told = {"overlap": overlap, "kept": kept, "bare_columns": overlap + bare, "bare_rows": kept + bare}
    return written | {"edge": edge, "overlap": overlap, "kept_rows": kept}, told


@dataclass(frozen=True)
class Drawn:
    """A piece as it is written, what the checker is told of it, and the content of its chart's file."""

    written: dict[str, Any]
    made: PieceOf
    chart: str


@st.composite
def _pieces(
    draw: st.DrawFn, key: str, family: str, way: str, colours: tuple[str, ...], box: tuple[str, int]
) -> Drawn:
    """A piece of a family: of a `way`; the pieces of a box share its canvas and its hole rows."""
    canvas = box[0] if way == "box" else draw(st.sampled_from(sorted(CANVASES)))
    cloth = CANVASES[canvas]
    pitch = float(cloth.get("measured_pitch", f"{25.4 / cloth['count']} mm").split()[0])
    kind = draw(st.sampled_from(WAYS[way]))
    rows = box[1] if way == "box" else draw(st.integers(16 if kind == "sleeve" else 5, 50))
    shaped = way == "shaped"
    work = draw(_works(family, colours, rows, kind == "sleeve", shaped))
    finish, told = draw(_finishes(kind, pitch, colours))
    more: dict[str, Any] = {"outline": work.outline} if work.outline else {}
    if kind == "sleeve":
        inside = (
            (work.columns + told["overlap"]) * pitch / math.pi - float(cloth["thickness"].split()[0]) - 3.8
        )
        more["goes_round"] = {
            "object": "jar",
            "made_of": "glass",
            "diameter": f"{max(inside - 1, 0.1):.3f} mm",
            "height": "500 mm",
            "ease": "0 mm",
            "tolerance": "5 mm",
        }
    turn = draw(st.booleans())
    written = {
        "title": "Piece",
        "copies": draw(st.integers(1, 5)),
        "use": "other",
        "canvas": canvas,
        "may_turn": turn,
        "pattern": {**work.pattern, "chart_file": f"{key}.csv"} if work.chart else work.pattern,
        "columns": work.columns,
        "rows": work.rows,
        "finish": {"kind": kind, **finish},
        **more,
    }
    return Drawn(written, PieceOf(kind, may_turn=turn, **told, **work.made), work.chart)


@st.composite
def _joins(draw: st.DrawFn, drawn: dict[str, Drawn], colours: tuple[str, ...]) -> tuple[JoinOf, ...]:
    """Some pairs of edges that are not overcast and have as many holes, each edge of a copy once."""
    free = [
        (key, edge, one.written["columns" if edge in ("top", "bottom") else "rows"])
        for key, one in drawn.items()
        for edge in EDGES
        if edge not in one.made.edges
    ]
    pairs = [(one, other) for at, one in enumerate(free) for other in free[at + 1 :] if one[2] == other[2]]
    found: list[JoinOf] = []
    left = {(key, edge): drawn[key].written["copies"] for key, edge, _ in free}
    for one, other in draw(st.lists(st.sampled_from(pairs), max_size=4, unique=True)) if pairs else ():
        most = min(left[one[:2]], left[other[:2]])
        if most:
            names = [f"{key} {edge}" for key, edge, _ in draw(st.permutations((one, other)))]
            times = draw(st.integers(1, most))
            left[one[:2]] -= times
            left[other[:2]] -= times
            found.append(JoinOf(*names, times, draw(st.sampled_from(colours))))
    return tuple(found)


@st.composite
def kits(draw: st.DrawFn, family: str | None = None, way: str | None = None) -> Written:
    """A kit of one to three pieces with everything that the contract speaks of chosen at random.

    The first piece is of the `family`, all are of one of the WAYS.
    """
    colours = COLOURS[: draw(st.integers(1, 6))]
    way = way or draw(st.sampled_from(sorted(WAYS)))
    box = draw(st.sampled_from(sorted(CANVASES))), draw(st.integers(5, 40))
    others = draw(st.lists(st.sampled_from(FAMILIES), max_size=2))
    families = [family or draw(st.sampled_from(FAMILIES)), *others]
    keys = draw(st.permutations([f"piece-{at}" for at in range(1, len(families) + 1)]))
    drawn = {key: draw(_pieces(key, one, way, colours, box)) for key, one in zip(keys, families, strict=True)}
    joins = draw(_joins(drawn, colours)) if way == "box" else ()
    needleful = draw(st.integers(30, 90))
    lengths = draw(st.sampled_from((("2 in", "50.8"), ("1 in", "25.4"), ("35 mm", "35"))))
    spare, longest_run = draw(st.integers(0, 40)), draw(st.sampled_from((5, 12, 25, 40)))
    thread = {
        "needleful": f"{needleful} cm",
        "start_tail": lengths[0],
        "run_under": lengths[0],
        "held": lengths[0],
        "longest_run": f"{longest_run} mm",
        "least_remainder": draw(st.sampled_from(("0 mm", "10 cm", "20 cm"))),
        "spare": f"{spare} %",
        "park": draw(st.booleans()),
    }
    kit = {
        "kind": "kit",
        "code": "CASE",
        "title": "Case kit",
        "edition": draw(st.integers(1, 9)),
        "date": "2026-10-01",
        "age_grade": "adult",
        "policy": draw(st.sampled_from(POLICIES)),
        "price": 40.0,
        "pieces": {key: piece.written for key, piece in drawn.items()},
        "joins": [
            {"one": join.one, "other": join.other, "times": join.times, "with": join.colour} for join in joins
        ],
        "palette": {key: {"thread": f"wool-{key}"} for key in colours},
        "needles": {"needle-16": 2},
        "extras": {"lid": 1},
    }
    tail = Decimal(lengths[1])
    settings = Settings(
        code="CASE",
        edition=kit["edition"],
        needleful=Decimal(needleful) * 10,
        tail=tail,
        run_under=tail,
        held=tail,
        spare=Decimal(spare) / 100,
        threads={f"wool-{key}": ThreadOf(*sold[1:]) for key, sold in zip(COLOURS, THREADS, strict=True)},
        canvases={
            key: CanvasOf(canvas["kerf"], Decimal(canvas["bar"].split()[0]))
            for key, canvas in CANVASES.items()
        },
        pieces={key: piece.made for key, piece in drawn.items()},
        longest_run=Decimal(longest_run),
        joins=joins,
        inputs=tuple(f"{key}.csv" for key, piece in drawn.items() if piece.chart),
    )
    contents = {"materials": materials(), "workshop": workshop(thread), "case": kit}
    files = {
        f"{name}.yaml": yaml.safe_dump(content, sort_keys=False, allow_unicode=True)
        for name, content in contents.items()
    }
    files |= {f"{key}.csv": piece.chart for key, piece in drawn.items() if piece.chart}
    return Written(files, settings)
