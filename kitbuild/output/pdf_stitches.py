"""Many stitches, drawn quickly: one form for each kind of bar and symbol, placed by one string."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
from reportlab.pdfgen.canvas import Canvas

from kitbuild.base.blocks import Floats, Ink, Ints, StitchMarks
from kitbuild.base.colour import BLACK, WHITE, ink_on, mix, outline_of
from kitbuild.output import pdf_ink
from kitbuild.output.pdf_shapes import draw_symbol
from kitbuild.output.pdf_style import colour, mm
from kitbuild.output.stitch_look import STREAKS, SYMBOL_SHARE


@dataclass(frozen=True, slots=True)
class Bar:
    """One kind of bar: run from end to end in points (y up), colour, hole and breadth in points."""

    dx: float
    dy: float
    ink: Ink
    hole: float
    breadth: float
    shade: bool


@dataclass(frozen=True, slots=True)
class Symbol:
    """One symbol of one size in points."""

    ink: Ink
    size: float


@dataclass(slots=True)
class Forms:
    """The forms of one file, named in the order of first use."""

    names: dict[Bar | Symbol, str] = field(default_factory=dict)

    def name(self, canvas: Canvas, kind: Bar | Symbol) -> str:
        """The form for `kind`, made when it is new."""
        if kind not in self.names:
            self.names[kind] = f"s{len(self.names)}"
            _make_form(canvas, self.names[kind], kind)
        return self.names[kind]


def draw_stitches(canvas: Canvas, marks: StitchMarks, height: float, forms: Forms) -> None:
    """Draw `marks` in a figure `height` points high whose lower left corner is the origin."""
    if not len(marks.x1):
        return
    canvas.saveState()
    if marks.clip_mm:
        left, top, wide, high = (mm(side) for side in marks.clip_mm)
        canvas.addLiteral(f"{left:.3f} {height - top - high:.3f} {wide:.3f} {high:.3f} re W n")
    _place(canvas, *_points(marks, marks.x1, marks.y1, height), *_bars(canvas, marks, forms))
    if marks.symbols:
        x = (marks.x1 + marks.x2) / 2 if marks.symbol_x is None else marks.symbol_x
        y = (marks.y1 + marks.y2) / 2 if marks.symbol_y is None else marks.symbol_y
        names, kinds = _symbols(canvas, marks, forms)
        there = ~(np.isnan(x) | np.isnan(y))
        _place(canvas, *_points(marks, x[there], y[there], height), names, kinds[there])
    canvas.restoreState()


def _points(marks: StitchMarks, x: Floats, y: Floats, height: float) -> tuple[Ints, Ints]:
    """Places in whole hundredths of a point, so that no sum of steps between them is off."""
    hole = mm(marks.hole_mm)
    left, top = (mm(side) for side in marks.origin_mm)
    points = (left + x * hole, height - top - y * hole)
    across, up = (np.rint(each * 100).astype(np.int64) for each in points)
    return across, up


def _bars(canvas: Canvas, marks: StitchMarks, forms: Forms) -> tuple[list[str], Ints]:
    dx = np.rint((marks.x2 - marks.x1) * 1000).astype(np.int64)
    dy = np.rint((marks.y2 - marks.y1) * 1000).astype(np.int64)
    codes = ((dx + (1 << 20)) << 32) | ((dy + (1 << 20)) << 10) | marks.colour
    _, firsts, kinds = np.unique(codes, return_index=True, return_inverse=True)
    hole = mm(marks.hole_mm)
    names = []
    for first in firsts.tolist():
        run = (float(dx[first]) / 1000 * hole, -float(dy[first]) / 1000 * hole)
        bar = Bar(*run, marks.inks[marks.colour[first]], hole, marks.width * hole, marks.shade)
        names.append(forms.name(canvas, bar))
    return names, kinds


def _symbols(canvas: Canvas, marks: StitchMarks, forms: Forms) -> tuple[list[str], Ints]:
    size = min(marks.width, 0.9) * mm(marks.hole_mm) * SYMBOL_SHARE
    used = set(np.unique(marks.colour).tolist())
    names = [
        forms.name(canvas, Symbol(ink, size)) if index in used else "" for index, ink in enumerate(marks.inks)
    ]
    return names, marks.colour


def _place(canvas: Canvas, x: Ints, y: Ints, names: list[str], kinds: Ints) -> None:
    """Each form is placed from where the last one stands: a pattern has few steps, again and again."""
    across, up = np.diff(x, prepend=0), np.diff(y, prepend=0)
    codes = ((across + (1 << 20)) << 42) | ((up + (1 << 20)) << 20) | kinds
    _, firsts, steps = np.unique(codes, return_index=True, return_inverse=True)
    used = zip(across[firsts].tolist(), up[firsts].tolist(), kinds[firsts].tolist(), strict=True)
    words = [f"1 0 0 1 {dx / 100:g} {dy / 100:g} cm {pdf_ink.operator(names[kind])}" for dx, dy, kind in used]
    text = "\n".join([words[step] for step in steps.tolist()])
    pdf_ink.place_forms(canvas, f"q\n{text}\nQ", filter(None, names))


def _make_form(canvas: Canvas, name: str, kind: Bar | Symbol) -> None:
    if isinstance(kind, Symbol):
        reach = round(kind.size, 3)
        canvas.beginForm(name, -reach, -reach, reach, reach)
        draw_symbol(canvas, kind.ink.symbol, 0, 0, kind.size, ink_on(kind.ink.rgb))
    else:
        reach = round(max(kind.breadth, kind.hole), 3)
        low = (min(kind.dx, 0) - reach, min(kind.dy, 0) - reach)
        high = (max(kind.dx, 0) + reach, max(kind.dy, 0) + reach)
        canvas.beginForm(name, *(round(side, 3) for side in low + high))
        draw_bar(canvas, kind)
    canvas.endForm()


def draw_bar(canvas: Canvas, bar: Bar) -> None:
    """A bar from the origin along its run: a hair short of both holes, so that ends that meet stay two."""
    length = math.hypot(bar.dx, bar.dy)
    pen = max(0.055 * bar.hole, 0.15)
    inset = 0.03 * bar.hole + pen / 2
    long, broad = max(length - 2 * inset, bar.breadth - pen), bar.breadth - pen
    canvas.rotate(math.degrees(math.atan2(bar.dy, bar.dx)))
    canvas.translate((length - long) / 2, 0)
    canvas.setLineWidth(round(pen, 3))
    canvas.setFillColor(colour(bar.ink.rgb))
    canvas.setStrokeColor(colour(outline_of(bar.ink.rgb)))
    radius = min(broad, long) * (0.5 if bar.shade else 0.42)
    canvas.roundRect(0, -broad / 2, long, broad, radius, stroke=1, fill=1)
    if bar.shade:
        _draw_streaks(canvas, bar, long, broad)


def _draw_streaks(canvas: Canvas, bar: Bar, long: float, broad: float) -> None:
    canvas.setLineCap(1)
    for across, lighter, share in STREAKS:
        shade = mix(bar.ink.rgb, WHITE if lighter > 0 else BLACK, abs(lighter))
        inset = broad * (0.5 - math.sqrt(max(0.25 - across * across, 0))) + broad * 0.14
        canvas.setStrokeColor(colour(shade))
        canvas.setLineWidth(round(share * broad, 3))
        if long > 2 * inset:
            canvas.line(inset, across * broad, long - inset, across * broad)
