"""Blocks that were written for a whole sheet and usual letters, fitted to a smaller sheet or to large print.

Each thing that stands otherwise than usual is told by a word, so that the proof can list it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import groupby
from typing import Final, TypeGuard

import numpy as np

from kitbuild.base.blocks import (
    Block,
    Cell,
    Figure,
    Grid,
    LineMarks,
    Mark,
    Patch,
    PolygonMark,
    StitchMarks,
    Table,
    TextMark,
)
from kitbuild.base.document import Sheet
from kitbuild.documents.chart_key import type_mm
from kitbuild.documents.edition import Edition

TABLE_PT: Final = 9.5
LARGE_TABLE_PT: Final = 21.0
CELL_MM: Final = 3.8
"""What a cell of a table needs beside its words."""
LARGE_PT: Final = 18.0
"""No word of a picture in large print is smaller."""
NEARLY_PT: Final = 15.5
MOST_TIMES: Final = 2.6
"""Pictures are enlarged no more than that."""
HIGH_SHARE: Final = 0.5
"""Share of a page's height that an enlarged picture may take, and several in a row together."""
NUMBERED_HIGH_SHARE: Final = 0.8
"""The same of one with small numbers in discs or squares, and of several together that stood side by side."""
CELL_GUTTERS_MM: Final = 4.0


@dataclass(frozen=True, slots=True)
class Fit:
    """Blocks that fit, and a word for each thing that stands otherwise than usual."""

    blocks: tuple[Block, ...]
    fallbacks: tuple[str, ...]


def fitted(blocks: Iterable[Block], edition: Edition, sheet: Sheet) -> Fit:
    """`blocks` on the page of an edition; as they are where it has whole sheets and usual letters."""
    if not edition.fits:
        return Fit(tuple(blocks), ())
    found: list[str] = []
    made: list[Block] = []
    for _, alike in groupby(blocks, lambda block: isinstance(block, Figure)):
        row = list(alike)
        share = HIGH_SHARE / len(row)
        made += [part for block in row for part in _fitted(block, edition.large, sheet, found, share)]
    return Fit(tuple(made), tuple(found))


def _fitted(
    block: Block, large: bool, sheet: Sheet, found: list[str], share: float = HIGH_SHARE
) -> Iterator[Block]:
    match block:
        case Table() if _too_wide(block, large, sheet.frame_width_mm):
            found.append("table")
            yield in_two_columns(block)
        case Figure():
            yield _figure(block, large, sheet, found, share)
        case Grid():
            yield from _grid(block, large, sheet, found)
        case _:
            yield block


def _too_wide(table: Table, large: bool, width_mm: float) -> bool:
    """Whether the longest words of all columns, side by side, are wider than the page.

    A hole's name and what else is held together by no-break spaces is one word.
    """
    size = LARGE_TABLE_PT if large else TABLE_PT
    columns = zip(table.header, *([_text(cell) for cell in row] for row in table.rows), strict=True)
    words = ((word for text in column for word in re.split("[ \n]", text)) for column in columns)
    return sum(max((type_mm(word, size) for word in each), default=0) + CELL_MM for each in words) > width_mm


def _text(cell: Cell) -> str:
    """A cell in words; a patch by its symbol and its words."""
    return f"{cell.ink.symbol} {cell.text}" if isinstance(cell, Patch) else str(getattr(cell, "text", cell))


def in_two_columns(table: Table) -> Table:
    """The first column of a table, and beside it what all others say, each after its own header."""
    first, *others = table.header
    told = (
        (
            row[0],
            "\n".join(_told(head, cell) for head, cell in zip(others, row[1:], strict=True) if _text(cell)),
        )
        for row in table.rows
    )
    short = max((len(_text(row[0])) for row in table.rows), default=0) < 6
    widths = (0.2, 0.8) if short else (0.36, 0.64)
    return replace(table, header=(first, ""), rows=tuple(told), widths=widths, align="ll")


def _told(head: str, cell: Cell) -> str:
    return f"{head}: {_text(cell)}" if head else _text(cell)


def _grid(grid: Grid, large: bool, sheet: Sheet, found: list[str]) -> Iterator[Block]:
    """Cells side by side while their figures fit; else one below the other."""
    total = sum(grid.widths)
    across = len(grid.widths)
    rooms = [share / total * sheet.frame_width_mm - CELL_GUTTERS_MM for share in grid.widths]
    wide = [
        block.width_mm > rooms[at % across]
        for at, cell in enumerate(grid.cells)
        for block in cell
        if isinstance(block, Figure)
    ]
    if not large and not any(wide):
        yield grid
        return
    found.append("grid")
    drawn = sum(isinstance(block, Figure) for cell in grid.cells for block in cell)
    share = min(HIGH_SHARE, NUMBERED_HIGH_SHARE / max(drawn, 1))
    for cell in grid.cells:
        for block in cell:
            yield from _fitted(block, large, sheet, found, share)


