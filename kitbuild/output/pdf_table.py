"""Tables: a header with a rule under it, light shades on every other row, cells that wrap. Points."""

from __future__ import annotations

from typing import Final

from reportlab.platypus.flowables import Flowable

from kitbuild.base.blocks import Cell, Patch, Table, TickBox
from kitbuild.output.pdf_cells import Cells, Look, Row
from kitbuild.output.pdf_flow import Content, Kept, tagged
from kitbuild.output.pdf_shapes import Swatch, TickSquare
from kitbuild.output.pdf_style import SHADE_RGB, TABLE_RULE_RGB, TICK_MM, mm, style
from kitbuild.output.pdf_tags import Element, Tree
from kitbuild.output.pdf_text import hanging, lines, longest_word, roomy

_PLACES: Final = {"l": "LEFT", "r": "RIGHT", "c": "CENTER"}
_LOOKS: Final = {
    "plain": Look(5, 3.5, rule_rgb=TABLE_RULE_RGB, before=4, after=10),
    "big": Look(5, 4, rule_rgb=TABLE_RULE_RGB, before=4, after=12, middle=True),
}
_LEAST: Final = {"plain": 0.0, "big": 25.0}


def table(tree: Tree, block: Table, parent: Element) -> Content:
    """One flowable; its caption, when there is one, is kept with its first rows."""
    element = parent.add("Table")
    caption = tagged(lines(block.caption, "table caption"), element.add("Caption")) if block.caption else None
    rows = [_header(block, element.add("TR"))]
    for index, cells in enumerate(block.rows):
        row = _row(tree, block, cells, element.add("TR"))
        row.fill = SHADE_RGB if index % 2 else None
        rows.append(row)
    rows[-1].rule = max(rows[-1].rule, 0.6)
    cells = Cells(tree, rows, roomy(block.widths, _least_widths(block)), _LOOKS[block.style])
    return [Kept([caption, cells])] if caption else [cells]


def _least_widths(block: Table) -> list[float]:
    """What each column needs for its longest word, its drawing and its padding."""
    look, name = _LOOKS[block.style], block.style
    heads = [longest_word(text, f"{name} head") for text in block.header]
    columns = list(zip(*block.rows, strict=True)) if block.rows else [()] * len(heads)
    bodies = [max((_least_width(cell, name) for cell in cells), default=0.0) for cells in columns]
    return [max(head, body) + 2 * look.across + 0.5 for head, body in zip(heads, bodies, strict=True)]


def _least_width(cell: Cell, name: str) -> float:
    if isinstance(cell, str):
        return longest_word(cell, name)
    return longest_word(cell.text, name) + (_drawing_width(cell, name) + 6 if cell.text else mm(TICK_MM))


def _drawing_width(cell: Patch | TickBox, name: str) -> float:
    return Swatch(cell.ink, style(name).leading).width if isinstance(cell, Patch) else mm(TICK_MM)


def _header(block: Table, element: Element) -> Row:
    cells = [
        [tagged(lines(text, f"{block.style} head", align), element.add("TH"))]
        for text, align in zip(block.header, block.align, strict=True)
    ]
    return Row(list(cells), header=True, rule=1.0)


def _row(tree: Tree, block: Table, cells: tuple[Cell, ...], element: Element) -> Row:
    pairs = zip(cells, block.align, strict=True)
    made = [_cell(tree, cell, block.style, align, element.add("TD")) for cell, align in pairs]
    return Row(made, least=_LEAST[block.style])


def _cell(tree: Tree, cell: Cell, name: str, align: str, element: Element) -> Content:
    match cell:
        case Patch():
            swatch = Swatch(cell.ink, style(name).leading, _PLACES[align])
            return _drawn(tree, swatch, cell.text, name, element)
        case TickBox():
            square = TickSquare(mm(TICK_MM), style(name).leading, _PLACES[align])
            return _drawn(tree, square, cell.text, name, element)
        case "":
            return []
        case _:
            return [tagged(lines(cell, name, align), element)]


def _drawn(tree: Tree, drawing: Flowable, text: str, name: str, element: Element) -> Content:
    """A drawing with words to its right, or alone where its column stands."""
    if not text:
        return [tagged(drawing, element)]
    drawing.hAlign = "LEFT"
    row = Row([[tagged(drawing, element)], [tagged(lines(text, name), element)]])
    return [Cells(tree, [row], hanging(drawing.width + 6), Look())]
