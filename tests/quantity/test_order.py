"""The order of work: every stitch once, the needle's way, its runs, and its thread."""

from __future__ import annotations

import math
import os
import random
import subprocess
import sys
import time
from collections import defaultdict
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from kitbuild.pattern.panel import Panel
from kitbuild.quantity.areas import turns
from kitbuild.quantity.chains import SIDE, Reach
from kitbuild.quantity.needle import Work, simulate
from kitbuild.quantity.order import HANDS, Order, _walked, order
from kitbuild.spec.piece import Piece
from tests.figures import rows
from tests.pattern.builders import (
    UPRIGHT,
    canvas,
    house,
    kit,
    line,
    mirrored,
    palette,
    panel_of,
    pattern,
    piece,
    pieces,
    sideways,
    squares,
)
from tests.quantity.drawn import bars_drawn, drawings, one_stitch, panel_drawn

POLICIES = ("clean holes", "cover the back", "even", "save thread")
FAR = 1e9

policies, hands, parks = st.sampled_from(POLICIES), st.sampled_from(HANDS), st.booleans()
runs = st.sampled_from((1.5, 4.0, 6.56, 12.0, FAR))


def ends(work: Order) -> list[tuple[tuple[int, int], tuple[int, int]]]:
    """(up hole, down hole) of each stitch in order of work."""
    up_x, up_y, down_x, down_y = (hole.tolist() for hole in work.holes())
    return list(zip(zip(up_x, up_y, strict=True), zip(down_x, down_y, strict=True), strict=True))


@given(pieces(most=60), policies, hands, runs, parks)
@settings(max_examples=50, deadline=None)
def test_every_stitch_once_and_no_run_too_long(
    what: Piece, policy: str, hand: str, longest: float, park: bool
) -> None:
    panel = panel_of(what)
    work = order(panel, policy, hand, longest, park)  # type: ignore[arg-type]
    assert sorted(work.stitch.tolist()) == list(range(len(panel.stitches)))
    assert len(work.turned) == len(work.previous) == len(work.stitch)
    colours = panel.stitches.colour[work.stitch]
    way, followed = ends(work), set()
    for at, before in enumerate(work.previous.tolist()):
        if before < 0:
            continue
        assert before < at
        assert colours[before] == colours[at]
        assert before not in followed, "a needle goes on to one stitch only"
        followed.add(before)
        assert way[before][1] != way[at][0], "up in the hole just gone down"
        assert math.dist(way[before][1], way[at][0]) <= longest + 1e-9
    for hole, at in zip(way, work.stitch.tolist(), strict=True):
        stitch = {(int(panel.stitches.x1[at]), int(panel.stitches.y1[at]))}
        assert set(hole) == stitch | {(int(panel.stitches.x2[at]), int(panel.stitches.y2[at]))}


def _checked_lengths(work: Work, panel: Panel, one: object) -> dict[int, list[tuple[int, int]]]:
    """Front, back, pass and used once more, from the holes; needleful -> [(start, used at its end)]."""
    rules, cloth = one.house.thread, panel.piece.canvas  # type: ignore[attr-defined]
    pitch, tail = cloth.pitch_mm, round(rules.start_tail_mm * 100)
    given_so_far: dict[int, int] = {}
    last_hole: dict[int, tuple[int, int]] = {}
    names: dict[int, int] = {}
    colour_of: dict[int, int] = {}
    lines = zip(
        ends(work.order),
        *(each.tolist() for each in (work.start, work.needleful, work.front, work.back, work.through)),
        work.used.tolist(),
        panel.stitches.colour[work.order.stitch].tolist(),
        strict=True,
    )
    for (up, down), start, name, front, back, through, used, colour in lines:
        bend = one.palette[colour].thread.bend_mm  # type: ignore[attr-defined]
        assert abs(front - math.dist(up, down) * pitch * 100) <= 0.5 + 1e-6
        assert abs(through - (2 * cloth.thickness_mm + bend) * 100) <= 0.5 + 1e-6
        if start in last_hole:
            assert up != last_hole[start]
            assert abs(back - math.dist(last_hole[start], up) * pitch * 100) <= 0.5 + 1e-6
        else:
            assert back == 0
            assert start == len(last_hole) + 1, "starts count from 1 in the order in which they begin"
        assert names.setdefault(start, name) == name
        assert colour_of.setdefault(name, colour) == colour
        given_so_far[start] = given_so_far.get(start, tail) + front + back + through
        assert used == given_so_far[start]
        last_hole[start] = down
    by_needleful: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for start, name in names.items():
        by_needleful[name].append((start, given_so_far[start]))
    return by_needleful


