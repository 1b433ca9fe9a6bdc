"""Tables: a header with a rule under it, light shades on every other row, cells that wrap. Points."""

from __future__ import annotations

from typing import Final

from reportlab.platypus.flowables import Flowable

from kitbuild.base.blocks import Cell, Patch, Table, TickBox
from kitbuild.output.pdf_cells import Cells, Look, Row
from kitbuild.output.pdf_flow import Content, Kept, Tagged, tagged
from kitbuild.output.pdf_shapes import Swatch, TickSquare
from kitbuild.output.pdf_style import SHADE_RGB, TABLE_RULE_RGB, style, tick_pt
from kitbuild.output.pdf_tags import Element, Tree
from kitbuild.output.pdf_text import Lines, hanging, lines, longest_word, roomy

_PLACES: Final = {"l": "LEFT", "r": "RIGHT", "c": "CENTER"}
_LOOKS: Final = {
    "plain": Look(5, 3.5, rule_rgb=TABLE_RULE_RGB, before=4, after=10),
    "big": Look(5, 4, rule_rgb=TABLE_RULE_RGB, before=4, after=12, middle=True),
}
_LEAST: Final = {"plain": 0.0, "big": 25.0}


def table(tree: Tree, block: Table, parent: Element, large: bool = False) -> Content:
    """One flowable; its caption, when there is one, is kept with its first rows."""
    element = parent.add("Table")
    caption = _caption(block, element, large) if block.caption else None
    rows = [_header(block, element.add("TR"), large)]
    for index, cells in enumerate(block.rows):
        row = _row(tree, block, cells, element.add("TR"), large)
        row.fill = SHADE_RGB if index % 2 else None
        rows.append(row)
    rows[-1].rule = max(rows[-1].rule, 0.6)
    cells = Cells(tree, rows, roomy(block.widths, _least_widths(block, large)), _LOOKS[block.style])
    return [Kept([caption, cells])] if caption else [cells]


def _caption(block: Table, element: Element, large: bool) -> Tagged:
    return tagged(lines(block.caption, "table caption", large=large), element.add("Caption"))


def _least_widths(block: Table, large: bool) -> list[float]:
    """What each column needs for its longest word, its drawing and its padding."""
    look, name = _LOOKS[block.style], block.style
    heads = [longest_word(text, f"{name} head", large) for text in block.header]
    columns = list(zip(*block.rows, strict=True)) if block.rows else [()] * len(heads)
    bodies = [
        max((_least_width(cell, _name(block, at), large) for cell in cells), default=0.0)
        for at, cells in enumerate(columns)
    ]
    return [max(head, body) + 2 * look.across + 0.5 for head, body in zip(heads, bodies, strict=True)]


def _name(block: Table, column: int) -> str:
    """The style of the cells of a column."""
    return f"{block.style} strong" if column in block.strong else block.style


def _least_width(cell: Cell, name: str, large: bool) -> float:
    if isinstance(cell, str):
        return longest_word(cell, name, large)
    drawn = _drawing_width(cell, name, large) + 6 if cell.text else tick_pt(large=large)
    return longest_word(cell.text, name, large) + drawn


def _drawing_width(cell: Patch | TickBox, name: str, large: bool) -> float:
    leading = style(name, large=large).leading
    return Swatch(cell.ink, leading).width if isinstance(cell, Patch) else tick_pt(large=large)


def _header(block: Table, element: Element, large: bool) -> Row:
    cells = [
        [tagged(lines(text, f"{block.style} head", align, large=large), element.add("TH"))]
        for text, align in zip(block.header, block.align, strict=True)
    ]
    return Row(list(cells), header=True, rule=1.0)


def _row(tree: Tree, block: Table, cells: tuple[Cell, ...], element: Element, large: bool) -> Row:
    made = [
        _cell(tree, cell, _name(block, at), align, element.add("TD"), large)
        for at, (cell, align) in enumerate(zip(cells, block.align, strict=True))
    ]
    return Row(made, least=_LEAST[block.style])


def _cell(tree: Tree, cell: Cell, name: str, align: str, element: Element, large: bool) -> Content:
    leading = style(name, large=large).leading
    text = cell if isinstance(cell, str) else cell.text
    words = lines(text, name, align if isinstance(cell, str) else "l", large=large) if text else None
    match cell:
        case Patch():
            swatch = Swatch(cell.ink, leading, _PLACES[align])
            return _drawn(tree, swatch, words, element)
        case TickBox():
            square = TickSquare(tick_pt(large=large), leading, _PLACES[align])
            return _drawn(tree, square, words, element)
        case _:
            return [tagged(words, element)] if words else []


def _drawn(tree: Tree, drawing: Flowable, words: Lines | None, element: Element) -> Content:
    """A drawing with words to its right, or alone where its column stands."""
    if words is None:
        return [tagged(drawing, element)]
    drawing.hAlign = "LEFT"
    row = Row([[tagged(drawing, element)], [tagged(words, element)]])
    return [Cells(tree, [row], hanging(drawing.width + 6), Look())]
