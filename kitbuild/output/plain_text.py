"""A document as lines of plain text, for the terminal: words, lists and tables; a figure is its caption."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from textwrap import wrap

from kitbuild.base.blocks import Block, Caution, Cell, Figure, Grid, Heading, Paragraph, Steps, Table
from kitbuild.base.document import Document

LEAST_COLUMN = 12


def render_text(document: Document, width: int = 100) -> Iterator[str]:
    """The lines of a document, none longer than `width` columns but for single long words."""
    yield from _lines(document.blocks, width)


def _lines(blocks: Iterable[Block], width: int) -> Iterator[str]:
    for block in blocks:
        match block:
            case Heading():
                yield from _heading(block)
            case Paragraph():
                yield from _wrapped(block.text, width)
            case Steps():
                for number, item in enumerate(block.items, block.first):
                    sign = f"{number}." if block.marker == "number" else "-"
                    yield from _wrapped(item, width, f"{sign} ")
            case Caution():
                yield from _wrapped(": ".join(filter(None, (block.signal, block.text))), width)
            case Table():
                yield from _table(block, width)
            case Figure():
                yield from _wrapped(f"[{block.caption or block.alt}]", width)
            case Grid():
                for cell in block.cells:
                    yield from _lines(cell, width)


def _heading(block: Heading) -> Iterator[str]:
    if block.level > 1:
        yield ""
    yield block.text
    if block.level < 3:
        yield ("=" if block.level == 1 else "-") * len(block.text)


def _wrapped(text: str, width: int, before: str = "") -> Iterator[str]:
    space = " " * len(before)
    yield from wrap(text, width, initial_indent=before, subsequent_indent=space, break_long_words=False)


def _table(table: Table, width: int) -> Iterator[str]:
    """Columns as wide as their longest cell, or as their share of the width where not all have room."""
    rows = [table.header, *(tuple(map(_cell, row)) for row in table.rows)]
    room = width - 2 * (len(table.header) - 1)
    asked = [max(len(row[at]) for row in rows) for at in range(len(table.header))]
    if sum(asked) > room:
        asked = [
            max(min(want, int(room * share)), LEAST_COLUMN)
            for want, share in zip(asked, table.widths, strict=True)
        ]
    for row in rows:
        cells = [
            wrap(cell, wide, break_long_words=False) or [""] for cell, wide in zip(row, asked, strict=True)
        ]
        for at in range(max(map(len, cells))):
            parts = [cell[at] if at < len(cell) else "" for cell in cells]
            yield "  ".join(part.ljust(wide) for part, wide in zip(parts, asked, strict=True)).rstrip()


def _cell(cell: Cell) -> str:
    return cell if isinstance(cell, str) else cell.text