@given(pieces(most=40), policies, hands, parks, st.sampled_from((300.0, 457.2, 760.0, 900.0)))
@settings(max_examples=50, deadline=None)
def test_no_needleful_gives_more_than_it_holds(
    what: Piece, policy: str, hand: str, park: bool, needleful: float
) -> None:
    one = kit(what, house=house(needleful_mm=needleful), policy=policy)
    panel = panel_of(what)
    longest = one.house.thread.longest_run_mm / what.canvas.pitch_mm
    work = simulate(one, order(panel, policy, hand, longest, park), 5)  # type: ignore[arg-type]
    by_needleful = _checked_lengths(work, panel, one)
    under, held = round(one.house.thread.run_under_mm * 100), round(one.house.thread.held_mm * 100)
    for starts in by_needleful.values():
        spent = sum(used + under for _, used in starts) + held
        assert spent <= round(needleful * 100)
    assert sorted(by_needleful) == list(range(5, 5 + len(by_needleful)))


@given(pieces(most=40), policies, hands, st.data())
@settings(max_examples=25, deadline=None)
def test_what_is_worked_does_not_depend_on_what_comes_after(
    what: Piece, policy: str, hand: str, data: st.DataObject
) -> None:
    one = kit(what, house=house(needleful_mm=400.0))
    whole = order(panel_of(what), policy, hand, 7.0, True)  # type: ignore[arg-type]
    count = data.draw(st.integers(1, len(whole.stitch)))
    part = replace(
        whole, stitch=whole.stitch[:count], turned=whole.turned[:count], previous=whole.previous[:count]
    )
    all_of_it, some = simulate(one, whole), simulate(one, part)
    for name in ("start", "needleful", "front", "back", "through", "used"):
        assert getattr(some, name).tolist() == getattr(all_of_it, name)[:count].tolist()


Hole = tuple[int, int]


def _near(hole: Hole, stitch: tuple[Hole, Hole], longest: float) -> bool:
    """Whether a run leads from the hole to either end of a stitch."""
    return any(0 < math.dist(hole, end) <= longest for end in stitch)


def _turned_without_need(work: Order, wanted: list[bool | None], longest: float) -> list[int]:
    """Stitches that go another way than wanted although the wanted way was open.

    It is not where the run to it would be too long or none. Nor at the end of an area from which the needle
    goes on, where neither end of the next stitch would be in reach.
    """
    way, odd, beside = ends(work), [], _beside_last(work.panel, work)
    after = {before: at for at, before in enumerate(work.previous.tolist())}
    for at, (turned, before) in enumerate(zip(work.turned.tolist(), work.previous.tolist(), strict=True)):
        if wanted[at] is None or turned == wanted[at]:
            continue
        up, down = way[at]
        led_to = before >= 0 and not 0 < math.dist(way[before][1], down) <= longest
        last = at + 1 == len(way) or not beside[at + 1]
        led_from = last and at in after and not _near(up, way[after[at]], longest)
        if not led_to and not led_from:
            odd.append(at)
        assert before < 0 or up != way[before][1]
    return odd


