"""Text as platypus paragraphs, and the widths that cells share. Lengths are points."""

from __future__ import annotations

from collections.abc import Sequence
from xml.sax.saxutils import escape

from reportlab.platypus import Paragraph as Lines

from kitbuild.base.colour import BLACK, Rgb
from kitbuild.output.pdf_cells import Widths
from kitbuild.output.pdf_style import style


def lines(text: str, name: str, align: str = "l", rgb: Rgb = BLACK) -> Lines:
    """`text` as it is, never as markup, in the style `name`; its new lines are kept."""
    return Lines(escape(text).replace("\n", "<br/>"), style(name, align, rgb))


def shares(widths: Sequence[float]) -> Widths:
    """Widths as shares of what there is, never more than all of it."""
    total = max(sum(widths), 1.0)
    return lambda width: [share / total * width for share in widths]


def hanging(indent: float) -> Widths:
    """Two widths: `indent`, and the rest."""
    return lambda width: [indent, max(width - indent, 1.0)]
