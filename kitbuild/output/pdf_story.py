"""Blocks as flowables, each tied to its element of the structure tree. Lengths are points."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import zip_longest

from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus.flowables import Flowable

from kitbuild.base.blocks import (
    Block,
    Caution,
    Figure,
    Grid,
    Heading,
    PageBreak,
    Paragraph,
    Steps,
    Table,
)
from kitbuild.output.panels import PANELS
from kitbuild.output.pdf_cells import Cells, Look, Row
from kitbuild.output.pdf_figure import Drawing
from kitbuild.output.pdf_flow import Content, Kept, Tagged, tagged
from kitbuild.output.pdf_shapes import AlertSign, Furniture, TickSquare
from kitbuild.output.pdf_stitches import Forms
from kitbuild.output.pdf_style import BOLD, FAINT_RULE_RGB, RULE_RGB, SHADE_RGB, mm, style, tick_pt
from kitbuild.output.pdf_table import table
from kitbuild.output.pdf_tags import Element, Tree
from kitbuild.output.pdf_text import hanging, lines, shares

#: Space on each side of a grid's cell.
GUTTER_MM = 2.0
#: Space below a figure without a caption, in points.
FIGURE_AFTER = 8.0
#: How a list's items are marked, in the words of ISO 32000-1, 14.8.5.5.
_NUMBERING = {"number": "Decimal", "tick": "Square", "dot": "Disc"}


@dataclass(frozen=True, slots=True, order=True)
class Bookmark:
    """A heading's `place` among those of the document, from 0, its depth, key and words."""

    place: int
    level: int
    key: str
    text: str


@dataclass(slots=True)
class Studio:
    """What the blocks of one file share."""

    tree: Tree = field(default_factory=Tree)
    forms: Forms = field(default_factory=Forms)
    large: bool = False
    headings: int = 0
    bookmarks: list[Bookmark] = field(default_factory=list)


class Title(Tagged):
    """A heading that leaves a bookmark where it is drawn; level 1 and 2 only."""

    heads = True

    def __init__(self, studio: Studio, block: Heading, element: Element) -> None:
        super().__init__(lines(block.text, f"h{block.level}", large=studio.large), element)
        self.studio, self.block, self.place = studio, block, studio.headings
        studio.headings += 1

    def drawOn(self, canvas: Canvas, x: float, y: float, _sW: float = 0) -> None:
        """Draw the words and note the place."""
        if self.block.level < 3:
            key = f"h{self.place}"
            canvas.bookmarkPage(key, fit="XYZ", left=max(x - 6, 0), top=y + self.height + 6)
            self.studio.bookmarks.append(Bookmark(self.place, self.block.level, key, self.block.text))
        super().drawOn(canvas, x, y, _sW)


def sections(studio: Studio, blocks: Iterable[Block]) -> list[Content]:
    """Flowables of `blocks`, cut at the page breaks; a section with nothing in it is left out."""
    parts: list[list[Block]] = [[]]
    for block in blocks:
        if isinstance(block, PageBreak):
            parts.append([])
        else:
            parts[-1].append(block)
    return [story(studio, part, studio.tree.root) for part in parts if part]


def story(studio: Studio, blocks: Iterable[Block], parent: Element) -> Content:
    """Flowables of `blocks`; a heading, and what leads to a drawing, stay with what follows."""
    content: Content = []
    heads: Content = []
    row = list(blocks)
    for block, after in zip_longest(row, row[1:]):
        made = _make(studio, block, parent)
        drawn = isinstance(after, Figure | Grid)
        if isinstance(block, Heading) or (isinstance(block, Paragraph) and drawn):
            heads += made
            continue
        if heads and made:
            made, heads = [Kept([*heads, made[0]], firm=not isinstance(block, Figure | Grid)), *made[1:]], []
        if isinstance(block, Steps) and drawn:
            heads = [made.pop()]
        content += made
    return content + heads


def _make(studio: Studio, block: Block, parent: Element) -> Content:
    match block:
        case Heading():
            return [Title(studio, block, parent.add(f"H{block.level}"))]
        case Paragraph():
            return [tagged(lines(block.text, block.style, large=studio.large), parent.add("P"))]
        case Steps():
            return _steps(studio, block, parent)
        case Table():
            return table(studio.tree, block, parent, studio.large)
        case Caution():
            return [_caution(studio, block, parent)]
        case Figure():
            return [_figure(studio, block, parent)]
        case Grid():
            return [_grid(studio, block, parent)]
        case PageBreak():
            raise ValueError("a page break cannot stand within a grid")


