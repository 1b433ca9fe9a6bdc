"""Random charted work, with islands, bare places and sideways stitches, as the order of work meets it."""

from __future__ import annotations

import random
from dataclasses import replace

import numpy as np
from hypothesis import strategies as st

from kitbuild.pattern.area import area_of
from kitbuild.pattern.charted import stitches
from kitbuild.pattern.panel import Cover, Panel, Repeat
from kitbuild.spec.piece import Chart
from tests.pattern.builders import COLOURS, pattern, piece

Bar = tuple[int, int, int, int, int]
"""x1, y1, x2, y2 and the colour."""


def panel_drawn(bars: list[Bar], columns: int, rows: int) -> Panel:
    """A charted panel of exactly these stitches, whether they cover anything or not."""
    chart = Chart(*(tuple(each) for each in zip(*bars, strict=True)))
    work = pattern("charted", of=None, colours=COLOURS, chart=chart)
    what = piece(columns=columns, rows=rows, pattern=work)
    bare = Cover("", np.zeros((rows - 1, columns), dtype=bool), np.zeros((rows, columns - 1), dtype=bool))
    return Panel(what, stitches(work, area_of(columns, rows, ())), bare, Repeat(columns, 1, 0, 0, 1), "rows")


def _string(chance: random.Random, size: int, colours: int, bare: float) -> list[tuple[int, int, int]]:
    """First hole, last hole and colour of the stitches of one column, some of them left out."""
    found, at = [], 1
    while at < size:
        end = min(size, at + chance.randint(1, 6))
        if chance.random() >= bare:
            found.append((at, end, chance.randrange(colours)))
        at = end
    return found


def bars_drawn(
    chance: random.Random, columns: int, rows: int, colours: int = 3, bare: float = 0.2, mixed: bool = True
) -> list[Bar]:
    """Stitches in random columns and, in mixed work, in random hole rows; at least one."""
    bars = [
        (x, first, x, last, colour)
        for x in range(1, columns + 1)
        for first, last, colour in _string(chance, rows, colours, bare)
    ]
    if mixed:
        across = [y for y in range(1, rows + 1) if chance.random() < 0.3]
        bars += [
            (first, y, last, y, colour)
            for y in across
            for first, last, colour in _string(chance, columns, colours, 0.5)
        ]
    return bars or [(1, 1, 1, 2, 0)]


@st.composite
def drawings(draw: st.DrawFn, most: int = 14) -> Panel:
    """A random charted panel, down to one column or one stitch."""
    columns, rows = draw(st.integers(1, most)), draw(st.integers(2, most))
    chance = random.Random(draw(st.integers(0, 1 << 30)))
    bare, mixed = draw(st.sampled_from((0.0, 0.2, 0.7))), draw(st.booleans())
    return panel_drawn(bars_drawn(chance, columns, rows, draw(st.integers(1, 4)), bare, mixed), columns, rows)


def one_stitch() -> Panel:
    return panel_drawn([(1, 1, 1, 3, 0)], 1, 3)


def recoloured(panel: Panel, chance: random.Random, colours: int) -> Panel:
    """The same stitches, each in any of so many colours."""
    colour = np.array([chance.randrange(colours) for _ in range(len(panel.stitches))], dtype=np.int64)
    return replace(panel, stitches=replace(panel.stitches, colour=colour))