@given(st.one_of(pieces(most=50).map(panel_of), drawings()), hands, runs, parks)
@settings(max_examples=40, deadline=None)
def test_even_goes_downwards(panel: Panel, hand: str, longest: float, park: bool) -> None:
    """And sideways to the right; the left hand, whose work is the mirror image, to the left."""
    work = order(panel, "even", hand, longest, park)  # type: ignore[arg-type]
    across = (panel.stitches.x1 != panel.stitches.x2)[work.stitch]
    wanted = across if hand == "left" else np.zeros_like(across)
    assert _turned_without_need(work, wanted.tolist(), longest) == []
    assert work.forced == (work.turned != wanted).sum()


@given(pieces(most=50, families=("flame", "scallop")), hands, runs)
@settings(max_examples=40, deadline=None)
def test_clean_holes_come_up_in_an_empty_hole(what: Piece, hand: str, longest: float) -> None:
    """Rows below the line upwards, above it downwards (common practice, no source)."""
    panel = panel_of(what)
    work = order(panel, "clean holes", hand, longest, True)  # type: ignore[arg-type]
    stitches = panel.stitches
    starts = set(zip(stitches.x1.tolist(), stitches.y1.tolist(), stitches.row.tolist(), strict=True))
    finishes = set(zip(stitches.x2.tolist(), stitches.y2.tolist(), stitches.row.tolist(), strict=True))
    wanted: list[bool | None] = []
    for at in work.stitch.tolist():
        x, first, last = int(stitches.x1[at]), int(stitches.y1[at]), int(stitches.y2[at])
        row = int(stitches.row[at])
        below, above = (x, first, row - 1) in finishes, (x, last, row + 1) in starts
        wanted.append(True if row > 0 and below else False if row < 0 and above else None)
    assert _turned_without_need(work, wanted, longest) == []


def test_clean_holes_on_an_uncut_zigzag() -> None:
    """No stitch of the rows beside the line is turned on 4-2 step with the workshop's longest run.

    But for one at the end of a row, and the one of a row cut short by the edge that it leads to.
    """
    panel = panel_of(piece(columns=36, rows=60))
    work = order(panel, "clean holes", "right", 6.56, True)
    row = panel.stitches.row[work.stitch]
    assert _turned_without_need(work, (row > 0).tolist(), 6.56) == []
    (turned,) = np.flatnonzero((work.turned != (row > 0)) & (abs(row) < 8)).tolist()
    beside, way = [*_beside_last(panel, work), False], ends(work)
    assert beside[turned]
    assert not beside[turned + 1]
    (after,) = np.flatnonzero(work.previous == turned).tolist()
    assert way[turned][1] == (36, 7)
    assert way[after] == ((32, 3), (32, 1))
    assert work.forced == 2
    assert order(panel, "clean holes", "right", 16.0, True).forced == 0


@given(pieces(most=50), hands)
@settings(max_examples=25, deadline=None)
def test_saving_thread_never_takes_more_than_covering_the_back(what: Piece, hand: str) -> None:
    """But for what it is worth to begin a turn at the hand's own side."""
    panel = panel_of(what)
    back = {}
    for policy in POLICIES:
        work = order(panel, policy, hand, FAR, False)  # type: ignore[arg-type]
        assume((work.previous >= 0).sum() == len(work.stitch) - len(set(_courses(panel))))
        back[policy] = float(work.runs().sum())
    aside = SIDE * math.hypot(what.columns, what.rows) * len(set(_courses(panel)))
    assert back["save thread"] <= back["cover the back"] + aside


def _courses(panel: Panel) -> list[tuple[int, int]]:
    return list(zip(panel.stitches.course.tolist(), panel.stitches.colour.tolist(), strict=True))


