"""Records made by hand, and random lines, patterns and pieces, for all rooms below spec."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
from hypothesis import strategies as st

from kitbuild.pattern.expand import expand
from kitbuild.pattern.panel import Cover, Panel, Stitches
from kitbuild.spec.house import House, ThreadRules
from kitbuild.spec.lines import shape
from kitbuild.spec.materials import Canvas, Extra, Needle, Stock, Thread
from kitbuild.spec.piece import Chart, Finish, Line, Pattern, Piece
from kitbuild.spec.records import Colour, Kit, PackedNeedle
from kitbuild.spec.source import At, Source

AT = At(Source("kits/case.yaml", b"", {}, {}))
COLOURS = ("red", "blue", "grey", "green", "white", "black")


def sheet(columns: int = 70, rows: int = 90, cost: int = 145, key: str = "sheet") -> Stock:
    return Stock(key, key, "sheet", columns, rows, cost, "C-02", AT)


def roll(columns: int = 390, rows: int = 3900, cost: int = 24000, key: str = "roll") -> Stock:
    return Stock(key, key, "roll", columns, rows, cost, "C-04", AT)


def canvas(key: str = "plastic-7", **changes: Any) -> Canvas:
    plain = Canvas(key, key, "plastic", 7.0, 3.81, True, 1.5, 1.1, 1, "C-01", (sheet(),), AT)
    return replace(plain, **changes)


def thread(key: str = "wool-red", **changes: Any) -> Thread:
    rgb = (120, 60, 40)
    plain = Thread(key, key, "wool", rgb, key, "skein", 10_000.0, 1.9, 0.8, 1, 1, 135, "A-01", AT)
    return replace(plain, **changes)


def palette(names: tuple[str, ...] = COLOURS, **changes: Any) -> tuple[Colour, ...]:
    made = []
    for at, name in enumerate(names):
        wool = thread(f"wool-{name}", bin=f"A-{at + 1:02}", **changes)
        made.append(Colour(name, name.title(), wool.rgb, "■●▲◆◇○"[at], name, wool, AT))
    return tuple(made)


THREAD_RULES = ThreadRules(
    needleful_mm=760.0,
    start_tail_mm=50.8,
    run_under_mm=50.8,
    held_mm=50.8,
    longest_run_mm=25.0,
    least_remainder_mm=200.0,
    spare_share=0.1,
    park=True,
)


def house(**thread_rules: Any) -> House:
    return House(
        name="Case room",
        address=("1 Case Yard",),
        contact="case@case.example",
        languages=("en",),
        papers=("A4",),
        editions=(),
        currency="EUR",
        thread=replace(THREAD_RULES, **thread_rules),
        longest_stitch_mm={"coaster": 16.0, "cushion": 13.0, "sleeve": 20.0, "other": 20.0},
        stitches_per_hour=220.0,
        finish_stitches_per_hour=160.0,
        packing_minutes=9.0,
        packing_wage_minor=1600,
        booklet_cost_minor=90,
        sheet_cost_minor=20,
        printed_bin="P-01",
        at=AT,
    )


FLAT = Finish("flat", "red", 3, 0, "", 0, 0.0, 0.0, AT)
SLEEVE = Finish("sleeve", "red", 0, 2, "bar", 0, 0.0, 0.0, AT)
CUSHION = Finish("cushion", "", 0, 0, "", 0, 50.8, 20.0, AT)


def line(**written: Any) -> Line:
    """A line as it is written in a kit file."""
    found = shape({"towards": "up", **written} if "groups" in written else written)
    return Line(found.groups, found.drift, AT)


ZIGZAG = line(groups_of=2, step=2, down=4, up=4, turns="once")


def pattern(family: str = "flame", over: int = 4, of: Line | None = ZIGZAG, **changes: Any) -> Pattern:
    plain = Pattern(family, over, of, COLOURS[:3], None, 0, 0, AT)  # type: ignore[arg-type]
    return replace(plain, **changes)


def piece(key: str = "case", columns: int = 24, rows: int = 27, **changes: Any) -> Piece:
    cloth = changes.pop("canvas", None) or canvas()
    work = changes.pop("pattern", None) or pattern()
    plain = Piece(key, key.title(), 1, "other", cloth, False, work, columns, rows, FLAT, None, AT)
    return replace(plain, **changes)


def kit(*pieces: Piece, **changes: Any) -> Kit:
    needle = PackedNeedle(Needle("needle-16", "Needle", 16, 22, "N-01", AT), 2, AT)
    plain = Kit(
        code="CASE",
        title="Case kit",
        edition=1,
        date="2026-10-01",
        age_grade="adult",
        policy="even",
        about="",
        care="",
        pieces=pieces,
        palette=palette(),
        needles=(needle,),
        extras=(),
        price_minor=3000,
        gtin="",
        accepted={},
        house=house(),
        at=AT,
    )
    return replace(plain, **changes)


def extra(key: str = "thing", made_of: tuple[str, ...] = ("card",), hazards: tuple[str, ...] = ()) -> Extra:
    return Extra(key, key, "piece", made_of, hazards, 260, "E-01", AT)


def panel_of(what: Piece) -> Panel:
    return expand(kit(what), what)


def sideways(panel: Panel) -> Panel:
    """The same work turned by a quarter: columns become hole rows."""
    cover = Cover("turned", panel.cover.sideways.T.copy(), panel.cover.upright.T.copy())
    return replace(panel, stitches=panel.stitches.transposed(), cover=cover)


def mirrored(panel: Panel) -> Panel:
    """The mirror image, left for right, its stitches written from left to right again."""
    work, wide = panel.stitches, panel.cover.columns + 1
    turned = Stitches(wide - work.x1, work.y1, wide - work.x2, work.y2, work.colour, work.row, work.course)
    cover = Cover("mirror", panel.cover.upright[:, ::-1].copy(), panel.cover.sideways[:, ::-1].copy())
    return replace(panel, stitches=turned.take(np.lexsort((work.y1, -work.x1, work.course))), cover=cover)


@st.composite
def zigzags(draw: st.DrawFn, returning: bool = False) -> Line:
    twice = draw(st.booleans())
    least = 1 if twice else 2
    down = draw(st.integers(least, 7))
    up = down if returning else draw(st.integers(least, 7))
    step, wide = draw(st.integers(1, 5)), draw(st.integers(1, 4))
    return line(groups_of=wide, step=step, down=down, up=up, turns="twice" if twice else "once")


@st.composite
def scallops(draw: st.DrawFn, returning: bool = True) -> Line:
    half = draw(st.lists(st.tuples(st.integers(1, 4), st.integers(1, 6)), min_size=1, max_size=4))
    runs = [f"{count}x{size}" for count, size in (*half, *reversed(half[:-1]))]
    if sum(count for count, _ in (*half, *half[:-1])) < 2:
        runs.append(runs[0])
    turns, towards = draw(st.sampled_from(("once", "twice"))), draw(st.sampled_from(("up", "down")))
    return line(groups=runs, step=draw(st.integers(1, 3)), turns=turns, towards=towards)


@st.composite
def irregular(draw: st.DrawFn, returning: bool = False) -> Line:
    groups = [str(draw(st.integers(1, 5)))]
    for _ in range(draw(st.integers(0, 8))):
        way, bars = draw(st.sampled_from(("up", "down"))), draw(st.integers(0, 9))
        groups.append(f"{draw(st.integers(1, 5))} {way} {bars}")
    if returning or draw(st.booleans()):
        return line(list=groups)
    return line(list=groups, drift=f"{draw(st.sampled_from(('up', 'down')))} {draw(st.integers(0, 9))}")


def lines(returning: bool = False) -> st.SearchStrategy[Line]:
    """Any line; `returning` ones stand level again after each repeat."""
    return st.one_of(zigzags(returning), scallops(returning), irregular(returning))


LINES = ("flame", "scallop", "diamond")
UPRIGHT = ("flame", "scallop", "ribbon", "diamond", "medallion", "hungarian point")


@st.composite
def patterns(draw: st.DrawFn, families: tuple[str, ...] = LINES) -> Pattern:
    family = draw(st.sampled_from(families))
    of = draw(lines(returning=family in ("diamond", "medallion")))
    repeat = sum(group.stitches for group in of.groups)
    made = pattern(
        family,
        draw(st.integers(2, 8)),
        of,
        colours=draw(st.sampled_from([COLOURS[:count] for count in range(1, 7)])),
        left=draw(st.integers(0, repeat - 1)),
    )
    if family in ("medallion", "ribbon"):
        made = replace(made, apart=draw(st.integers(0, 19)))
    if family == "ribbon":
        made = replace(made, shift=draw(st.integers(0, 2 * repeat)))
    if family == "hungarian point":
        made = replace(made, lengths=draw(cycles(len(of.groups))))
    return made


@st.composite
def cycles(draw: st.DrawFn, groups: int) -> tuple[tuple[int, ...], ...]:
    """Rows of mixed lengths in which each group's column is one set of lengths in its own order."""
    lengths = draw(st.lists(st.integers(2, 8), min_size=1, max_size=4))
    turns = draw(st.lists(st.permutations(lengths), min_size=1, max_size=groups))
    return tuple(tuple(turn[row] for turn in turns) for row in range(len(lengths)))


