"""What is to be cut from what, and the plan that comes of it; all sizes in whole holes.

One job is of one canvas. The entry is `kitbuild.production.cut_plan.cut(job) -> Cutting`.

A *stage* is a round of parallel cuts: of the whole sheet first, then of each strip the other way, then of
each part of a strip the first way again. Trimming counts as a stage like any other cut.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from kitbuild.production.cut_effort import Ended

Method = Literal["columns", "one by one"]


@dataclass(frozen=True, slots=True)
class Wanted:
    """So many blanks of one size; `key` is the caller's name for them, unique in the job."""

    key: str
    columns: int
    rows: int
    may_turn: bool
    quantity: int


@dataclass(frozen=True, slots=True)
class Supply:
    """A sheet, an offcut or a roll that can be cut; `key` is unique in the job (a stock's key, or a lot).

    For a roll, `columns` is its usable width and `rows` its whole length. `cost` is in minor units, of one
    sheet or of one whole roll, of which the length cut off takes its share. `limit` is how many there are,
    None for as many as are needed. An offcut is a sheet with a limit, at the worth it is booked at (0 will
    do).
    """

    key: str
    form: Literal["sheet", "roll"]
    columns: int
    rows: int
    cost: Fraction | int
    limit: int | None = None


@dataclass(frozen=True, slots=True)
class CutJob:
    """Everything that one canvas is asked for.

    `kerf` rows or columns of holes are lost at each cut. `least_offcut` is the shorter and the longer side
    that an offcut must have to be kept. `tries` is how often a plan above its bound is cut anew in part, a
    tenth of it where rolls or many sheets are cut. `work` are the steps that the solver may take, which are
    counted and not timed, so that every machine finds the same; `seconds` of the processor are a rope beyond.
    """

    wanted: tuple[Wanted, ...]
    supplies: tuple[Supply, ...]
    kerf: int
    stages: Literal[2, 3] = 3
    least_offcut: tuple[int, int] = (20, 30)
    tries: int = 400
    work: int = 700_000
    seconds: float = 90.0


@dataclass(frozen=True, slots=True)
class Lie:
    """Where one blank lies: left upper corner in holes from 0 and size as laid; `key` as in Wanted."""

    key: str
    x: int
    y: int
    columns: int
    rows: int
    turned: bool


@dataclass(frozen=True, slots=True)
class Cut:
    """One straight cut through the whole of what is in hand.

    `across` runs from left to right, else it runs down. `at` holes of the sheet lie before it (above it, or
    left of it), the next `kerf` are lost; it runs from hole `begin` to hole `end`, counted from 0, end
    excluded. A stage in which nothing is to be cut is passed over; cutting a length off its roll is stage 1.
    """

    stage: int
    across: bool
    at: int
    begin: int
    end: int


@dataclass(frozen=True, slots=True)
class Offcut:
    """A rectangle left over that is large enough to be booked in: left upper corner and size in holes."""

    x: int
    y: int
    columns: int
    rows: int


@dataclass(frozen=True, slots=True)
class Layout:
    """One way to cut a sheet, and how many sheets are cut so.

    For a roll, `rows` is the length cut off, and each of `count` is one length. `cuts` are in the order in
    which they are made. Every sheet of one layout yields blanks of the same keys in the same places.
    """

    supply: str
    columns: int
    rows: int
    count: int
    lies: tuple[Lie, ...]
    cuts: tuple[Cut, ...]
    offcuts: tuple[Offcut, ...]


@dataclass(frozen=True, slots=True)
class Cutting:
    """The plan of one job.

    `cost` and `bound` are in minor units: no plan of at most so many stages costs less than `bound`, which
    is proven in whole numbers. `short` is what the limits leave uncut, by key; cost and bound are then of the
    rest. `method` says what found the plan: column generation, or the simple rule that fills one sheet after
    another, where that was as good; `ended` what stopped the search for a better one, "" where it was done:
    after so much work the plan is the same everywhere, by the clock it may come out otherwise elsewhere.
    """

    layouts: tuple[Layout, ...]
    cost: Fraction
    bound: Fraction
    method: Method
    ended: Ended
    short: tuple[tuple[str, int], ...]

    @property
    def sheets(self) -> int:
        """How many sheets, or lengths off a roll, are cut."""
        return sum(layout.count for layout in self.layouts)