@pytest.mark.parametrize("wide", [1, 2, 3])
@pytest.mark.parametrize("hand", HANDS)
def test_policies_stand_in_order_on_a_zigzag(wide: int, hand: str) -> None:
    """Short, level, long: save thread takes less than even, even less than cover the back (derived)."""
    of = line(groups_of=wide, step=2, down=6, up=6, turns="once")
    panel = panel_of(piece(columns=60 * wide, rows=60, pattern=pattern(of=of)))
    middle = [abs(row) < 2 for row in panel.stitches.row.tolist()]
    lengths = {}
    for policy in POLICIES:
        work = order(panel, policy, hand, FAR, True)  # type: ignore[arg-type]
        lengths[policy] = work.runs()[np.array(middle)[work.stitch]].sum()
    assert lengths["save thread"] < lengths["even"] < lengths["cover the back"]


@given(pieces(most=50), policies, runs, parks)
@settings(max_examples=30, deadline=None)
def test_the_left_hand_works_the_mirror_image(what: Piece, policy: str, longest: float, park: bool) -> None:
    panel, wide = panel_of(what), what.columns + 1
    left = order(panel, policy, "left", longest, park)  # type: ignore[arg-type]
    right = order(mirrored(panel), policy, "right", longest, park)  # type: ignore[arg-type]
    seen = [tuple((wide - x, y) for x, y in stitch) for stitch in ends(right)]
    assert seen == ends(left)
    assert left.previous.tolist() == right.previous.tolist()


@pytest.mark.parametrize("hand", HANDS)
def test_sideways_work_follows_its_policy_with_either_hand(hand: str) -> None:
    """A panel turned by a quarter: the long run stays the long one, from the left and from the right."""
    of = line(groups_of=2, step=2, down=6, up=6, turns="once")
    panel = sideways(panel_of(piece(columns=40, rows=40, pattern=pattern(of=of))))
    middle = panel.stitches.row == 0
    lengths = {}
    for policy in POLICIES:
        work = order(panel, policy, hand, FAR, True)  # type: ignore[arg-type]
        lengths[policy] = work.runs()[middle[work.stitch]].sum()
    assert lengths["save thread"] < lengths["even"] < lengths["cover the back"]


def _thread_per_square_inch(count: float, over: int, step: int, policy: str, falling: bool) -> float:
    """Inches of thread in a square inch of an endless slope of groups of one, edges and starts left out."""
    groups = [f"{1}"]
    of = line(list=groups, drift=f"{'down' if falling else 'up'} {step}")
    cloth = canvas(count=count, pitch_mm=25.4 / count, thickness_mm=0.0)
    what = piece(columns=40, rows=40 * step + 3 * over, canvas=cloth, pattern=pattern(over=over, of=of))
    one = kit(what, palette=palette(bend_mm=0.0), house=house(needleful_mm=1e6, longest_run_mm=1e6))
    panel = panel_of(what)
    work = simulate(one, order(panel, policy, "right", FAR, True))  # type: ignore[arg-type]
    of_line = (panel.stitches.row == 0)[work.order.stitch] & (work.back > 0)
    assert of_line.sum() == what.columns - 1
    length = float((work.front + work.back + work.through)[of_line].sum()) / 100
    area = float(of_line.sum()) * over * cloth.pitch_mm**2
    return length / area * 25.4


@pytest.mark.parametrize("row", rows("thread_per_square_inch.csv"), ids=lambda row: "-".join(row.values()))
@pytest.mark.parametrize("falling", [True, False])
def test_an_endless_slope_takes_the_derived_thread(row: dict[str, str], falling: bool) -> None:
    """Derived figures, to 0.5 %: the short and the long back on a slope, and no slope at all."""
    count, over, step = float(row["count"]), int(row["stitch_threads"]), int(row["step"])
    short = _thread_per_square_inch(count, over, step, "save thread", falling)
    long = _thread_per_square_inch(count, over, step, "cover the back", falling)
    flat = _thread_per_square_inch(count, over, 0, "even", falling)
    assert flat == pytest.approx(float(row["flat_in_per_sqin"]), rel=0.005)
    if step:
        assert short == pytest.approx(float(row["short_back_in_per_sqin"]), rel=0.005)
        assert long == pytest.approx(float(row["long_back_in_per_sqin"]), rel=0.005)


