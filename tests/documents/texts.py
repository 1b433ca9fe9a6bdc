"""Every word that a document shows or says to a reader of its structure."""

from __future__ import annotations

from collections.abc import Iterator

from kitbuild.base.blocks import (
    Block,
    Caution,
    Figure,
    Heading,
    Paragraph,
    Patch,
    Steps,
    Table,
)
from kitbuild.base.document import Document
from tests.documents.demo import flat
from tests.documents.dump import cell_text, words_of


def texts(document: Document) -> Iterator[str]:
    yield document.title
    yield document.footer
    for block in flat(document.blocks):
        yield from _of(block)


def _of(block: Block) -> Iterator[str]:
    match block:
        case Heading() | Paragraph():
            yield block.text
        case Steps():
            yield from block.items
        case Table():
            yield block.caption
            yield from block.header
            for row in block.rows:
                yield from (cell.text if isinstance(cell, Patch) else cell_text(cell) for cell in row)
        case Caution():
            yield block.signal
            yield block.text
        case Figure():
            yield block.alt
            yield block.caption
            yield from (text for mark in block.marks for text in words_of(mark))