def _steps(studio: Studio, block: Steps, parent: Element) -> Content:
    """One flowable a step, which is kept whole, with its marker in the margin of its text."""
    element = parent.add("L")
    element.numbering = _NUMBERING[block.marker]
    texts = [f"{number}." for number in range(block.first, block.first + len(block.items))]
    look = style("marker", large=studio.large)
    widest = max((stringWidth(text, BOLD, look.fontSize) for text in texts), default=0)
    dot = 1.5 * look.fontSize
    indent = {"number": max(widest + 8, 20), "tick": tick_pt(large=studio.large) + 9, "dot": dot}[
        block.marker
    ]
    content: Content = []
    for text, item in zip(texts, block.items, strict=True):
        entry = element.add("LI")
        label, body = entry.add("Lbl"), entry.add("LBody")
        text = "•" if block.marker == "dot" else text
        mark = _marker(studio, block, text)
        cells = [[tagged(mark, label)], [tagged(lines(item, "step", large=studio.large), body)]]
        after = 9.0 if len(content) == len(block.items) - 1 else 5.0
        content.append(Cells(studio.tree, [Row(cells)], hanging(indent), Look(whole=True, after=after)))
    return content


def _marker(studio: Studio, block: Steps, text: str) -> Flowable:
    """A box to tick, a number or a dot, as high as a line of text."""
    if block.marker == "tick":
        return TickSquare(tick_pt(large=studio.large), style("step", large=studio.large).leading)
    return lines(text, "marker", large=studio.large)


def _caution(studio: Studio, block: Caution, parent: Element) -> Cells:
    """A framed box; its panel carries the signal word, and the alert sign where people can be hurt."""
    element = parent.add("Div")
    rows = []
    if block.signal and block.severity in PANELS:
        rows.append(_panel(studio, block, element))
    elif block.signal:
        signal = lines(block.signal, "table caption", least_pt=block.points, large=studio.large)
        rows.append(Row([[tagged(signal, element.add("P"))]]))
    name = "note bold" if block.bold else "note"
    words = lines(block.text, name, least_pt=block.points, large=studio.large)
    rows.append(Row([[tagged(words, element.add("P", language=block.language))]]))
    if block.severity in PANELS:
        look = Look(9, 5, frame=1.2, frame_rgb=RULE_RGB, whole=True, before=6, after=10)
    else:
        rows[-1].fill = SHADE_RGB
        look = Look(9, 5, frame=0.5, frame_rgb=FAINT_RULE_RGB, whole=True, before=4, after=9)
    return Cells(studio.tree, rows, shares((1,)), look)


def _panel(studio: Studio, block: Caution, element: Element) -> Row:
    fill, ink = PANELS[block.severity]
    signal = lines(block.signal, "signal", rgb=ink, least_pt=block.points, large=studio.large)
    words = tagged(signal, element.add("P"))
    if block.severity == "notice":
        return Row([[words]], header=True, fill=fill, rule=1.2)
    side = max(14.0, 1.2 * block.points, signal.style.fontSize)
    sign = Furniture(AlertSign(side, ink, fill), studio.tree)
    inner = Cells(studio.tree, [Row([[sign], [words]])], hanging(side + 9), Look(middle=True))
    return Row([[inner]], header=True, fill=fill, rule=1.2)


def _figure(studio: Studio, block: Figure, parent: Element) -> Kept | Tagged:
    drawing = Drawing(block, studio.forms)
    element = parent.add("Figure", block.alt)
    if not block.caption:
        drawing.spaceAfter = FIGURE_AFTER
        return tagged(drawing, element)
    words = lines(block.caption, "caption", "c", large=studio.large)
    return Kept([tagged(drawing, element), tagged(words, parent.add("Caption"))])


def _grid(studio: Studio, block: Grid, parent: Element) -> Cells:
    element = parent.add("Div")
    across = len(block.widths)
    cells = [story(studio, cell, element.add("Div")) for cell in block.cells]
    cells += [[] for _ in range(-len(cells) % across)]
    rows = [Row(cells[start : start + across]) for start in range(0, len(cells), across)]
    look = Look(mm(GUTTER_MM), 4, before=2, after=6)
    return Cells(studio.tree, rows, shares(block.widths), look)