def test_a_zigzag_worked_downwards_comes_to_the_level_figure() -> None:
    """Derived: groups of one, 4-2 step, at 7 holes to the inch take 14.2 in a square inch, to 1 %."""
    of = line(groups_of=1, step=2, down=12, up=12, turns="once")
    cloth = canvas(pitch_mm=25.4 / 7, thickness_mm=0.0)
    what = piece(columns=89, rows=60, canvas=cloth, pattern=pattern(of=of))
    one = kit(what, palette=palette(bend_mm=0.0), house=house(needleful_mm=1e6))
    panel = panel_of(what)
    work = simulate(one, order(panel, "even", "right", FAR, True))
    of_line = (panel.stitches.row == 0)[work.order.stitch] & (work.back > 0)
    length = float((work.front + work.back)[of_line].sum()) / 100
    assert length / (of_line.sum() * 4 * cloth.pitch_mm**2) * 25.4 == pytest.approx(14.22, rel=0.01)


@pytest.mark.parametrize(
    ("policy", "over", "step"),
    [*(("even", over, 0) for over in (7, 8)), ("cover the back", 4, 3), ("cover the back", 6, 3)],
)
def test_a_run_beyond_the_longest_turns_the_stitch(policy: str, over: int, step: int) -> None:
    """25 mm at a measured 3.81 mm is 6.56 pitches: less than the policy's run of these stitches."""
    of = line(list=["1"], drift=f"down {step}")
    panel = panel_of(piece(columns=20, rows=20 * step + 5 * over, pattern=pattern(over=over, of=of)))
    work = order(panel, policy, "right", 25.0 / 3.81, True)  # type: ignore[arg-type]
    assert work.runs().max() <= 25.0 / 3.81
    assert work.forced > _beside_last(panel, work).count(False), "more than one at the end of each area"
    assert order(panel, policy, "right", 40.0, True).forced == 0  # type: ignore[arg-type]


panels = st.one_of(drawings(), st.one_of(pieces(most=30, families=UPRIGHT), squares(most=31)).map(panel_of))


@given(panels, policies, hands, st.sampled_from((0.0, 1.5, 6.56, FAR)), parks)
@settings(max_examples=60, deadline=None)
def test_any_work_is_walked_without_a_run_too_long(
    panel: Panel, policy: str, hand: str, longest: float, park: bool
) -> None:
    """Charted pieces with islands and sideways stitches, rings, quarters; twice the same."""
    work = order(panel, policy, hand, longest, park)  # type: ignore[arg-type]
    assert sorted(work.stitch.tolist()) == list(range(len(panel.stitches)))
    on = work.previous >= 0
    assert (work.runs()[on] > 0).all()
    assert (work.runs() <= longest + 1e-9).all()
    assert len(set(work.previous[on].tolist())) == on.sum()
    assert (
        panel.stitches.colour[work.stitch[on]] == panel.stitches.colour[work.stitch[work.previous[on]]]
    ).all()
    assert (np.diff(work.turn) >= 0).all()
    again = order(panel, policy, hand, longest, park)  # type: ignore[arg-type]
    for name in ("stitch", "turned", "previous", "turn"):
        assert getattr(again, name).tolist() == getattr(work, name).tolist()


