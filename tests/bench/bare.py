"""A bare writer of content streams: the least that a chart costs in PDF, and nothing that a reader needs.

It draws the marks that it is given, one pass, a form for each kind of bar and symbol, deflated at the usual
level. It has no layout, no tags, no bookmarks and no embedded fonts: labels stand in a font of the viewer's,
and a symbol is a square in its ink.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterator
from dataclasses import dataclass, field

from kitbuild.base.blocks import Figure, LineMarks, Mark, PolygonMark, StitchMarks, TextMark
from kitbuild.base.colour import Rgb, ink_on
from kitbuild.base.document import Sheet

POINTS_PER_MM = 72 / 25.4


@dataclass(slots=True)
class Bare:
    """The objects of one file; `forms` holds each form's number by what it draws."""

    objects: list[bytes] = field(default_factory=lambda: [b"", b""])
    forms: dict[tuple, int] = field(default_factory=dict)
    marks: int = 0

    def add(self, content: bytes) -> int:
        """A new object: its number."""
        self.objects.append(content)
        return len(self.objects)

    def stream(self, entries: str, operators: str) -> int:
        """A new deflated stream: its number."""
        packed = zlib.compress(operators.encode("latin-1", "replace"))
        head = f"<<{entries}/Filter/FlateDecode/Length {len(packed)}>>stream\n"
        return self.add(head.encode() + packed + b"\nendstream")

    def form(self, kind: tuple, operators: str, reach: float) -> str:
        """The name of the form that draws `operators`, made when its `kind` is new."""
        if kind not in self.forms:
            box = f"/BBox[{-reach:.2f} {-reach:.2f} {reach:.2f} {reach:.2f}]"
            self.forms[kind] = self.stream(f"/Type/XObject/Subtype/Form{box}", operators)
        return f"F{self.forms[kind]}"


def bare_pdf(figures: list[Figure], sheet: Sheet) -> tuple[bytes, int]:
    """A file with a page for each figure, and how many marks it draws."""
    bare = Bare()
    size = f"[0 0 {sheet.width_mm * POINTS_PER_MM:.2f} {sheet.height_mm * POINTS_PER_MM:.2f}]"
    font = bare.add(b"<</Type/Font/Subtype/Type1/BaseFont/Helvetica>>")
    pages = []
    for figure in figures:
        high = figure.height_mm * POINTS_PER_MM
        lines = [line for mark in figure.marks for line in _operators(bare, mark, high)]
        content = bare.stream("", "\n".join(lines))
        forms = "".join(f"/F{number} {number} 0 R" for number in bare.forms.values())
        shared = f"/Resources<</Font<</H {font} 0 R>>/XObject<<{forms}>>>>"
        page = f"<</Type/Page/Parent 2 0 R/MediaBox{size}{shared}/Contents {content} 0 R>>"
        pages.append(bare.add(page.encode()))
    kids = " ".join(f"{page} 0 R" for page in pages)
    bare.objects[:2] = [
        b"<</Type/Catalog/Pages 2 0 R>>",
        f"<</Type/Pages/Count {len(pages)}/Kids[{kids}]>>".encode(),
    ]
    return _file(bare.objects), bare.marks


def _file(objects: list[bytes]) -> bytes:
    parts, places, at = [b"%PDF-1.7\n"], [], 9
    for number, content in enumerate(objects, start=1):
        places.append(at)
        parts.append(b"%d 0 obj\n%s\nendobj\n" % (number, content))
        at += len(parts[-1])
    rows = b"".join(b"%010d 00000 n \n" % place for place in places)
    tail = b"trailer<</Size %d/Root 1 0 R>>\nstartxref\n%d\n%%%%EOF\n" % (len(objects) + 1, at)
    return b"".join([*parts, b"xref\n0 %d\n0000000000 65535 f \n" % (len(objects) + 1), rows, tail])


