"""Write symbols.txt of this folder anew from the shipped face: `python -m kitbuild.fonts.symbols`.

Pages for the screen draw symbols from these outlines, so that no reader's font can change them. One line a
symbol: code point (hexadecimal), advance, left, top, right and bottom of its ink, and its outline as SVG path
data, in 1/2048 em with y down from the base line.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from fontTools.pens.boundsPen import BoundsPen
from fontTools.pens.svgPathPen import SVGPathPen
from fontTools.pens.transformPen import TransformPen
from fontTools.ttLib import TTFont

from kitbuild.base.glyphs import SYMBOLS

_HERE = Path(__file__).parent
FLIPPED = (1, 0, 0, -1, 0, 0)


def main() -> None:
    """Write symbols.txt beside this module."""
    (_HERE / "symbols.txt").write_text(text(), encoding="ascii", newline="\n")


def text() -> str:
    """The content of symbols.txt."""
    return "".join(f"{line}\n" for line in _lines(TTFont(_HERE / "DejaVuSans-subset.ttf")))


def _lines(font: TTFont) -> Iterator[str]:
    glyphs, names = font.getGlyphSet(), font.getBestCmap()
    for char in SYMBOLS.values():
        glyph = glyphs[names[ord(char)]]
        bounds, path = BoundsPen(glyphs), SVGPathPen(glyphs, lambda number: str(round(number)))
        glyph.draw(TransformPen(bounds, FLIPPED))
        glyph.draw(TransformPen(path, FLIPPED))
        box = " ".join(str(round(side)) for side in bounds.bounds)
        yield f"{ord(char):04X} {glyph.width} {box} {path.getCommands()}"


if __name__ == "__main__":
    main()
