"""Blocks made ready for a page: headings in unbroken levels, ids, and what names each table and note."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import count

from kitbuild.base.blocks import (
    Block,
    Caution,
    Figure,
    Grid,
    Heading,
    PageBreak,
    Paragraph,
    Steps,
    StitchMarks,
    Table,
)

#: From so many columns on, a table is moved sideways in a narrow window instead of being squeezed.
_MANY_COLUMNS = 4
#: Wider figures keep their size and are moved sideways; others shrink with the window. Millimetres.
WIDE_MM = 190.0
#: Figures with symbols to read keep their size from here on.
_READ_MM = 85.0


@dataclass(frozen=True, slots=True)
class Node:
    """A block with what the page adds to it.

    `kind` names the part of the template that writes it, `level` is a heading's. `named_by` is the id of the
    words that name it. `wide` is what moves sideways by itself. `cells` are those of a grid.
    """

    kind: str
    block: Block
    id: str
    level: int = 0
    named_by: str = ""
    wide: bool = False
    cells: tuple[tuple[Node, ...], ...] = ()


Leaf = tuple[Node, ...]

_KINDS: dict[type, str] = {
    Paragraph: "paragraph",
    Steps: "steps",
    Table: "table",
    Caution: "caution",
    Figure: "figure",
    Grid: "grid",
    Heading: "heading",
}


def leaves(blocks: Iterable[Block], title: str) -> tuple[Leaf, ...]:
    """The blocks of a document, cut at its page breaks. The first of its headings is that of level 1.

    A document whose blocks do not begin with one is headed by its title.
    """
    parts: list[list[Block]] = [[]]
    for block in blocks:
        if isinstance(block, PageBreak):
            parts.append([])
        else:
            parts[-1].append(block)
    outline = _Outline()
    if not (parts[0] and isinstance(parts[0][0], Heading) and parts[0][0].level == 1):
        parts[0].insert(0, Heading(1, title))
    return tuple(tuple(map(outline.node, part)) for part in parts if part)


def contents(parts: Iterable[Leaf]) -> tuple[tuple[Node, tuple[Node, ...]], ...]:
    """The headings of level 2, each with those of level 3 below it."""
    found: list[tuple[Node, tuple[Node, ...]]] = []
    for node in (node for part in parts for node in part if node.kind == "heading"):
        if node.level == 2:
            found.append((node, ()))
        elif node.level == 3:
            found[-1] = (found[-1][0], (*found[-1][1], node))
    return tuple(found)


def _keeps_size(figure: Figure) -> bool:
    """Whether a figure must be read at its own size, so that enlarging the page enlarges it."""
    read = any(isinstance(mark, StitchMarks) and mark.symbols for mark in figure.marks)
    return figure.width_mm > (_READ_MM if read else WIDE_MM)


@dataclass(slots=True)
class _Outline:
    """What has been met so far: the level of the last heading, its id, and whether the title was seen."""

    numbers: count[int] = field(default_factory=lambda: count(1))
    level: int = 0
    heading: str = ""
    deeper: int = 0
    titled: bool = False

    def node(self, block: Block) -> Node:
        kind, id = _KINDS[type(block)], f"b{next(self.numbers)}"
        match block:
            case Heading():
                self.heading = id
                return Node(kind, block, id, self._level(block.level))
            case Table():
                name = f"{id}c" if block.caption else self.heading
                return Node(kind, block, id, named_by=name, wide=len(block.header) >= _MANY_COLUMNS)
            case Caution():
                return Node(kind, block, id, named_by=f"{id}s" if block.signal else "")
            case Figure():
                return Node(kind, block, id, named_by=f"{id}t", wide=_keeps_size(block))
            case Grid():
                cells = tuple(tuple(map(self.node, cell)) for cell in block.cells)
                return Node(kind, block, id, cells=cells)
            case _:
                return Node(kind, block, id)

    def _level(self, level: int) -> int:
        """A page has one heading of level 1: once there is a second, all from there on are one level deeper.

        No level is skipped on the way down.
        """
        if level == 1:
            self.deeper = int(self.titled)
            self.titled = True
        self.level = min(level + self.deeper, self.level + 1)
        return self.level
