"""Many stitches in few bytes: one marker for each kind of bar and symbol, placed by one invisible path.

A path of thirty thousand stitches is told by the steps between them, some four bytes a stitch. Within it the
unit is a hole.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

import numpy as np

from kitbuild.base.blocks import Floats, Ink, Ints, StitchMarks
from kitbuild.base.colour import BLACK, WHITE, ink_on, mix, outline_of
from kitbuild.output.html_numbers import joined, short, track
from kitbuild.output.html_symbols import centred, hexadecimal
from kitbuild.output.stitch_look import STREAKS, SYMBOL_SHARE

#: Up to so many stitches are drawn in their own order, since those of a diagram may lie over each other.
_IN_ORDER = 200


@dataclass(frozen=True, slots=True)
class Bar:
    """One kind of bar: its run from end to end and its breadth, in holes, y down."""

    dx: float
    dy: float
    ink: Ink
    breadth: float
    shade: bool


def stitches(marks: StitchMarks, prefix: str) -> Iterator[str]:
    """The SVG of `marks`; every id in it begins with `prefix`."""
    if not len(marks.x1):
        return
    left, top = marks.origin_mm
    opened = f'<g transform="translate({joined((left, top))}) scale({short(marks.hole_mm)})" fill="none">'
    if marks.clip_mm:
        x, y, width, height = map(short, marks.clip_mm)
        rectangle = f'<rect x="{x}" y="{y}" width="{width}" height="{height}"/>'
        yield f'<clipPath id="{prefix}c">{rectangle}</clipPath><g clip-path="url(#{prefix}c)">'
    yield opened
    yield from _placed(marks.x1, marks.y1, *_bars(marks), f"{prefix}b")
    if marks.symbols:
        x = (marks.x1 + marks.x2) / 2 if marks.symbol_x is None else marks.symbol_x
        y = (marks.y1 + marks.y2) / 2 if marks.symbol_y is None else marks.symbol_y
        seen = np.isfinite(x) & np.isfinite(y)
        yield from _placed(x[seen], y[seen], _symbols(marks), marks.colour[seen], f"{prefix}s")
    yield "</g></g>" if marks.clip_mm else "</g>"


def _bars(marks: StitchMarks) -> tuple[list[str], Ints]:
    """The drawing of each kind of bar, and the kind of each stitch."""
    run = np.column_stack([marks.x2 - marks.x1, marks.y2 - marks.y1])
    codes = np.column_stack([np.rint(run * 1000).astype(np.int64), marks.colour])
    kinds, which = np.unique(codes, axis=0, return_inverse=True)
    bars = [
        Bar(dx / 1000, dy / 1000, marks.inks[at], marks.width, marks.shade) for dx, dy, at in kinds.tolist()
    ]
    return [bar_drawing(bar) for bar in bars], which.ravel()


def _symbols(marks: StitchMarks) -> list[str]:
    size = min(marks.width, 0.9) * SYMBOL_SHARE
    return [centred(ink.symbol, size, ink_on(ink.rgb)) for ink in marks.inks]


def _placed(x: Floats, y: Floats, drawings: list[str], kinds: Ints, prefix: str) -> Iterator[str]:
    """A marker for each kind that occurs, and a path through its places."""
    for kind in np.unique(kinds).tolist():
        yield f'<marker id="{prefix}{kind}" markerUnits="userSpaceOnUse" overflow="visible">'
        yield f"{drawings[kind]}</marker>"
    for kind, at in _groups(kinds):
        name = f"url(#{prefix}{kind})"
        ends = f'marker-end="{name}" d="' if len(at) > 1 else 'd="'
        alone = "" if len(at) > 1 else "h0"
        yield f'<path marker-start="{name}" marker-mid="{name}" {ends}{track(x[at], y[at])}{alone}"/>'


def _groups(kinds: Ints) -> Iterator[tuple[int, Ints]]:
    """Each kind with its places; where there are few, each unbroken stretch of a kind by itself."""
    if len(kinds) > _IN_ORDER:
        for kind in np.unique(kinds).tolist():
            yield kind, np.flatnonzero(kinds == kind)
        return
    for kind, stretch in groupby(range(len(kinds)), key=kinds.tolist().__getitem__):
        yield kind, np.array(list(stretch), dtype=np.int64)


def bar_drawing(bar: Bar) -> str:
    """A bar from the origin along its run: a hair short of both holes, so that ends that meet stay two."""
    length, pen = math.hypot(bar.dx, bar.dy), 0.055
    inset = 0.03 + pen / 2
    long, broad = max(length - 2 * inset, bar.breadth - pen), bar.breadth - pen
    radius = min(broad, long) * (0.5 if bar.shade else 0.42)
    turn = short(math.degrees(math.atan2(bar.dy, bar.dx)))
    rectangle = (
        f'<rect y="{short(-broad / 2)}" width="{short(long)}" height="{short(broad)}" rx="{short(radius)}" '
        f'fill="{hexadecimal(bar.ink.rgb)}" stroke="{hexadecimal(outline_of(bar.ink.rgb))}" '
        f'stroke-width="{pen}"/>'
    )
    streaks = "".join(_streaks(bar, long, broad)) if bar.shade else ""
    move = f' translate({short((length - long) / 2)} 0)"'
    return f'<g transform="rotate({turn}){move} stroke-linecap="round">{rectangle}{streaks}</g>'


def _streaks(bar: Bar, long: float, broad: float) -> Iterator[str]:
    """Light and dark along a thread."""
    for across, lighter, share in STREAKS:
        inset = broad * (0.5 - math.sqrt(max(0.25 - across * across, 0))) + broad * 0.14
        if long > 2 * inset:
            shade = hexadecimal(mix(bar.ink.rgb, WHITE if lighter > 0 else BLACK, abs(lighter)))
            ends = f"M{short(inset)} {short(-across * broad)}H{short(long - inset)}"
            yield f'<path stroke="{shade}" stroke-width="{short(share * broad)}" d="{ends}"/>'
