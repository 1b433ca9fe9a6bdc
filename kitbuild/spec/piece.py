"""A piece to be worked, as the maker wrote it: its pattern, its finish, and what it goes round.

Units as in `records`. `at` finds the place of a value in its file.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from kitbuild.spec.materials import Canvas
from kitbuild.spec.source import At

FinishKind = Literal["flat", "sleeve", "cushion", "box", "framed", "ornament"]
Edge = Literal["top", "right", "bottom", "left"]
Use = Literal["coaster", "sleeve", "cushion", "box", "panel", "ornament", "shade", "lantern", "other"]
Family = Literal[
    "flame", "scallop", "ribbon", "diamond", "medallion", "hungarian point", "four-way", "charted"
]


@dataclass(frozen=True, slots=True)
class Group:
    """`stitches` side by side at one height, `drop` bars below the group before it (above: negative)."""

    stitches: int
    drop: int


@dataclass(frozen=True, slots=True)
class Line:
    """One repeat of a pattern's main line.

    `drift` is how many bars the next repeat stands below this one; 0 for a line that returns to its start.
    """

    groups: tuple[Group, ...]
    drift: int
    at: At = field(repr=False, compare=False)


@dataclass(frozen=True, slots=True)
class Chart:
    """Charted work as the maker drew it: five tuples of one length, an entry a stitch.

    Holes count from 1, x from the left, y from the top; either end may come first. `colour` counts in the
    pattern's colours. `at` finds the place of stitch i by `at(i)`, where it was written apart from the kit.
    """

    x1: tuple[int, ...]
    y1: tuple[int, ...]
    x2: tuple[int, ...]
    y2: tuple[int, ...]
    colour: tuple[int, ...]
    at: At | None = field(default=None, repr=False, compare=False)


@dataclass(frozen=True, slots=True)
class Pattern:
    """A family with its line. `colours` are palette keys: by row, or by ring from the line inwards.

    Of one bar that remains at an edge the stitch is shortened, or its neighbour lengthened over it (`edges`).
    `apart` is the bars between a line and its mate where they come nearest, `shift` the columns by which a
    ribbon's second line stands to the right of its first. `lengths` are those of Hungarian point: for each
    row of the cycle the bars of the line's groups in turn. `chart` is charted work, which has no line.
    `centre` is what stands in the middle column; `left` and `right` already follow from it.
    """

    family: Family
    over: int
    line: Line | None
    colours: tuple[str, ...]
    repeats: int | None
    left: int
    right: int
    at: At = field(repr=False, compare=False)
    edges: Literal["shorten", "lengthen"] = "shorten"
    apart: int = 0
    shift: int = 0
    lengths: tuple[tuple[int, ...], ...] = ()
    chart: Chart | None = None
    centre: Literal["", "peak", "valley", "between"] = ""

    @property
    def overs(self) -> tuple[int, ...]:
        """The bars that its whole stitches cross, the shortest first."""
        if self.chart:
            ends = zip(self.chart.x1, self.chart.y1, self.chart.x2, self.chart.y2, strict=True)
            return tuple(sorted({abs(x2 - x1) + abs(y2 - y1) for x1, y1, x2, y2 in ends}))
        if self.lengths:
            return tuple(sorted({bars for row in self.lengths for bars in row}))
        return (self.over,)


@dataclass(frozen=True, slots=True)
class Finish:
    """How a piece is made up; what a kind does not use is 0, "" or ().

    `corner` counts the overcast stitches in an outside corner hole. `overlap` is the empty columns at each
    end of a sleeve, laid over each other hole for hole. `kept_rows` empty hole rows stay above and below.
    `border_mm` of bare canvas is left on each side to hold. `allowance_mm` stays on each side: for a
    cushion's seam, or to be turned over a framed panel's board. `edges` are those of a box that are overcast.
    """

    kind: FinishKind
    colour: str
    corner: int
    overlap: int
    seam: Literal["", "bar"]
    kept_rows: int
    border_mm: float
    allowance_mm: float
    at: At = field(repr=False, compare=False)
    edges: tuple[Edge, ...] = ()


@dataclass(frozen=True, slots=True)
class Join:
    """Two edges sewn together hole for hole, `times` over in one kit; each end is (piece, edge)."""

    one: tuple[str, Edge]
    other: tuple[str, Edge]
    times: int
    colour: str
    at: At = field(repr=False, compare=False)


@dataclass(frozen=True, slots=True)
class RoundObject:
    """A straight-sided round object that a sleeve goes round; `made_of` and `hazards` lead to cautions."""

    name: str
    made_of: str
    diameter_mm: float
    height_mm: float
    ease_mm: float
    tolerance_mm: float
    at: At = field(repr=False, compare=False)
    hazards: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Piece:
    """One different piece of a kit; `columns` and `rows` are the holes of its stitched area.

    `outline` is a shaped piece's first and last hole row in each column, (0, 0) where a column has no
    stitches; empty for the whole rectangle.
    """

    key: str
    title: str
    copies: int
    use: Use
    canvas: Canvas
    may_turn: bool
    pattern: Pattern
    columns: int
    rows: int
    finish: Finish
    goes_round: RoundObject | None
    at: At = field(repr=False, compare=False)
    outline: tuple[tuple[int, int], ...] = ()