@given(drawings(), policies, st.sampled_from((1.5, 6.56, FAR)), parks)
@settings(max_examples=40, deadline=None)
def test_the_left_hand_works_the_mirror_image_of_charts(
    panel: Panel, policy: str, longest: float, park: bool
) -> None:
    wide, work = panel.cover.columns + 1, panel.stitches
    across = work.x1 != work.x2
    x1, x2 = (wide - np.where(across, one, other) for one, other in ((work.x2, work.x1), (work.x1, work.x2)))
    mirror = replace(panel, stitches=replace(work, x1=x1, x2=x2))
    left = order(panel, policy, "left", longest, park)  # type: ignore[arg-type]
    right = order(mirror, policy, "right", longest, park)  # type: ignore[arg-type]
    assert [tuple((wide - x, y) for x, y in stitch) for stitch in ends(right)] == ends(left)
    assert left.previous.tolist() == right.previous.tolist()


def _chart(seed: int) -> Panel:
    """A chart of 14 holes each way in one colour or two: in every fourth a last stitch is turned."""
    chance = random.Random(seed)
    bars = bars_drawn(chance, 14, 14, chance.randint(1, 2), 0.2, chance.random() < 0.5)
    return panel_drawn(bars, 14, 14)


charts = st.integers(0, 1 << 30).map(_chart)


@given(charts, policies, hands, st.sampled_from((3.0, 4.0, 6.56)), parks)
@settings(max_examples=60, deadline=None)
def test_nothing_is_begun_anew_within_reach_of_the_turns_needle(
    panel: Panel, policy: str, hand: str, longest: float, park: bool
) -> None:
    """Nor within its reach with its last stitch turned, where an area ends and the run to it allows that."""
    work = order(panel, policy, hand, longest, park)  # type: ignore[arg-type]
    way, beside, previous = ends(work), _beside_last(panel, work), work.previous.tolist()
    for at in (np.flatnonzero((work.previous[1:] < 0) & (np.diff(work.turn) == 0)) + 1).tolist():
        (up, down), came = way[at - 1], previous[at - 1]
        assert not _near(down, way[at], longest)
        if not beside[at] and (came < 0 or 0 < math.dist(way[came][1], down) <= longest):
            assert not _near(up, way[at], longest)


@given(charts, policies, st.sampled_from((3.0, 4.0, 6.56)), parks)
@settings(max_examples=60, deadline=None)
def test_a_walk_counts_its_runs_and_starts(panel: Panel, policy: str, longest: float, park: bool) -> None:
    """By which one division into turns is chosen: those of the order that it comes to at last."""
    walk = _walked(panel, panel.stitches, policy, turns, Reach(longest, 28.0), park)  # type: ignore[arg-type]
    arrays = (np.array(each) for each in (walk.stitch, walk.turned, walk.previous, walk.turn, walk.against))
    work = Order(panel, "right", *arrays)
    assert walk.cost(28.0) == pytest.approx(work.runs().sum() + 28.0 * (work.previous < 0).sum())


def _shared(panel: Panel, work: Order) -> list[int]:
    """Whether only a stitch's first hole (1) or its second (-1) held thread as its turn began; else 0."""
    occupied: set[tuple[int, int]] = set()
    signs = []
    for turn in range(int(work.turn.max()) + 1):
        of = panel.stitches.take(work.stitch[work.turn == turn])
        firsts, seconds = (
            list(zip(x.tolist(), y.tolist(), strict=True)) for x, y in ((of.x1, of.y1), (of.x2, of.y2))
        )
        signs += [(one in occupied) - (two in occupied) for one, two in zip(firsts, seconds, strict=True)]
        occupied |= {*firsts, *seconds}
    return signs


def _beside_last(panel: Panel, work: Order) -> list[bool]:
    """Whether a stitch is of one area with the one before it in order of work."""
    of = panel.stitches.take(work.stitch)
    across = of.x1 != of.x2
    along = np.where(across, of.y1, of.x1)
    same = np.abs(np.diff(along)) <= 1
    for each in (of.course, of.colour, across, work.turn):
        same &= np.diff(each) == 0
    return [False, *same.tolist()]


