"""The thread model against the published tables for tent stitches: half cross, continental, basketweave.

There is no published yardage for upright stitches in a slope. There is one for tent stitches, each laid
aslant over one crossing of the canvas, and the model must meet it: front, back to the next hole, two passes
through the canvas, tails. Runs, stitch lengths and needlefuls come from the code that measures kits, fed a
panel and an order of work made by hand. A kit holds straight stitches only, whose length is the bars they
cross; a stitch over one bar up and one across would come to 2 pitches instead of 1.41. So the stitches here
are `Tent`, which measure their front aslant; everything else is the production code as it stands.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cache
from typing import Final

import numpy as np
import pytest

from kitbuild.base.units import MM_PER_INCH, length_mm, up
from kitbuild.pattern.panel import Bools, Cover, Ints, Panel, Repeat, Stitches
from kitbuild.quantity.needle import Work, needlefuls_in_put_up, simulate, stitch_lengths
from kitbuild.quantity.order import Order
from kitbuild.quantity.thread import PieceThread, Use, uses
from kitbuild.spec.records import Kit
from tests.figures import figure, rows
from tests.pattern.builders import canvas, house, kit, palette, piece

# One set of constants for all stitches, counts and threads.
PASS_MM: Final = 0.9
"""Two passes through a thin woven canvas, with what bending takes, a stitch.

Derived: with tails of a tenth the solid blocks of half cross and continental leave 0.79 to 1.83 mm, and
ground begun twice a needleful leaves up to 1.06 mm. Neither the strand of Persian wool nor basketweave had
a part in the choice.
"""
TAIL_SHARE: Final = 0.10
"""Share of a needleful that one start takes, tail and run under together.