def _figure(figure: Figure, large: bool, sheet: Sheet, found: list[str], share: float) -> Figure:
    """Made smaller where it is wider than the page; in large print as large as the page and its words ask."""
    width = sheet.frame_width_mm
    if figure.width_mm > width and not large:
        found.append("smaller")
        return scaled(figure, width / figure.width_mm)
    smallest = min((mark.size_pt for mark in figure.marks if isinstance(mark, TextMark)), default=LARGE_PT)
    drawn = any(isinstance(mark, StitchMarks) and mark.clip_mm for mark in figure.marks)
    if not large or (drawn and smallest >= LARGE_PT):
        return figure
    numbered = any(_is_held(mark, figure) and mark.size_pt < LARGE_PT for mark in figure.marks)
    height = (NUMBERED_HIGH_SHARE if numbered else share) * sheet.frame_height_mm
    times = min(width / figure.width_mm, max(height / figure.height_mm, 1.0), MOST_TIMES)
    return _readable(scaled(figure, times), found)


def scaled(figure: Figure, times: float) -> Figure:
    """A figure with all its measures so many times as large."""
    marks = tuple(_scaled(mark, times) for mark in figure.marks)
    width, height = figure.width_mm * times, figure.height_mm * times
    return replace(figure, width_mm=width, height_mm=height, marks=marks)


def _scaled(mark: Mark, times: float) -> Mark:
    match mark:
        case LineMarks():
            dash = tuple(each * times for each in mark.dash_mm)
            return replace(mark, ends_mm=mark.ends_mm * times, pen_mm=mark.pen_mm * times, dash_mm=dash)
        case PolygonMark():
            points = tuple((x * times, y * times) for x, y in mark.points_mm)
            return replace(mark, points_mm=points, pen_mm=mark.pen_mm * times)
        case TextMark():
            size = mark.size_pt * times
            return replace(mark, x_mm=mark.x_mm * times, y_mm=mark.y_mm * times, size_pt=size)
        case _:
            x, y = mark.origin_mm
            clip = mark.clip_mm and tuple(side * times for side in mark.clip_mm)
            return replace(mark, origin_mm=(x * times, y * times), hole_mm=mark.hole_mm * times, clip_mm=clip)  # type: ignore[arg-type]


def _readable(figure: Figure, found: list[str]) -> Figure:
    """Words too small for large print stand in its caption, where they cannot grow in their place."""
    free = [mark for mark in figure.marks if _is_number(mark) and not _is_held(mark, figure)]
    free = [] if _meet(free, figure.width_mm) else free
    figure = replace(figure, marks=tuple(_grown(mark, mark in free) for mark in figure.marks))
    small = [mark for mark in figure.marks if isinstance(mark, TextMark) and mark.size_pt < LARGE_PT]
    words = [mark for mark in small if not _is_number(mark)]
    if len(words) < len(small):
        found.append("numbers")
    if not words:
        return figure
    if not _meet(words, figure.width_mm):
        grown = tuple(replace(m, size_pt=LARGE_PT) if m in words else m for m in figure.marks)
        return replace(figure, marks=grown)
    found.append("words")
    caption = " ".join([mark.text for mark in words] + [figure.caption] * bool(figure.caption))
    return replace(figure, marks=tuple(mark for mark in figure.marks if mark not in words), caption=caption)


def _grown(mark: Mark, free: bool) -> Mark:
    """A number that is free to grow, or lacks little, is set large: its disc or square holds that."""
    grows = _is_number(mark) and (NEARLY_PT if not free else 0) <= mark.size_pt < LARGE_PT
    return replace(mark, size_pt=LARGE_PT) if grows else mark


def _is_number(mark: Mark) -> TypeGuard[TextMark]:
    """Whether a mark is a number, which belongs to its place and cannot stand elsewhere."""
    return isinstance(mark, TextMark) and mark.text.isdigit()


def _is_held(mark: Mark, figure: Figure) -> TypeGuard[TextMark]:
    """Whether a mark is a number in a disc or a square, which cannot grow without it."""
    shapes = (np.array(each.points_mm) for each in figure.marks if isinstance(each, PolygonMark))
    return _is_number(mark) and any(
        (points.min(axis=0) <= (mark.x_mm, mark.y_mm)).all()
        and ((mark.x_mm, mark.y_mm) <= points.max(axis=0)).all()
        for points in shapes
    )


def _meet(words: list[TextMark], width_mm: float) -> bool:
    """Whether words of large print would meet, or run out of their figure."""
    share = {"start": 0.0, "middle": 0.5, "end": 1.0}
    boxes = []
    for mark in words:
        wide = type_mm(mark.text, LARGE_PT)
        left = mark.x_mm - wide * share[mark.anchor]
        boxes.append((left, left + wide, mark.y_mm))
    high = LARGE_PT * 25.4 / 72
    outside = any(left < 0 or right > width_mm for left, right, _ in boxes)
    return outside or any(
        a[0] < b[1] and b[0] < a[1] and abs(a[2] - b[2]) < high
        for at, a in enumerate(boxes)
        for b in boxes[at + 1 :]
    )