def _operators(bare: Bare, mark: Mark, high: float) -> Iterator[str]:
    match mark:
        case StitchMarks():
            yield from _stitches(bare, mark, high)
        case LineMarks():
            bare.marks += len(mark.ends_mm)
            points = (mark.ends_mm * POINTS_PER_MM * [1, -1, 1, -1] + [0, high, 0, high]).round(2).tolist()
            path = " ".join([f"{a} {b} m {c} {d} l" for a, b, c, d in points])
            yield f"{_rgb(mark.rgb)} RG {mark.pen_mm * POINTS_PER_MM:.2f} w {path} S"
        case PolygonMark():
            bare.marks += 1
            first, *others = [(x * POINTS_PER_MM, high - y * POINTS_PER_MM) for x, y in mark.points_mm]
            path = " ".join([f"{first[0]:.2f} {first[1]:.2f} m", *(f"{x:.2f} {y:.2f} l" for x, y in others)])
            fill, edge = mark.fill or (0, 0, 0), mark.outline or (0, 0, 0)
            paint = "B" if mark.fill and mark.outline else "f" if mark.fill else "S"
            yield f"{_rgb(fill)} rg {_rgb(edge)} RG {mark.pen_mm * POINTS_PER_MM:.2f} w {path} h {paint}"
        case TextMark():
            bare.marks += 1
            x, y = mark.x_mm * POINTS_PER_MM, high - mark.y_mm * POINTS_PER_MM
            words = mark.text.replace("\\", r"\\").replace("(", r"\(").replace(")", r"\)")
            yield f"BT {_rgb(mark.rgb)} rg /H {mark.size_pt} Tf {x:.2f} {y:.2f} Td ({words}) Tj ET"


def _stitches(bare: Bare, mark: StitchMarks, high: float) -> Iterator[str]:
    hole = mark.hole_mm * POINTS_PER_MM
    left, top = (side * POINTS_PER_MM for side in mark.origin_mm)
    if mark.clip_mm:
        a, b, wide, deep = (side * POINTS_PER_MM for side in mark.clip_mm)
        yield f"q {a:.2f} {high - b - deep:.2f} {wide:.2f} {deep:.2f} re W n"
    runs = (mark.x2 - mark.x1, mark.y2 - mark.y1, mark.colour)
    bars = list(zip(*(each.tolist() for each in runs), strict=True))
    names = {kind: _bar(bare, mark, *kind, hole) for kind in dict.fromkeys(bars)}
    x, y = (left + mark.x1 * hole).round(2).tolist(), (high - top - mark.y1 * hole).round(2).tolist()
    lines = [f"q 1 0 0 1 {a} {b} cm /{names[kind]} Do Q" for a, b, kind in zip(x, y, bars, strict=True)]
    if mark.symbol_x is not None and mark.symbol_y is not None:
        there = mark.symbol_x == mark.symbol_x
        signs = mark.colour[there].tolist()
        names = {kind: _sign(bare, mark, kind, hole) for kind in dict.fromkeys(signs)}
        x = (left + mark.symbol_x[there] * hole).round(2).tolist()
        y = (high - top - mark.symbol_y[there] * hole).round(2).tolist()
        lines += [f"q 1 0 0 1 {a} {b} cm /{names[kind]} Do Q" for a, b, kind in zip(x, y, signs, strict=True)]
    bare.marks += len(lines)
    yield "\n".join(lines)
    yield "Q" if mark.clip_mm else ""


def _bar(bare: Bare, mark: StitchMarks, dx: float, dy: float, colour: int, hole: float) -> str:
    kind = ("bar", dx, dy, colour, hole)
    if kind in bare.forms:
        return f"F{bare.forms[kind]}"
    path = f"0 0 m {dx * hole:.2f} {-dy * hole:.2f} l S"
    operators = f"1 J {_rgb(mark.inks[colour].rgb)} RG {mark.width * hole:.2f} w {path}"
    return bare.form(kind, operators, (max(abs(dx), abs(dy)) + 1) * hole)


def _sign(bare: Bare, mark: StitchMarks, colour: int, hole: float) -> str:
    kind = ("sign", colour, hole)
    if kind in bare.forms:
        return f"F{bare.forms[kind]}"
    side = 0.5 * hole
    operators = (
        f"{_rgb(ink_on(mark.inks[colour].rgb))} rg {-side / 2:.2f} {-side / 2:.2f} {side:.2f} {side:.2f} re f"
    )
    return bare.form(kind, operators, side)


def _rgb(rgb: Rgb) -> str:
    return " ".join(f"{channel / 255:.3f}" for channel in rgb)
