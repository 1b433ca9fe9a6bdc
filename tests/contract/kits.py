"""Random kits as a workshop would write them: YAML files, and what the checker must be told beside them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

import yaml
from hypothesis import strategies as st

from tests.contract.checker import CanvasOf, PieceOf, Settings, ThreadOf

COLOURS = ("bark", "moss", "gorse", "lichen", "fern", "honey")
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
def _lines(draw: st.DrawFn, returning: bool) -> tuple[dict[str, Any], int]:
    """A line as it is written, and the columns of its repeat."""
    way = draw(st.sampled_from(("zigzag", "scallop", "list")))
    if way == "zigzag":
        down = draw(st.integers(2, 7))
        up = down if returning else draw(st.integers(2, 7))
        wide, turns = draw(st.integers(1, 3)), draw(st.sampled_from(("once", "twice")))
        written = {"groups_of": wide, "step": draw(st.integers(1, 4)), "down": down, "up": up, "turns": turns}
        return written, wide * (down + up - (2 if turns == "once" else 0))
    if way == "scallop":
        half = draw(st.lists(st.tuples(st.integers(1, 4), st.integers(1, 4)), min_size=1, max_size=3))
        runs = [*half, (1, 5), *reversed(half)]
        groups = [f"{count}x{size}" for count, size in runs]
        return {"groups": groups, "step": 2, "turns": "twice"}, sum(count * size for count, size in runs)
    sizes = draw(st.lists(st.integers(1, 4), min_size=1, max_size=6))
    steps = [f" {draw(st.sampled_from(('up', 'down')))} {draw(st.integers(0, 5))}" for _ in sizes[1:]]
    groups = [f"{size}{step}" for size, step in zip(sizes, ["", *steps], strict=True)]
    drift = {} if returning or not draw(st.booleans()) else {"drift": f"down {draw(st.integers(0, 6))}"}
    return {"list": groups, **drift}, sum(sizes)


@st.composite
def _pieces(draw: st.DrawFn, colours: tuple[str, ...]) -> tuple[dict[str, Any], PieceOf]:
    canvas = draw(st.sampled_from(sorted(CANVASES)))
    cloth = CANVASES[canvas]
    pitch = float(cloth.get("measured_pitch", f"{25.4 / cloth['count']} mm").split()[0])
    kind = draw(st.sampled_from(("flat", "sleeve", "cushion")))
    family = draw(st.sampled_from(("flame", "scallop", "diamond")))
    line, repeat = draw(_lines(returning=family == "diamond" or kind == "sleeve"))
    columns, rows, copies = draw(st.integers(16, 66)), draw(st.integers(5, 50)), draw(st.integers(1, 5))
    left = draw(st.integers(0, min(repeat - 1, columns)))
    right = (columns - left) % repeat
    pattern: dict[str, Any] = {"family": family, "over": draw(st.integers(2, 8)), "line": line}
    pattern["rings" if family == "diamond" else "colours"] = list(colours)
    pattern["ends"] = {"left": left, "right": right}
    finish: dict[str, Any] = {"kind": kind}
    more: dict[str, Any] = {}
    if kind == "cushion":
        border = draw(st.sampled_from((5, 12.7, 30)))
        bare = math.ceil(border / pitch - 1e-9)
        finish |= {"border": f"{border} mm", "allowance": "4 mm"}
        made = PieceOf("cushion", bare_columns=bare, bare_rows=bare)
    elif kind == "flat":
        corner = draw(st.integers(2, 3))
        finish |= {"edge": draw(st.sampled_from(colours)), "corner": corner}
        made = PieceOf("flat", corner=corner)
    else:
        overlap, kept = draw(st.integers(1, 3)), draw(st.integers(0, 1))
        finish |= {"edge": draw(st.sampled_from(colours)), "overlap": overlap, "kept_rows": kept}
        inside = (columns + overlap) * pitch / math.pi - float(cloth["thickness"].split()[0]) - 3.8
        more["goes_round"] = {
            "object": "jar",
            "made_of": "glass",
            "diameter": f"{max(inside - 1, 0.1):.3f} mm",
            "height": "500 mm",
            "ease": "0 mm",
            "tolerance": "5 mm",
        }
        made = PieceOf("sleeve", overlap=overlap, kept=kept, bare_columns=overlap, bare_rows=kept)
    turn = draw(st.booleans())
    written = {
        "title": "Piece",
        "copies": copies,
        "use": "other",
        "canvas": canvas,
        "may_turn": turn,
        "pattern": pattern,
        "columns": columns,
        "rows": rows,
        "finish": finish,
        **more,
    }
    return written, PieceOf(**{**made.__dict__, "may_turn": turn})


@st.composite
def kits(draw: st.DrawFn) -> Written:
    """A kit of one to three pieces with everything that the contract speaks of chosen at random."""
    colours = COLOURS[: draw(st.integers(1, 6))]
    drawn = [draw(_pieces(colours)) for _ in range(draw(st.integers(1, 3)))]
    needleful = draw(st.integers(30, 90))
    lengths = draw(st.sampled_from((("2 in", "50.8"), ("1 in", "25.4"), ("35 mm", "35"))))
    spare = draw(st.integers(0, 40))
    thread = {
        "needleful": f"{needleful} cm",
        "start_tail": lengths[0],
        "run_under": lengths[0],
        "held": lengths[0],
        "longest_run": draw(st.sampled_from(("5 mm", "12 mm", "25 mm", "40 mm"))),
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
        "pieces": {f"piece-{at}": piece for at, (piece, _) in enumerate(drawn, 1)},
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
        pieces={f"piece-{at}": made for at, (_, made) in enumerate(drawn, 1)},
    )
    contents = {"materials": materials(), "workshop": workshop(thread), "case": kit}
    files = {
        f"{name}.yaml": yaml.safe_dump(content, sort_keys=False, allow_unicode=True)
        for name, content in contents.items()
    }
    return Written(files, settings)
