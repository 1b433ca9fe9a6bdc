"""A document as plain text: every block with all that a reader sees, figures as numbers."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from kitbuild.base.blocks import (
    Block,
    Caution,
    Cell,
    Figure,
    Grid,
    Heading,
    Ink,
    LineMarks,
    Mark,
    PageBreak,
    Paragraph,
    Patch,
    PolygonMark,
    Steps,
    StitchMarks,
    Table,
    TextBoxMark,
    TextMark,
    TextStackMark,
    TickBox,
)
from kitbuild.base.document import Document

_BULLETS = {"tick": "[ ]", "dot": "-"}


def dump(document: Document) -> str:
    """All of a document, one line a block or part of one."""
    sheet = document.sheet
    head = [
        f"document {document.name}: {document.title}",
        f"for {document.code} edition {document.edition}, {document.date}, in {document.language}, by "
        f"{document.author}",
        f"on {sheet.name} {sheet.width_mm:g} x {sheet.height_mm:g} mm",
        f"footer {document.footer}",
        "",
    ]
    return "\n".join([*head, *_blocks(document.blocks)]) + "\n"


def _blocks(blocks: tuple[Block, ...]) -> Iterator[str]:
    for block in blocks:
        yield from _block(block)


def _block(block: Block) -> Iterator[str]:
    match block:
        case Heading():
            yield f"{'#' * block.level} {block.text}"
        case Paragraph():
            yield f"paragraph ({block.style}): {block.text}"
        case Steps():
            yield from _steps(block)
        case Table():
            yield from _table(block)
        case Caution():
            least = f", in bold of {block.points or 'any'} points" if block.bold else ""
            yield f"caution ({block.severity}{least}) {block.signal or '-'}: {block.text}"
        case Figure():
            yield from _figure(block)
        case Grid():
            yield f"grid {' '.join(f'{width:g}' for width in block.widths)}"
            for at, cell in enumerate(block.cells, 1):
                yield f"    cell {at}"
                yield from (f"        {line}" for line in _blocks(cell))
        case PageBreak():
            yield "---------- page break"


def _steps(block: Steps) -> Iterator[str]:
    yield f"steps ({block.marker})"
    for at, item in enumerate(block.items, block.first):
        yield f"    {_BULLETS.get(block.marker, f'{at}.')} {item}"


def _table(block: Table) -> Iterator[str]:
    shares = " ".join(f"{width:g}" for width in block.widths)
    yield f"table ({block.style}) {block.align} {shares}: {block.caption or '-'}"
    yield f"    = {' | '.join(block.header)}"
    for row in block.rows:
        yield f"    {' | '.join(cell_text(cell) for cell in row)}"


def cell_text(cell: Cell) -> str:
    match cell:
        case Patch():
            return _patch(cell.ink, cell.text)
        case TickBox():
            return f"[ ] {cell.text}".strip()
        case _:
            return cell


def _patch(ink: Ink, text: str = "") -> str:
    red, green, blue = ink.rgb
    return f"[{ink.symbol} #{red:02x}{green:02x}{blue:02x}{' ' + text if text else ''}]"


def _figure(block: Figure) -> Iterator[str]:
    yield f"figure {block.width_mm:.1f} x {block.height_mm:.1f} mm: {block.alt}"
    if block.caption:
        yield f"    caption: {block.caption}"
    yield from (f"    {line}" for line in _marks(block.marks))


def _marks(marks: tuple[Mark, ...]) -> Iterator[str]:
    """Stitches and lines each with their sums; polygons counted; words in their order."""
    for mark in marks:
        if isinstance(mark, StitchMarks):
            yield from _stitches(mark)
        if isinstance(mark, LineMarks):
            dashes = " dashed" if mark.dash_mm else ""
            red, green, blue = mark.rgb
            yield (
                f"lines {len(mark.ends_mm)}{dashes} #{red:02x}{green:02x}{blue:02x} pen {mark.pen_mm:g}: "
                f"sum {float(mark.ends_mm.sum()):.0f}"
            )
    polygons = [mark for mark in marks if isinstance(mark, PolygonMark)]
    if polygons:
        total = sum(x + y for mark in polygons for x, y in mark.points_mm)
        yield f"polygons {len(polygons)}: sum {total:.0f}"
    words = [text for mark in marks for text in words_of(mark)]
    if words:
        yield f"words {len(words)}: {' | '.join(words)}"


def words_of(mark: Mark) -> tuple[str, ...]:
    """What a mark says."""
    match mark:
        case TextMark() | TextBoxMark():
            return (mark.text,)
        case TextStackMark():
            return tuple(part.text for part in mark.parts)
        case _:
            return ()


def _stitches(mark: StitchMarks) -> Iterator[str]:
    sums = " ".join(f"{name} {float(getattr(mark, name).sum()):g}" for name in ("x1", "y1", "x2", "y2"))
    shade = ", shaded" if mark.shade else ""
    yield f"stitches {len(mark.x1)} at {mark.hole_mm:.2f} mm, {mark.width:g} wide{shade}: sum {sums}"
    counts = np.bincount(mark.colour, minlength=len(mark.inks)).tolist()
    yield f"    by colour: {', '.join(f'{_patch(i)} {n}' for i, n in zip(mark.inks, counts, strict=True))}"
    if mark.symbols and mark.symbol_x is not None and mark.symbol_y is not None:
        seen = int(np.isfinite(mark.symbol_x).sum())
        x, y = float(np.nansum(mark.symbol_x)), float(np.nansum(mark.symbol_y))
        yield f"    symbols {seen}: sum x {x:g} y {y:g}"
