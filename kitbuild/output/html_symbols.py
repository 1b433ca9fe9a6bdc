"""Symbols of colours as outlines, drawn alike on every screen. Lengths are those of the drawing."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Final

from kitbuild.base.colour import Rgb
from kitbuild.output.html_numbers import short

EM: Final = 2048
_FILE: Final = Path(__file__).parent.parent / "fonts" / "symbols.txt"
#: Breadth of the line round a symbol's ink, as a share of its size, so that open shapes stay firm.
_PEN: Final = 0.05


@dataclass(frozen=True, slots=True)
class Outline:
    """A symbol in 1/2048 em, y down from the base line: advance, (left, top, right, bottom), path data."""

    advance: int
    box: tuple[int, int, int, int]
    path: str


@cache
def outlines() -> dict[str, Outline]:
    """Character -> its outline, for every symbol that a colour can have; read once."""
    found = {}
    for line in _FILE.read_text(encoding="ascii").splitlines():
        code, advance, left, top, right, bottom, path = line.split(" ", 6)
        box = (int(left), int(top), int(right), int(bottom))
        found[chr(int(code, 16))] = Outline(int(advance), box, path)
    return found


def hexadecimal(rgb: Rgb) -> str:
    """A colour as SVG and CSS write it, as short as can be."""
    text = "#" + "".join(f"{channel:02x}" for channel in rgb)
    return f"#{text[1]}{text[3]}{text[5]}" if text[1::2] == text[2::2] else text


def centred(symbol: str, size: float, rgb: Rgb) -> str:
    """The symbol's ink round the origin, fitted into a square of `size`; "" for any other character."""
    if symbol not in outlines():
        return ""
    outline = outlines()[symbol]
    left, top, right, bottom = outline.box
    scale = min(size * (1 - _PEN) / max(right - left, bottom - top), 1.6 * size / EM)
    move = f"translate({short(-(left + right) / 2)} {short(-(top + bottom) / 2)})"
    colour, pen = hexadecimal(rgb), short(_PEN * size / scale)
    return (
        f'<path transform="scale({scale:.6f}) {move}" fill="{colour}" stroke="{colour}" '
        f'stroke-width="{pen}" d="{outline.path}"/>'
    )


def written(symbol: str, x: float, y: float, size: float, anchor: str, rgb: Rgb) -> str:
    """The symbol as a letter of `size` on its base line at (x, y)."""
    outline = outlines()[symbol]
    scale = size / EM
    left = x - {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor] * outline.advance * scale
    return (
        f'<path transform="translate({short(left)} {short(y)}) scale({scale:.6f})" '
        f'fill="{hexadecimal(rgb)}" d="{outline.path}"/>'
    )