def _carried(signs: list[int], beside: list[bool]) -> list[int]:
    """A 0 takes the sign before it in its area, else the first after it, else -1."""
    found: list[int] = []
    for at, sign in enumerate(signs):
        end = next((to for to in range(at + 1, len(signs)) if not beside[to]), len(signs))
        after = next((each for each in signs[at:end] if each), -1)
        found.append(sign or (found[-1] if beside[at] and any(signs[: at + 1]) else after))
    return found


@given(panels, hands, runs, parks)
@settings(max_examples=50, deadline=None)
def test_clean_holes_go_down_where_thread_was_when_the_turn_began(
    panel: Panel, hand: str, longest: float, park: bool
) -> None:
    """Of any family: with exactly one end in an occupied hole, the stitch goes down there unless forced.

    Other stitches go the way of the one before them, at an area's begin of the first that has its own.
    """
    work = order(panel, "clean holes", hand, longest, park)  # type: ignore[arg-type]
    signs, beside = _shared(panel, work), _beside_last(panel, work)
    assert _turned_without_need(work, [sign > 0 if sign else None for sign in signs], longest) == []
    if hand == "right" or (panel.stitches.x1 == panel.stitches.x2).all():
        wanted = [sign > 0 for sign in _carried(signs, beside)]
        assert _turned_without_need(work, wanted, longest) == []


def _falls(panel: Panel, work: Order) -> list[int]:
    """Whether the line falls (1) or climbs (-1) after each stitch, or on a level before it; else 0."""
    of = panel.stitches.take(work.stitch)
    middle = np.where(of.x1 != of.x2, of.x1 + of.x2, of.y1 + of.y2)
    same = _beside_last(panel, work)[1:]
    slope = np.where(same, np.sign(np.diff(middle)), 0).tolist()
    return [after or before for before, after in pairwise([0, *slope, 0])]


@given(panels, hands, runs, parks, st.sampled_from(("cover the back", "save thread")))
@settings(max_examples=60, deadline=None)
def test_slopes_say_the_needles_way(panel: Panel, hand: str, longest: float, park: bool, policy: str) -> None:
    """The long run: up at the lower end where the line falls; the short run: where it climbs."""
    work = order(panel, policy, hand, longest, park)  # type: ignore[arg-type]
    sign = 1 if policy == "cover the back" else -1
    wanted = [fall * sign > 0 if fall else None for fall in _falls(panel, work)]
    assert _turned_without_need(work, wanted, longest) == []


def _plain(panel: Panel, longest: float, start: float) -> float:
    """Even work, course by course and colour by colour from the left, anew where a run is impossible."""
    of = panel.stitches
    low = np.where(of.x1 != of.x2, of.y1, of.x1)
    needles: dict[int, tuple[int, int]] = {}
    cost = 0.0
    for at in np.lexsort((of.y1, of.x1, low, of.colour, of.course)).tolist():
        holes = ((int(of.x1[at]), int(of.y1[at])), (int(of.x2[at]), int(of.y2[at])))
        needle, colour = needles.get(int(of.colour[at])), int(of.colour[at])
        able = [way for way in (0, 1) if needle and 0 < math.dist(needle, holes[way]) <= longest]
        way = able[0] if able else 0
        cost += math.dist(needle, holes[way]) if needle and able else start
        needles[colour] = holes[1 - way]
    return cost


def _taken(panel: Panel, longest: float, start: float) -> float:
    work = order(panel, "even", "right", longest, True, start)
    return float(work.runs().sum()) + start * int((work.previous < 0).sum())


@given(panels, st.sampled_from((4.0, 6.56, 12.0)))
@settings(max_examples=80, deadline=None)
def test_never_much_more_thread_than_a_plain_order(panel: Panel, longest: float) -> None:
    """Fronts, runs and starts together: at most 2 % and one start above the plain order of the same work."""
    front = float(panel.stitches.length().sum())
    plain, taken = (front + cost(panel, longest, 28.0) for cost in (_plain, _taken))
    assert taken <= 1.02 * plain + 28.0


