"""The house style on paper: fonts, sizes and colours. Lengths are points."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from struct import unpack
from typing import Final

from reportlab.lib.colors import Color
from reportlab.lib.enums import TA_CENTER, TA_LEFT, TA_RIGHT
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from kitbuild.base.colour import Rgb
from kitbuild.base.units import POINTS_PER_MM as MM

PLAIN: Final = "KitSans"
BOLD: Final = "KitSans-Bold"

RULE_RGB: Final[Rgb] = (40, 40, 40)
TABLE_RULE_RGB: Final[Rgb] = (90, 90, 90)
FAINT_RULE_RGB: Final[Rgb] = (150, 150, 150)
SHADE_RGB: Final[Rgb] = (243, 243, 240)
FOOT_RGB: Final[Rgb] = (70, 70, 70)
TICK_MM: Final = 4.0
LARGE_TICK_MM: Final = 6.5
"""A box to tick: as high as the capitals beside it, and larger than a pen's tick."""

_FOLDER: Final = Path(__file__).parent.parent / "fonts"
_ALIGNMENTS: Final = {"l": TA_LEFT, "r": TA_RIGHT, "c": TA_CENTER}

#: Style name → (font, size, leading, space before, space after).
_STYLES: Final[dict[str, tuple[str, float, float, float, float]]] = {
    "h1": (BOLD, 20, 25, 18, 9),
    "h2": (BOLD, 14, 18, 15, 5),
    "h3": (BOLD, 11, 15, 11, 3),
    "body": (PLAIN, 10.5, 15, 0, 7),
    "lead": (PLAIN, 13, 19, 0, 10),
    "small": (PLAIN, 8.5, 12, 0, 5),
    "step": (PLAIN, 10.5, 15, 0, 0),
    "marker": (BOLD, 10.5, 15, 0, 0),
    "caption": (PLAIN, 8.5, 12, 5, 9),
    "table caption": (PLAIN, 9.5, 13, 6, 4),
    "plain": (PLAIN, 9.5, 13, 0, 0),
    "plain head": (BOLD, 9.5, 13, 0, 0),
    "big": (PLAIN, 11, 15, 0, 0),
    "big head": (BOLD, 11, 15, 0, 0),
    "big strong": (BOLD, 14, 16, 0, 0),
    "signal": (BOLD, 11.5, 14, 0, 0),
    "note": (PLAIN, 10, 14, 0, 0),
    "note bold": (BOLD, 10, 14, 0, 0),
}

#: The same in large print: 21 points, whose x-height is 4.06 mm in this face; lines 1.25 times that or more.
_LARGE: Final[dict[str, tuple[str, float, float, float, float]]] = {
    "h1": (BOLD, 30, 38, 22, 12),
    "h2": (BOLD, 25, 32, 20, 8),
    "h3": (BOLD, 22, 29, 16, 6),
    "lead": (PLAIN, 23, 31, 0, 14),
    "signal": (BOLD, 23, 29, 0, 0),
} | {
    name: (font, 21, 28, 1.4 * before, 1.6 * after)
    for name, (font, size, _, before, after) in _STYLES.items()
    if size <= 11 and name != "h3"
}


class Face(TTFont):
    """reportlab's font, with a short way for what most pages are written in."""

    def splitString(self, text: bytes | str, doc: object, encoding: str = "utf-8") -> list[tuple[int, bytes]]:
        """The chunks of a text by font subset: printable ASCII is its own code in the first."""
        if isinstance(text, str) and text and text.isascii() and text.isprintable() and doc in self.state:
            return [(0, text.encode("ascii"))]
        return super().splitString(text, doc, encoding)


@cache
def load_fonts() -> None:
    """Register both faces with reportlab, once a process."""
    for name, file in ((PLAIN, "DejaVuSans-subset.ttf"), (BOLD, "DejaVuSans-Bold-subset.ttf")):
        pdfmetrics.registerFont(Face(name, str(_FOLDER / file), asciiReadable=1, shapable=False))
    pdfmetrics.registerFontFamily(PLAIN, normal=PLAIN, bold=BOLD, italic=PLAIN, boldItalic=BOLD)


@cache
def style(
    name: str, align: str = "l", rgb: Rgb = (0, 0, 0), least_pt: float = 0, large: bool = False
) -> ParagraphStyle:
    """The paragraph style `name`, with its lines to the left, right or centre (l, r, c).

    Where its letters are smaller than `least_pt`, they and their leading grow to that.
    """
    font, size, leading, before, after = (_LARGE if large else _STYLES)[name]
    if least_pt > size:
        size, leading = least_pt, leading * least_pt / size
    return ParagraphStyle(
        name, fontName=font, bulletFontName=font, fontSize=size, leading=leading, spaceBefore=before,
        spaceAfter=after, alignment=_ALIGNMENTS[align], textColor=colour(rgb), splitLongWords=1,
        allowWidows=0, allowOrphans=0,
    )  # fmt: skip


def tick_pt(*, large: bool) -> float:
    """The side of a box to tick."""
    return mm(LARGE_TICK_MM if large else TICK_MM)


@cache
def colour(rgb: Rgb) -> Color:
    """`rgb` as reportlab takes it, with three decimals."""
    red, green, blue = (round(channel / 255, 3) for channel in rgb)
    return Color(red, green, blue)


@cache
def glyph_box(char: str, font: str = PLAIN) -> tuple[float, float, float, float]:
    """Left, bottom, right and top of a glyph's ink, in ems; a blank glyph has the box of its advance."""
    face = pdfmetrics.getFont(font).face
    glyph = face.charToGlyph.get(ord(char), 0)
    wide = unpack(">h", face.get_table("head")[50:52])[0]
    step, kind, scale = (4, ">2L", 1) if wide else (2, ">2H", 2)
    start, end = unpack(kind, face.get_table("loca")[glyph * step : (glyph + 2) * step])
    if start == end:
        return (0.0, 0.0, pdfmetrics.stringWidth(char, font, 1), 0.7)
    em = unpack(">H", face.get_table("head")[18:20])[0]
    box = unpack(">4h", face.get_table("glyf")[start * scale + 2 : start * scale + 10])
    left, bottom, right, top = (value / em for value in box)
    return (left, bottom, right, top)


def centred_glyph(char: str, size_pt: float, font: str = PLAIN) -> tuple[float, float, float]:
    """Font size, and base point (x, y) from the middle, that fit a glyph's ink into a square of `size_pt`."""
    left, bottom, right, top = glyph_box(char, font)
    font_size = min(size_pt / max(right - left, top - bottom), 1.6 * size_pt)
    return font_size, -(left + right) / 2 * font_size, -(bottom + top) / 2 * font_size


def mm(value_mm: float) -> float:
    """Points in a length of millimetres."""
    return value_mm * MM