The lower published allowance, read as a share of the thread (about an inch at either end of 500 mm: common
practice, no source).
"""
NEEDLEFUL_MM: Final = 500.0
"""Within the published 18 to 20 in; twenty make up a skein of 10 m without a remainder."""

SOLID, PATTERNED = 1, 2
"""Starts a needleful. Assumed: in many-coloured ground each needleful is begun twice, so that tails take the
upper published allowance of 20 %."""

NEAR: Final = 0.10
"""How near a single published value is met; a published range is met inside it."""

SKEIN_MM: Final = figure("THR01")[0] * 1000
STRAND_IN: Final = 65
TENTS: Final = (
    ("USE01", "half cross", 10),
    ("USE02", "half cross", 12),
    ("USE03", "half cross", 14),
    ("USE04", "continental", 10),
    ("USE06", "continental", 14),
)
BASKETS: Final = (("USE07", "basketweave", 10), ("USE09", "basketweave", 14))
STRANDS: Final = (
    ("USE13", "continental", 10),
    ("USE17", "basketweave", 13),
    ("USE18", "basketweave", 12),
)
tents = pytest.mark.parametrize(("id", "stitch", "count"), TENTS)


@cache
def published(id: str) -> tuple[float, float]:
    """Lowest and highest value of a figure that was read in its source."""
    row = next(row for row in rows("tent_family.csv") if row["id"] == id)
    assert row["label"] == "published"
    assert row["source"]
    return float(row["value_low"]), float(row["value_high"])


# Tent stitches as stitches of a panel, and the way of the needle through them.


class Tent(Stitches):
    """Stitches aslant: the front is as long as the straight line between the holes, in pitches."""

    __slots__ = ()

    def take(self, which: Ints | Bools) -> Tent:
        return Tent(*(getattr(self, name)[which] for name in Stitches.__slots__))

    def length(self) -> Ints:
        return np.hypot(self.x2 - self.x1, self.y2 - self.y1)  # type: ignore[return-value]


Cell = tuple[int, int, bool]
"""Column and row of the crossing that a stitch covers, and whether it is worked from its upper end."""


def half_cross(size: int) -> Iterator[Cell]:
    """Rows to and fro; the canvas is turned for every second one. Upright short runs on the back."""
    for row in range(1, size + 1):
        there = row % 2 == 1
        for at in range(1, size + 1):
            yield at if there else size + 1 - at, row, not there


def continental(size: int) -> Iterator[Cell]:
    """The same rows, each from its other end: long runs aslant on the back."""
    for row in range(1, size + 1):
        there = row % 2 == 1
        for at in range(1, size + 1):
            yield size + 1 - at if there else at, row, not there


def basketweave(size: int) -> Iterator[Cell]:
    """Diagonal rows from the upper right, down one and up the next; the canvas is never turned."""
    for row, lead in enumerate(range(size - 1, -size, -1)):
        columns = range(max(1, 1 + lead), min(size, size + lead) + 1)
        for column in columns if row % 2 == 0 else reversed(columns):
            yield column, column - lead, False


WAYS: Final[dict[str, Callable[[int], Iterator[Cell]]]] = {
    "half cross": half_cross,
    "continental": continental,
    "basketweave": basketweave,
}


def tent_order(stitch: str, count: int, size: int, patch: int = 0) -> Order:
    """A square of so many stitches each way in one colour; begun anew after every `patch` stitches."""
    column, row, turned = (np.array(each) for each in zip(*WAYS[stitch](size), strict=True))
    work = Tent(column, row + 1, column + 1, row, np.zeros_like(column), row - 1, row)
    cloth = canvas(count=float(count), pitch_mm=MM_PER_INCH / count, thickness_mm=PASS_MM / 4)
    holes = size + 1
    cover = Cover(stitch, np.zeros((size, holes), dtype=bool), np.zeros((holes, size), dtype=bool))
    panel = Panel(
        piece(columns=holes, rows=holes, canvas=cloth), work, cover, Repeat(size, 1, 0, 0, size), "rows"
    )
    at = np.arange(len(work))
    previous = np.where(at % patch == 0 if patch else at == 0, -1, at - 1)
    none = np.zeros(len(at), dtype=bool)
    return Order(panel, "right", at, turned.astype(bool), previous, np.zeros_like(at), none)


def tent_kit(order: Order, needleful_mm: float, put_up_mm: float) -> Kit:
    """A kit of one colour with the constants above; the pass is half canvas, half bend."""
    tail = needleful_mm * TAIL_SHARE / 2
    rules = house(needleful_mm=needleful_mm, start_tail_mm=tail, run_under_mm=tail, held_mm=0.0)
    return kit(
        order.panel.piece, palette=palette(("red",), bend_mm=PASS_MM / 2, put_up_mm=put_up_mm), house=rules
    )


def worked_area(stitch: str, count: int, put_up_mm: float, needleful_mm: float, starts: int) -> float:
    """Square inches that a put-up covers, by laying stitch after stitch until its needlefuls are used up."""
    most = needleful_mm / starts - needleful_mm * TAIL_SHARE
    run_mm = back(stitch) * MM_PER_INCH / count
    patch = 0 if starts == 1 else int((most + run_mm) / stitch_mm(stitch, count))
    order = tent_order(stitch, count, 4 * count, patch)
    one = tent_kit(order, needleful_mm, put_up_mm)
    work, whole = simulate(one, order), needlefuls_in_put_up(one.palette[0].thread, needleful_mm)
    assert work.needleful[-1] > whole, "the panel is larger than the put-up covers"
    begun = len(set(work.start[work.needleful <= whole].tolist()))
    assert begun == starts * whole
    return int((work.needleful <= whole).sum()) / count**2


# The same as formulas, so that constants can be varied.


@cache
def back(stitch: str) -> float:
    """Pitches from stitch to stitch on the back, away from the ends of rows."""
    return float(np.median(tent_order(stitch, 10, 20).runs()))


def stitch_mm(stitch: str, count: int, pass_mm: float = PASS_MM) -> float:
    """Front, back and passes of one stitch."""
    return (math.sqrt(2) + back(stitch)) * MM_PER_INCH / count + pass_mm


def area(stitch: str, count: int, thread_mm: float, tails: float, pass_mm: float = PASS_MM) -> float:
    """Square inches that a length covers, of which `tails` is the share of tails."""
    return thread_mm * (1 - tails) / (stitch_mm(stitch, count, pass_mm) * count**2)


def passes(id: str, stitch: str, count: int, tails: float = TAIL_SHARE) -> tuple[float, float]:
    """Shortest and longest pass with which a skein covers the published area."""
    low, high = published(id)
    bare = stitch_mm(stitch, count, 0.0)
    least, most = (SKEIN_MM * (1 - tails) / (covered * count**2) - bare for covered in (high, low))
    return least, most


# What the tables say, and what the model makes of it.


def test_every_figure_names_its_source() -> None:
    """A remembered figure is no gold."""
    for row in rows("tent_family.csv"):
        assert row["label"] == "published"
        assert row["source"]


@pytest.mark.parametrize(
    ("stitch", "run"), [("half cross", 1.0), ("continental", 5**0.5), ("basketweave", 2.0)]
)
def test_the_way_of_the_needle(stitch: str, run: float) -> None:
    """Derived: upright one bar, aslant two by one, straight two. Nearly all runs are so long."""
    order = tent_order(stitch, 10, 20)
    front, behind, through = stitch_lengths(tent_kit(order, NEEDLEFUL_MM, SKEIN_MM), order)
    assert len(set(zip(order.panel.stitches.x1, order.panel.stitches.y1, strict=True))) == 400
    assert set(front.tolist()) == {359}
    assert set(through.tolist()) == {90}
    assert np.isclose(behind, run * 254, atol=0.5).mean() > 0.89
    assert order.runs()[1:].min() > 0, "never up in the hole just gone down"


def test_constants_are_within_what_the_tables_leave() -> None:
    """Derived: 0.8 to 1.8 mm a stitch beside tails of a tenth; begun twice a needleful up to 1.06 mm."""
    solid, twice = (
        [passes(*row, tails=starts * TAIL_SHARE) for row in TENTS] for starts in (SOLID, PATTERNED)
    )
    least, most = max(low for low, _ in solid), min(high for _, high in solid)
    assert (round(least, 1), round(most, 1)) == (0.8, 1.8)
    assert least < PASS_MM < min(high for _, high in twice) < most
    assert published("USE25")[0] == SOLID * TAIL_SHARE * 100
    assert published("USE26")[0] == PATTERNED * TAIL_SHARE * 100
    short, long = (each * MM_PER_INCH for each in published("THR20"))
    assert short <= NEEDLEFUL_MM <= long


@tents
@pytest.mark.parametrize("starts", [SOLID, PATTERNED])
def test_a_skein_covers_what_the_table_says(id: str, stitch: str, count: int, starts: int) -> None:
    """Inside every published range, by formula and stitch by stitch; they differ by whole stitches."""
    low, high = published(id)
    by_formula = area(stitch, count, SKEIN_MM, starts * TAIL_SHARE)
    worked = worked_area(stitch, count, SKEIN_MM, NEEDLEFUL_MM, starts)
    assert low <= by_formula <= high
    assert low <= worked <= high
    assert worked == pytest.approx(by_formula, rel=0.03)


@tents
def test_both_bounds_can_be_missed(id: str, stitch: str, count: int) -> None:
    """Bare geometry covers more than any solid block; four starts a needleful less than any pattern."""
    low, high = published(id)
    assert area(stitch, count, SKEIN_MM, 0.0, pass_mm=0.0) > high
    by_starts = [area(stitch, count, SKEIN_MM, starts * TAIL_SHARE) for starts in (1, 2, 3, 4)]
    assert by_starts == sorted(by_starts, reverse=True)
    assert by_starts[-1] < low


def test_a_pattern_takes_a_quarter_to_two_fifths_more_than_a_block() -> None:
    """The tables say 1.24 to 1.39 times; two starts make 1.125 of it, three 1.29, and four 1.5."""
    ratios = [high / low for low, high in (published(id) for id, _, _ in TENTS)]
    assert (round(min(ratios), 2), round(max(ratios), 2)) == (1.24, 1.39)
    solid = 1 - TAIL_SHARE
    two, three, four = (solid / (1 - starts * TAIL_SHARE) for starts in (2, 3, 4))
    assert two < min(ratios) < three < max(ratios) < four


@pytest.mark.parametrize(("half", "whole", "count"), [("USE01", "USE04", 10), ("USE03", "USE06", 14)])
def test_continental_against_half_cross(half: str, whole: str, count: int) -> None:
    """What one takes of the other has no tails in it, and hardly the pass: the tables to a tenth."""
    ratio = stitch_mm("continental", count) / stitch_mm("half cross", count)
    for less, more in zip(published(half), published(whole), strict=True):
        assert ratio == pytest.approx(less / more, rel=NEAR)


def test_a_strand_of_persian_wool() -> None:
    """1.5 sq in for 65 in on 10 holes to the inch, to a tenth.

    Assumed, since the source names no stitch: continental, the strand cut in three. Half cross covers more.
    """
    assert published("THR07")[0] == STRAND_IN
    wanted, strand = published("USE13")[0], length_mm(f"{STRAND_IN} in")
    assert area("continental", 10, strand, TAIL_SHARE) == pytest.approx(wanted, rel=NEAR)
    assert worked_area("continental", 10, strand, strand / 3, SOLID) == pytest.approx(wanted, rel=NEAR)
    assert area("half cross", 10, strand, TAIL_SHARE) > wanted * (1 + NEAR)


@pytest.mark.parametrize(("id", "count"), [("USE10", 10), ("USE11", 12)])
def test_tapestry_yarn_where_the_stitch_is_not_named(id: str, count: int) -> None:
    """It lies between half cross and continental, tails included."""
    least, most = (
        1 / area(stitch, count, MM_PER_INCH, TAIL_SHARE) for stitch in ("half cross", "continental")
    )
    assert least <= published(id)[0] <= most


# Basketweave: reported, not fitted.


@dataclass(frozen=True, slots=True)
class Line:
    """One figure beside the model; `off` is how far the solid figure lies outside, 0 inside."""

    id: str
    what: str
    low: float
    high: float
    solid: float
    patterned: float | None
    near: float = 0.0

    @property
    def off(self) -> float:
        return max(0.0, self.solid / self.high - 1) + min(0.0, self.solid / self.low - 1)

    @property
    def met(self) -> bool:
        return abs(self.off) <= self.near

    def text(self) -> str:
        said = f"{self.low:g}" if self.low == self.high else f"{self.low:g} to {self.high:g}"
        patterned = "" if self.patterned is None else f"{self.patterned:.2f}"
        verdict = "met" if self.met else "MISSED"
        return (
            f"{self.id}  {self.what:32}{said:>14}{self.solid:9.2f}{patterned:>11}{self.off:+8.1%}  {verdict}"
        )


def over_continental() -> Line:
    """How many times the thread of continental basketweave takes, on 10 holes to the inch."""
    claimed = 1 + published("USE24")[0] / 100
    times = stitch_mm("basketweave", 10) / stitch_mm("continental", 10)
    return Line("USE24", "basketweave: times continental", claimed, claimed, times, None, NEAR)


def lines() -> Iterator[Line]:
    """Every published figure of a named stitch on a named count."""
    for id, stitch, count in (*TENTS, *BASKETS):
        solid, patterned = (area(stitch, count, SKEIN_MM, n * TAIL_SHARE) for n in (SOLID, PATTERNED))
        yield Line(id, f"{stitch}, {count}: sq in a skein", *published(id), solid, patterned)
    for id, stitch, count in STRANDS:
        covered = area(stitch, count, length_mm(f"{STRAND_IN} in"), TAIL_SHARE)
        yield Line(id, f"{stitch}, {count}: sq in a strand", *published(id), covered, None, NEAR)
    yield over_continental()


def test_the_table_reports_what_is_missed() -> None:
    """Skeins in basketweave and its claimed extra are missed and said to be; shown by `pytest -s`.

    The strands in basketweave are met if a strand is 65 in: their source does not say how long it is.
    """
    found = list(lines())
    head = f"\n{'':7}{'':32}{'published':>14}{'solid':>9}{'patterned':>11}{'off':>8}"
    print("\n".join([head, *(line.text() for line in found)]))
    assert {line.id for line in found if not line.met} == {"USE07", "USE09", "USE24"}
    assert all(line.text().endswith("MISSED") for line in found if not line.met)
    off = {line.id: line.off for line in found}
    assert off["USE07"] > 0.04
    assert off["USE09"] > 0.25
    assert off["USE24"] < -0.25, "less than continental, not more"


def test_no_pass_fits_basketweave_and_the_others() -> None:
    """The miss is no matter of constants: the tables give it more thread than continental, geometry less."""
    most = min(passes(*row)[1] for row in TENTS)
    assert passes(*BASKETS[1])[0] > 1.5 * most
    for (id, _, count), other in zip(BASKETS, ("USE04", "USE06"), strict=True):
        assert published(id)[1] < published(other)[1]
        assert stitch_mm("basketweave", count) < stitch_mm("continental", count)


# Two slips of those who reckon areas by hand, beside what the code makes of them.


@tents
def test_a_square_inch_is_not_one_inch_of_centimetres(id: str, stitch: str, count: int) -> None:
    """6.4516 cm² (exact): an area measured in mm comes out right; divided by 2.54 it fits no range."""
    low, high = published(id)
    order = tent_order(stitch, count, count)
    pitch = order.panel.piece.canvas.pitch_mm
    square_cm = len(order.stitch) * pitch**2 / 100
    assert square_cm == pytest.approx(6.4516)
    assert square_cm == pytest.approx((length_mm("1 in") / 10) ** 2)
    each_mm = stitch_mm(stitch, count)
    covered_cm = SKEIN_MM * (1 - TAIL_SHARE) / each_mm * pitch**2 / 100
    assert low <= covered_cm / square_cm <= high
    assert covered_cm / 2.54 > 1.9 * high


def bought(work: Work, one: Kit) -> Use:
    """What a kit packs for a piece worked alike by either hand, allowance included."""
    (use,) = uses(one, (PieceThread({"right": work, "left": work}, (), 1),))
    return use


def strands(order: Order, count: int, stitches_each: int) -> Work:
    """The first so many stitches of a panel, in needlefuls of a published number of stitches each."""
    at, nothing = np.arange(count), np.zeros(count, dtype=np.int64)
    part = replace(order, stitch=at, turned=order.turned[:count], previous=order.previous[:count])
    name = at // stitches_each + 1
    return Work(part, name, name, nothing, nothing, nothing, nothing)


def test_the_allowance_is_added_to_the_thread() -> None:
    """Published: 150 sq in at 1.5 a strand and 10 % are 110 strands. Added to the area of a strand: 91."""
    (needed, _), (covers, _), (share, _) = (published(id) for id in ("WRK01", "USE13", "USE25"))
    order, strand = tent_order("continental", 10, 123), length_mm(f"{STRAND_IN} in")
    one = tent_kit(order, strand, strand)
    assert one.house.thread.spare_share * 100 == share
    use = bought(strands(order, round(needed * 10**2), round(covers * 10**2)), one)
    assert (use.stitches, use.needlefuls, use.put_ups) == (15_000, 100, published("WRK03")[0])
    slip = up(needed / (covers * (1 + share / 100)))
    assert slip == 91
    assert slip * covers < needed, "not even the work itself"


@tents
def test_an_allowance_on_the_area_buys_too_little(id: str, stitch: str, count: int) -> None:
    """What the kit packs covers the work with a tenth to spare; the slip does not even cover the work."""
    order = tent_order(stitch, count, 4 * count)
    one = tent_kit(order, NEEDLEFUL_MM, NEEDLEFUL_MM)
    use = bought(simulate(one, order), one)
    needed, share = use.needlefuls, one.house.thread.spare_share
    assert use.put_ups == up(needed * (1 + share))
    covers = len(order.stitch) / needed
    slip = up(len(order.stitch) / (covers * (1 + share)))
    assert slip * covers < len(order.stitch) <= use.put_ups * covers / (1 + share)
