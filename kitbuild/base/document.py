"""A document is a list of blocks for one sheet; a listing is what becomes CSV."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from kitbuild.base.blocks import Block


class DoesNotFit(ValueError):
    """A drawing is larger than the page that it should stand on."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """A paper size with its margin (mm), and the height kept for the footer inside the bottom margin.

    An `endless` sheet is a screen: it has no pages, so that a chart is one figure however large.
    """

    name: str
    width_mm: float
    height_mm: float
    margin_mm: float = 13.0
    foot_mm: float = 6.0
    endless: bool = False

    @property
    def frame_width_mm(self) -> float:
        """Width that blocks may fill."""
        return self.width_mm - 2 * self.margin_mm

    @property
    def frame_height_mm(self) -> float:
        """Height that blocks may fill."""
        return self.height_mm - 2 * self.margin_mm - self.foot_mm


#: ISO 216 and ANSI/ASME Y14.1 sizes.
SHEETS: Final[dict[str, Sheet]] = {
    "A4": Sheet("A4", 210.0, 297.0),
    "Letter": Sheet("Letter", 215.9, 279.4),
}
#: Papers for a wall, on their side (ISO 216).
WALLS: Final[dict[str, Sheet]] = {
    "A2": Sheet("A2", 594.0, 420.0, foot_mm=20.0),
    "A3": Sheet("A3", 420.0, 297.0, foot_mm=20.0),
}
#: What is read on a screen: pictures are as large as on A4.
SCREEN: Final = Sheet("screen", 210.0, 297.0, endless=True)


@dataclass(frozen=True, slots=True)
class Guide:
    """Words of the document's language that a page on a screen needs beside its blocks.

    `skip` leads past the list of headings, which is named `contents`; `scroll` names what is
    moved sideways, with what it shows in place of its `{drawing}`.
    """

    skip: str
    contents: str
    scroll: str


#: The page of a booklet folded from each of them: half the sheet, whole millimetres as ISO 216 rounds down.
HALVES: Final[dict[str, Sheet]] = {
    "A4": Sheet("A5", 148.0, 210.0, margin_mm=10.0),
    "Letter": Sheet("Half Letter", 139.7, 215.9, margin_mm=10.0),
}


@dataclass(frozen=True, slots=True)
class Press:
    """How a document comes on to paper: in `large` letters, in `mono` (black ink alone).

    `folded` is the sheet, turned on its side, that carries two pages side by side, in folding order.
    """

    large: bool = False
    mono: bool = False
    folded: Sheet | None = None


#: One page a sheet, in usual letters and all colours.
PLAINLY: Final = Press()


@dataclass(frozen=True, slots=True)
class Document:
    """Blocks with what every page must carry.

    `name` is the file name without suffix; `edition` is 0 for what has none; `footer` holds `{page}` and
    `{pages}`, on paper alone. `fallbacks` says in words where the usual layout did not fit, and what stands
    instead. A document for an endless sheet has a `guide`.
    """

    name: str
    title: str
    code: str
    edition: int
    language: str
    sheet: Sheet
    blocks: tuple[Block, ...]
    footer: str
    author: str = ""
    date: str = ""
    press: Press = PLAINLY
    fallbacks: tuple[str, ...] = ()
    guide: Guide | None = None


@dataclass(frozen=True, slots=True)
class Column:
    """One CSV column; `decimals` formats floats (half up), None writes the value as text."""

    name: str
    values: Sequence[object]
    decimals: int | None = None


@dataclass(frozen=True, slots=True)
class Listing:
    """A table for other programs; `name` is the file name with its suffix."""

    name: str
    columns: tuple[Column, ...]

    @property
    def rows(self) -> int:
        """How many rows the listing has."""
        return len(self.columns[0].values) if self.columns else 0
