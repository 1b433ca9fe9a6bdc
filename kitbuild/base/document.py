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
    """A paper size with its margin (mm), and the height kept for the footer inside the bottom margin."""

    name: str
    width_mm: float
    height_mm: float
    margin_mm: float = 13.0
    foot_mm: float = 6.0

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


@dataclass(frozen=True, slots=True)
class Document:
    """Blocks with what every page must carry.

    `name` is the file name without suffix; `edition` is 0 for what has none; `footer` holds
    `{page}` and `{pages}`.
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
