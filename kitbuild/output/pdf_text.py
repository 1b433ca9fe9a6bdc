"""Text as platypus paragraphs, and the widths that cells share. Lengths are points."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cache, lru_cache
from typing import Final
from xml.sax.saxutils import escape

from reportlab.lib.enums import TA_CENTER, TA_LEFT, TA_RIGHT
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Paragraph
from reportlab.platypus.paraparser import ParaFrag

from kitbuild.base.colour import BLACK, Rgb
from kitbuild.output.pdf_cells import Widths
from kitbuild.output.pdf_style import colour, style

_BLACK: Final = colour(BLACK)
_NUMBER_SPACE: Final = re.compile(r"(?<=\d) (?=(?:mm|cm|m|in)\b|%|\d+/\d)|(?<=\d) (?=×)|(?<=×) (?=\d)")

#: What the parser of markup does not hand on as it is: its own signs, and white space but single blanks.
_MARKED: Final = re.compile(r"[&<>]|[^\S \u00a0]|  |^\s|\s$|^$")


class Lines(Paragraph):
    """A paragraph whose text, where it is in one style and fits into a line, is set without being broken."""

    plain = ""
    alone = False

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Width given, height of the lines."""
        look = self.style
        self.alone = bool(self.plain) and _word_width(self.plain, look.fontName, look.fontSize) <= width
        if not self.alone:
            return super().wrap(width, height)
        self.width, self.height = width, look.leading
        return width, look.leading

    def split(self, width: float, height: float) -> list[Paragraph]:
        """As lines are; one alone goes where it fits."""
        self.wrap(width, height)
        if not self.alone:
            return super().split(width, height)
        return [self] if self.height <= height else []

    def drawOn(self, canvas: Canvas, x: float, y: float, _sW: float = 0) -> None:
        """Its lines, the base line of the first a type size below its top; one alone leaves black behind."""
        look = self.style
        if not self.alone or look.textColor != _BLACK:
            super().drawOn(canvas, x, y, _sW)
            return
        slack = self.width - _word_width(self.plain, look.fontName, look.fontSize)
        left = self._hAlignAdjust(x, _sW) + _SLACK[look.alignment] * slack
        written = canvas.beginText(left, y + self.height - look.fontSize)
        written.setFont(look.fontName, look.fontSize, look.leading)
        written.setFillColor(_BLACK)
        written.textOut(self.plain)
        canvas.drawText(written)

    def draw(self) -> None:
        """As a paragraph, also where it was not broken yet."""
        if self.alone:
            super().wrap(self.width, self.height)
        super().draw()


#: The share of a line's slack that stands before it.
_SLACK: Final = {TA_LEFT: 0.0, TA_CENTER: 0.5, TA_RIGHT: 1.0}


def lines(
    text: str, name: str, align: str = "l", rgb: Rgb = BLACK, least_pt: float = 0, large: bool = False
) -> Lines:
    """`text` as it is, never as markup, in the style `name`; its new lines are kept."""
    words, look = bound(text), style(name, align, rgb, least_pt, large)
    if _MARKED.search(words):
        return Lines(escape(words).replace("\n", "<br/>"), look)
    made = Lines(words, look, frags=[_fragment(look).clone(text=words)])
    made.plain = words
    return made


@cache
def _fragment(look: ParagraphStyle) -> ParaFrag:
    """What reportlab's parser of markup makes of a word in a style."""
    return Lines("word", look).frags[0]


def bound(text: str) -> str:
    """`text` with hard spaces between a number and its unit or its fraction, so that no line breaks there."""
    return _NUMBER_SPACE.sub("\u00a0", text)


def shares(widths: Sequence[float]) -> Widths:
    """Widths as shares of what there is, never more than all of it."""
    total = max(sum(widths), 1.0)
    return lambda width: [share / total * width for share in widths]


def roomy(widths: Sequence[float], least: Sequence[float]) -> Widths:
    """Widths as shares, but none below its `least` while the others can give: so that no word is broken.

    Where they cannot, each has its least but for the widest, in which the longest words are broken.
    """

    def widen(width: float) -> list[float]:
        wanted = shares(widths)(width)
        lacking = sum(max(low - have, 0.0) for low, have in zip(least, wanted, strict=True))
        spare = [max(have - low, 0.0) for low, have in zip(least, wanted, strict=True)]
        give = min(lacking / sum(spare), 1.0) if lacking and sum(spare) else 0.0
        if lacking > sum(spare):
            return _capped(least, width)
        return [max(low, have) - give * over for low, have, over in zip(least, wanted, spare, strict=True)]

    return cache(widen)


def _capped(wanted: Sequence[float], most: float) -> list[float]:
    """The same numbers, none above a cap that makes their sum `most`, which is less than all of them."""
    rest, left = most, len(wanted)
    for number in sorted(wanted):
        if number * left > rest:
            break
        rest, left = rest - number, left - 1
    return [min(number, rest / max(left, 1)) for number in wanted]


def longest_word(text: str, name: str, large: bool = False) -> float:
    """Width of the longest word of `text` in the style `name`."""
    look = style(name, large=large)
    return max((_word_width(word, look.fontName, look.fontSize) for word in text.split(" ")), default=0.0)


@lru_cache(maxsize=4096)
def _word_width(word: str, font: str, size_pt: float) -> float:
    return stringWidth(word, font, size_pt)


def hanging(indent: float) -> Widths:
    """Two widths: `indent`, and the rest."""
    return lambda width: [indent, max(width - indent, 1.0)]
