"""What a document's blocks say, in the roles of a structure tree: what a reader by ear must be given."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from kitbuild.base.blocks import (
    Block,
    Caution,
    Cell,
    Figure,
    Grid,
    Heading,
    Paragraph,
    Patch,
    Steps,
    Table,
    TickBox,
)

Told = tuple[str, str]
"""A role and its text, without the white space that line breaks make."""


def told(blocks: Iterable[Block]) -> list[Told]:
    """(role, text) of each element that `blocks` must become, in reading order."""
    return [("Document", ""), *_told(blocks)]


def _told(blocks: Iterable[Block]) -> Iterator[Told]:
    for block in blocks:
        yield from ((role, " ".join(text.split())) for role, text in _block(block))


def _block(block: Block) -> Iterator[Told]:
    match block:
        case Heading():
            yield f"H{block.level}", block.text
        case Paragraph():
            yield "P", block.text
        case Steps():
            yield from _steps(block)
        case Table():
            yield from _table(block)
        case Caution():
            yield "Div", ""
            if block.signal:
                yield "P", block.signal
            yield "P", block.text
        case Figure():
            yield "Figure", block.alt
            if block.caption:
                yield "Caption", block.caption
        case Grid():
            yield "Div", ""
            for cell in block.cells:
                if inside := list(_told(cell)):
                    yield from [("Div", ""), *inside]


def _steps(block: Steps) -> Iterator[Told]:
    yield "L", ""
    for number, item in enumerate(block.items, block.first):
        label = {"number": f"{number}.", "tick": "☐", "dot": "•"}[block.marker]
        yield from (("LI", ""), ("Lbl", label), ("LBody", item))


def _table(block: Table) -> Iterator[Told]:
    yield "Table", ""
    if block.caption:
        yield "Caption", block.caption
    yield from [("TR", ""), *(("TH", text) for text in block.header)]
    for row in block.rows:
        yield from [("TR", ""), *(("TD", _cell(cell)) for cell in row)]


def _cell(cell: Cell) -> str:
    match cell:
        case Patch():
            return f"{cell.ink.symbol} {cell.text}"
        case TickBox():
            return f"☐ {cell.text}"
    return cell
