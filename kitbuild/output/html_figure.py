"""A figure as inline SVG: its marks in the order in which they are given, in millimetres."""

from __future__ import annotations

from collections.abc import Iterator

from markupsafe import Markup, escape

from kitbuild.base.blocks import Figure, Ink, LineMarks, Mark, PolygonMark, StitchMarks, TextMark
from kitbuild.base.colour import ink_on, outline_of
from kitbuild.base.units import POINTS_PER_MM
from kitbuild.output.html_numbers import joined, short
from kitbuild.output.html_stitches import stitches
from kitbuild.output.html_symbols import centred, hexadecimal, outlines, written


def drawing(figure: Figure, id: str) -> Markup:
    """The SVG element, named by the figure's alternative; every id in it begins with `id`.

    Its marks are hidden from readers: their numbers would be heard one by one, without the places that they
    stand at. A title beside the name would be heard as well, the same words again.
    """
    width, height = short(figure.width_mm), short(figure.height_mm)
    parts = [
        f'<svg class="drawing" role="img" aria-label="{escape(figure.alt)}" width="{width}mm" '
        f'height="{height}mm" viewBox="0 0 {width} {height}"><g aria-hidden="true">'
    ]
    for at, mark in enumerate(figure.marks):
        parts += _mark(mark, f"{id}m{at}")
    return Markup("".join([*parts, "</g></svg>"]))


def swatch(ink: Ink) -> Markup:
    """A patch of colour with its symbol, for a line of text; words beside it name the colour."""
    patch = (
        f'<rect x=".3" y=".3" width="13.4" height="9.4" rx="1" fill="{hexadecimal(ink.rgb)}" '
        f'stroke="{hexadecimal(outline_of(ink.rgb))}" stroke-width=".6"/>'
    )
    symbol = f'<g transform="translate(7 5)">{centred(ink.symbol, 6.8, ink_on(ink.rgb))}</g>'
    return Markup(f'<svg class="swatch" aria-hidden="true" viewBox="0 0 14 10">{patch}{symbol}</svg>')


def _mark(mark: Mark, id: str) -> Iterator[str]:
    match mark:
        case StitchMarks():
            yield from stitches(mark, id)
        case LineMarks():
            yield _lines(mark)
        case PolygonMark():
            yield _polygon(mark)
        case TextMark():
            yield _text(mark)


def _lines(mark: LineMarks) -> str:
    """One path for all lines; upright and level ones take one number less."""
    if not len(mark.ends_mm):
        return ""
    path = "".join([_line(*ends) for ends in mark.ends_mm.round(2).tolist()])
    dashes = f' stroke-dasharray="{joined(mark.dash_mm)}"' if mark.dash_mm else ""
    pen = f'stroke="{hexadecimal(mark.rgb)}" stroke-width="{short(mark.pen_mm)}"{dashes}'
    return f'<path fill="none" {pen} d="{path}"/>'


def _line(x1: float, y1: float, x2: float, y2: float) -> str:
    start = f"M{short(x1)} {short(y1)}"
    if x1 == x2:
        return f"{start}V{short(y2)}"
    return f"{start}H{short(x2)}" if y1 == y2 else f"{start}L{short(x2)} {short(y2)}"


def _polygon(mark: PolygonMark) -> str:
    fill = hexadecimal(mark.fill) if mark.fill else "none"
    points = " ".join(f"{short(x)},{short(y)}" for x, y in mark.points_mm)
    pen = ""
    if mark.outline is not None:
        stroke = f'stroke="{hexadecimal(mark.outline)}" stroke-width="{short(mark.pen_mm)}"'
        pen = f' {stroke} stroke-linejoin="round"'
    return f'<polygon points="{points}" fill="{fill}"{pen}/>'


def _text(mark: TextMark) -> str:
    """Words; a colour's symbol by itself is drawn as an outline, so that it is the one of the charts."""
    size = mark.size_pt / POINTS_PER_MM
    if mark.text in outlines() and not mark.turned:
        return written(mark.text, mark.x_mm, mark.y_mm, size, mark.anchor, mark.rgb)
    x, y = short(mark.x_mm), short(mark.y_mm)
    place = f'transform="translate({x} {y}) rotate(-90)"' if mark.turned else f'x="{x}" y="{y}"'
    anchor = "" if mark.anchor == "start" else f' text-anchor="{mark.anchor}"'
    weight = ' font-weight="bold"' if mark.bold else ""
    fill = f'fill="{hexadecimal(mark.rgb)}" font-size="{short(size)}"'
    return f"<text {place}{anchor}{weight} {fill}>{escape(mark.text)}</text>"
