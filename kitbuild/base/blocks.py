"""The blocks that documents are made of: a small closed set of frozen records.

Lengths on paper are millimetres, y runs down the page. A renderer draws blocks; it computes nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from kitbuild.base.colour import BLACK, Rgb

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Ink:
    """How one colour is drawn: its patch, and the symbol (one character) that carries it alone."""

    rgb: Rgb
    symbol: str


@dataclass(frozen=True, slots=True, eq=False)
class StitchMarks:
    """Many stitches: ends in holes (x right, y down; hole h has its middle at h), `colour` into `inks`.

    Hole (0, 0)'s middle lies at `origin_mm`; `width` is the stitch's breadth as a share of `hole_mm`.
    Symbols stand at (`symbol_x`, `symbol_y`), in holes, one a stitch, where `symbols` says so.
    `clip_mm` is the rectangle (left, top, width, height) outside which nothing is drawn.
    `shade` draws a thread with light on it instead of a flat bar.
    """

    x1: Floats
    y1: Floats
    x2: Floats
    y2: Floats
    colour: Ints
    inks: tuple[Ink, ...]
    origin_mm: tuple[float, float]
    hole_mm: float
    width: float = 0.8
    symbols: bool = True
    symbol_x: Floats | None = None
    symbol_y: Floats | None = None
    clip_mm: tuple[float, float, float, float] | None = None
    shade: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class LineMarks:
    """Many straight lines of one pen: (n, 4) array of x1, y1, x2, y2 in mm."""

    ends_mm: Floats
    pen_mm: float = 0.2
    rgb: Rgb = BLACK
    dash_mm: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class PolygonMark:
    """A closed shape through `points_mm`, filled, outlined, or both."""

    points_mm: tuple[tuple[float, float], ...]
    fill: Rgb | None = None
    outline: Rgb | None = None
    pen_mm: float = 0.2


@dataclass(frozen=True, slots=True)
class TextMark:
    """Words in a figure; `y_mm` is the base line, `anchor` says which end of the words is at `x_mm`."""

    x_mm: float
    y_mm: float
    text: str
    size_pt: float = 7
    anchor: Literal["start", "middle", "end"] = "start"
    rgb: Rgb = BLACK
    bold: bool = False
    turned: bool = False
    """turned: read from bottom to top."""


@dataclass(frozen=True, slots=True)
class TextBoxMark:
    """Words within a rectangle: as large as `size_pt`, no smaller than `least_pt`, lines wrapped.

    Where they do not fit even so, the figure cannot be drawn.
    """

    left_mm: float
    top_mm: float
    width_mm: float
    height_mm: float
    text: str
    size_pt: float = 8
    least_pt: float = 5
    bold: bool = False


@dataclass(frozen=True, slots=True)
class TextPart:
    """A paragraph of a stack of words, as large as `size_pt` if there is room, no smaller than `least_pt`."""

    text: str
    size_pt: float = 8
    least_pt: float = 5
    bold: bool = False


@dataclass(frozen=True, slots=True)
class TextStackMark:
    """Paragraphs one below the other within a rectangle, spread over its height.

    Where they do not fit, all become smaller, each down to its least; if even that is too large, the figure
    cannot be drawn.
    """

    left_mm: float
    top_mm: float
    width_mm: float
    height_mm: float
    parts: tuple[TextPart, ...]


Mark = StitchMarks | LineMarks | PolygonMark | TextMark | TextBoxMark | TextStackMark


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading of level 1 to 3; it is a bookmark too."""

    level: Literal[1, 2, 3]
    text: str


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Plain text. `lead` is larger, `small` is for notes."""

    text: str
    style: Literal["body", "lead", "small"] = "body"


@dataclass(frozen=True, slots=True)
class Steps:
    """A list of paragraphs: numbered from `first`, or with tick boxes, or with dots."""

    items: tuple[str, ...]
    marker: Literal["number", "tick", "dot"] = "number"
    first: int = 1


@dataclass(frozen=True, slots=True)
class Patch:
    """A table cell that shows a colour with its symbol; `text` is its words."""

    ink: Ink
    text: str


@dataclass(frozen=True, slots=True)
class TickBox:
    """A table cell to tick or to write in."""

    text: str = ""


Cell = str | Patch | TickBox


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under a header; `widths` are shares of the frame; `align` is one letter a column (l, r, c).

    The columns `strong`, from 0, of a big table are printed in heavy, larger type, to be read from afar.
    """

    header: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    widths: tuple[float, ...]
    align: str
    caption: str = ""
    style: Literal["plain", "big"] = "plain"
    strong: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Caution:
    """A note with its signal word; `signal` is "" for a plain fact.

    `severity` is the ANSI Z535.4 class, whatever the language calls it. No letter is smaller than `points`, 0
    for the usual size; `bold` is for words that the law prescribes. `language` is that of the text where it
    is not the document's.
    """

    signal: str
    text: str
    severity: Literal["danger", "warning", "caution", "notice", "fact"] = "fact"
    points: int = 0
    bold: bool = False
    language: str = ""


@dataclass(frozen=True, slots=True)
class Figure:
    """A drawing of `width_mm` by `height_mm`; `alt` says in words what it shows."""

    alt: str
    width_mm: float
    height_mm: float
    marks: tuple[Mark, ...]
    caption: str = ""


@dataclass(frozen=True, slots=True)
class Grid:
    """Cells of blocks side by side, filled row by row; `widths` are shares of the frame."""

    widths: tuple[float, ...]
    cells: tuple[tuple[Block, ...], ...]


@dataclass(frozen=True, slots=True)
class PageBreak:
    """What follows starts on a new page."""


Block = Heading | Paragraph | Steps | Table | Caution | Figure | Grid | PageBreak