@pytest.mark.parametrize("longest", [4.0, 6.56, 12.0])
def test_far_less_thread_than_plain_orders_on_the_whole(longest: float) -> None:
    """Of 15 random charts: measured 0.73 to 0.84 of the plain order's fronts, runs and starts."""
    chance, plain, taken = random.Random(3), 0.0, 0.0
    for _ in range(15):
        columns, rows_, mixed = chance.randint(3, 24), chance.randint(3, 24), chance.random() < 0.5
        panel = panel_drawn(
            bars_drawn(chance, columns, rows_, chance.randint(1, 4), 0.1, mixed), columns, rows_
        )
        front = float(panel.stitches.length().sum())
        plain, taken = (
            plain + front + _plain(panel, longest, 28.0),
            taken + front + _taken(panel, longest, 28.0),
        )
    assert taken <= 0.9 * plain


SEEDED = """
import random
from kitbuild.quantity.order import order
from tests.quantity.drawn import bars_drawn, panel_drawn
work = order(panel_drawn(bars_drawn(random.Random(5), 20, 20), 20, 20), "clean holes", "left", 6.56, True)
print(work.stitch.tolist(), work.turned.tolist(), work.previous.tolist())
"""


def test_the_order_is_the_same_in_any_process() -> None:
    panel = panel_drawn(bars_drawn(random.Random(5), 20, 20), 20, 20)
    work = order(panel, "clean holes", "left", 6.56, True)
    here = f"{work.stitch.tolist()} {work.turned.tolist()} {work.previous.tolist()}"
    seeded = {**os.environ, "PYTHONHASHSEED": "77"}
    found = subprocess.run(
        [sys.executable, "-c", SEEDED], env=seeded, capture_output=True, text=True, check=True
    )
    assert found.stdout.strip() == here


@pytest.mark.parametrize("longest", [0.0, 0.5, FAR, math.inf])
@pytest.mark.parametrize("policy", POLICIES)
def test_the_smallest_work(policy: str, longest: float) -> None:
    """One stitch, one column, one string: with no run at all each stitch is a start of its own."""
    column = panel_drawn([(1, y, 1, y + 2, y % 3) for y in range(1, 21, 2)], 1, 21)
    string = panel_drawn([(x, 1, x, 3, x % 2) for x in range(1, 21)], 20, 3)
    for panel in (one_stitch(), column, string):
        work = order(panel, policy, "right", longest, True)  # type: ignore[arg-type]
        assert sorted(work.stitch.tolist()) == list(range(len(panel.stitches)))
        if longest < 1:
            assert (work.previous == -1).all()


def _speckled(columns: int, rows: int, over: int, colours: int, seed: int | None) -> Panel:
    """A chart of stitches over so many, in a chequer or in random colours."""
    chance = random.Random(seed)
    bars = [
        (x, y, x, y + over, (x + y // over) % colours if seed is None else chance.randrange(colours))
        for x in range(1, columns + 1)
        for y in range(1, rows - over + 1, over)
    ]
    return panel_drawn(bars, columns, rows)


@pytest.mark.parametrize(
    ("columns", "rows", "over", "colours", "seed"),
    [
        (400, 297, 4, 2, None),
        (400, 200, 1, 1, None),
        (80, 60, 2, 3, 5),
        (400, 3, 1, 4, 5),
        (1, 400, 1, 4, 5),
    ],
)
def test_large_charts_take_a_moment(columns: int, rows: int, over: int, colours: int, seed: int) -> None:
    """Tens of thousands of stitches, or areas of one stitch alone; measured 0.2 to 0.8 s."""
    panel = _speckled(columns, rows, over, colours, seed)
    began = time.process_time()
    work = order(panel, "clean holes", "right", 6.56, True)
    assert time.process_time() - began < 8
    assert sorted(work.stitch.tolist()) == list(range(len(panel.stitches)))
