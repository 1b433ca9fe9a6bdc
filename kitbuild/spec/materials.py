"""What kits are made of, as the maker wrote it: canvas and the stock it comes in, thread, needles, extras.

Units as in `records`. `at` finds the place of a value in its file.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Literal

from kitbuild.base.colour import Rgb
from kitbuild.spec.source import At
from kitbuild.spec.trade import Replacement


@dataclass(frozen=True, slots=True)
class Stock:
    """A sheet or roll that canvas comes in.

    `columns` and `rows` are whole holes; for a roll, `columns` is its usable width and `rows` its whole
    length. `cost_minor` is for one sheet, or for one whole roll.
    """

    key: str
    title: str
    form: Literal["sheet", "roll"]
    columns: int
    rows: int
    cost_minor: int
    bin: str
    at: At = field(repr=False, compare=False)
    supplier: str = ""
    order_multiple: int = 1
    weight_mg: int | None = None


@dataclass(frozen=True, slots=True)
class Canvas:
    """A counted canvas; `measured` says whether `pitch_mm` was measured or follows from the count.

    `stages` are the rounds of parallel cuts that a cut plan of it may take.
    """

    key: str
    title: str
    weave: Literal["plastic", "woven"]
    count: float
    pitch_mm: float
    measured: bool
    thickness_mm: float
    bar_mm: float
    kerf: int
    bin: str
    stock: tuple[Stock, ...]
    at: At = field(repr=False, compare=False)
    stages: Literal[2, 3] = 3
    replaced_by: Replacement | None = None


@dataclass(frozen=True, slots=True)
class Thread:
    """A thread as it is sold.

    `bend_mm` is what bending round the bars takes, a stitch of two passes; from hand to hand it is off by up
    to `bend_spread_mm`. `packed` says whether whole put-ups go into a box, or needlefuls cut from them.
    `pull` is what work takes of it against the model, as a test stitch found. `colour_tested` says whether
    its colour was tested for running.
    """

    key: str
    title: str
    fibre: str
    rgb: Rgb
    colour_name: str
    put_up: str
    put_up_mm: float
    thickness_mm: float
    bend_mm: float
    plies: int
    strands: int
    cost_minor: int
    bin: str
    at: At = field(repr=False, compare=False)
    bend_spread_mm: float = 0.5
    packed: Literal["put-ups", "needlefuls"] = "put-ups"
    pull: float = 1.0
    colour_tested: bool = False
    supplier: str = ""
    order_multiple: int = 1
    weight_mg: int | None = None
    replaced_by: Replacement | None = None


@dataclass(frozen=True, slots=True)
class Needle:
    """A tapestry needle by its size number; `length_mm` is None where nobody measured it."""

    key: str
    title: str
    size: int
    cost_minor: int
    bin: str
    at: At = field(repr=False, compare=False)
    length_mm: float | None = None
    supplier: str = ""
    order_multiple: int = 1
    weight_mg: int | None = None


@dataclass(frozen=True, slots=True)
class Part:
    """A part as it comes loose: a rod's length, a disc's or ball's diameter, a box's edges.

    A rod and a disc may say their thickness as well; without it they are thin.
    """

    shape: Literal["rod", "disc", "sphere", "box"]
    size_mm: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Bag:
    """A bag of film, in exact mm, since statutes have limits for it.

    Its opening is told by the diameter that it opens to, or by its flat width; the other is None.
    """

    opening_mm: Fraction | None
    flat_width_mm: Fraction | None
    thickness_mm: Fraction
    length_mm: Fraction
    width_mm: Fraction


@dataclass(frozen=True, slots=True)
class Extra:
    """Anything else that goes into a box; `made_of`, `hazards`, `parts` and `bag` lead to its cautions."""

    key: str
    title: str
    unit: str
    made_of: tuple[str, ...]
    hazards: tuple[str, ...]
    cost_minor: int
    bin: str
    at: At = field(repr=False, compare=False)
    parts: tuple[Part, ...] = ()
    bag: Bag | None = None
    supplier: str = ""
    order_multiple: int = 1
    weight_mg: int | None = None


@dataclass(frozen=True, slots=True)
class Supplier:
    """Who sells materials; an order comes to `minimum_minor` at least."""

    key: str
    title: str
    minimum_minor: int
    at: At = field(repr=False, compare=False)


@dataclass(frozen=True, slots=True)
class Materials:
    """All materials of the range by key; a key stands for one thing only."""

    canvases: Mapping[str, Canvas]
    threads: Mapping[str, Thread]
    needles: Mapping[str, Needle]
    extras: Mapping[str, Extra]
    suppliers: Mapping[str, Supplier] = field(default_factory=dict)