@st.composite
def pieces(draw: st.DrawFn, most: int = 120, families: tuple[str, ...] = LINES) -> Piece:
    """A random flat piece of up to `most` holes each way; its columns need not make whole repeats."""
    work = draw(patterns(families))
    columns, rows = draw(st.integers(2, most)), draw(st.integers(3, most))
    return piece(columns=columns, rows=rows, pattern=work)


@st.composite
def squares(draw: st.DrawFn, most: int = 75) -> Piece:
    """A random four-way piece."""
    work = replace(draw(patterns(("flame",))), family="four-way")
    size = 2 * draw(st.integers(1, most // 2)) + 1
    return piece(columns=size, rows=size, pattern=work)


def charted(panel: Panel, order: list[int] | None = None) -> Piece:
    """The piece of a panel as charted work: stitches in any order, every second one from its other end."""
    work = panel.stitches if order is None else panel.stitches.take(np.array(order, dtype=np.int64))
    turned = np.arange(len(work)) % 2 == 1
    ends = (
        np.where(turned, work.x2, work.x1),
        np.where(turned, work.y2, work.y1),
        np.where(turned, work.x1, work.x2),
        np.where(turned, work.y1, work.y2),
    )
    chart = Chart(*(tuple(each.tolist()) for each in (*ends, work.colour)))
    made = pattern("charted", of=None, colours=COLOURS, chart=chart)
    return replace(panel.piece, pattern=made)
