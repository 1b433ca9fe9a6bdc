"""What each colour takes, in whole needlefuls and put-ups."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kitbuild.pattern.expand import panels
from kitbuild.quantity.amounts import measure
from kitbuild.quantity.needle import finishing_needlefuls, needlefuls_in_put_up
from kitbuild.quantity.order import HANDS
from kitbuild.spec.piece import Piece
from tests.figures import figure
from tests.pattern.builders import (
    THREAD_RULES,
    canvas,
    house,
    kit,
    line,
    palette,
    pattern,
    piece,
    pieces,
    thread,
)


def test_a_skein_gives_thirteen_needlefuls() -> None:
    """10 m (published) in lengths of 76 cm is 13 (derived)."""
    skein = thread(put_up_mm=figure("THR01")[0] * 1000)
    assert needlefuls_in_put_up(skein, 760.0) == figure("SKEIN")[0]


@pytest.mark.parametrize(
    ("put_up", "needleful", "plies", "strands", "wanted"),
    [
        (10_000.0, 500.0, 1, 1, 20),
        (8 * 914.4, 457.2, 1, 1, 16),
        (10_000.0, 760.0, 3, 1, 39),
        (10_000.0, 760.0, 3, 2, 19),
        (10_000.0, 760.0, 1, 2, 6),
        (1651.0, 500.0, 3, 2, 4),
        (700.0, 760.0, 3, 1, 0),
    ],
)
def test_needlefuls_in_a_put_up(
    put_up: float, needleful: float, plies: int, strands: int, wanted: int
) -> None:
    """Whole lengths first, then what plies and strands make of them (derived)."""
    assert needlefuls_in_put_up(thread(put_up_mm=put_up, plies=plies, strands=strands), needleful) == wanted


def test_nine_metres_in_fifteen_needlefuls_is_two_skeins() -> None:
    """Derived: put-ups hold whole needlefuls; a total length over a skein's would say one."""
    lengths = [[60_000] for _ in range(15)]
    assert sum(map(sum, lengths)) == 900_000, "9 m in hundredths of a millimetre"
    count = finishing_needlefuls(lengths, THREAD_RULES)
    assert count == 15
    assert math.ceil(count / needlefuls_in_put_up(thread(), 760.0)) == 2


@given(st.lists(st.lists(st.integers(300, 6000), min_size=1, max_size=60), min_size=1, max_size=6))
def test_finishing_fits_its_needlefuls(lengths: list[list[int]]) -> None:
    """No fewer than the thread needs, and none half empty but at the end of a run."""
    count = finishing_needlefuls(lengths, THREAD_RULES)
    usable = 76_000 - 3 * 5080
    assert count * usable >= sum(map(sum, lengths))
    assert count <= sum(math.ceil(sum(run) / (usable - 6000)) for run in lengths)


@given(pieces(most=40), st.integers(1, 5), st.sampled_from(("clean holes", "cover the back", "save thread")))
@settings(max_examples=40, deadline=None)
def test_a_colour_adds_up(what: Piece, copies: int, policy: str) -> None:
    one = kit(replace(what, copies=copies), policy=policy)
    amounts = measure(one, panels(one))
    made = amounts.pieces[0]
    for use in amounts.uses:
        index = one.colour_index(use.colour.key)
        assert use.stitches == copies * int((made.panel.stitches.colour == index).sum())
        sums, names = [], []
        for hand in HANDS:
            work = made.thread.works[hand]
            mine = made.panel.stitches.colour[work.order.stitch] == index
            sums.append(int((work.front + work.back + work.through)[mine].sum()))
            names.append(len(set(work.needleful[mine].tolist())))
        assert round(use.stitch_mm * 100) == copies * max(sums)
        assert use.needlefuls == copies * max(names) + use.finish_needlefuls
        parts = (use.stitch_mm, use.finish_mm, use.tails_mm)
        assert sum(round(part * 100) for part in parts) == use.needlefuls * 76_000
        assert use.tails_mm > 0
        assert use.spare == math.ceil(round(use.needlefuls * 0.1, 6))
        assert use.put_ups == -(-(use.needlefuls + use.spare) // 13)


@given(pieces(most=30), st.lists(st.integers(0, 100), min_size=2, max_size=4))
@settings(max_examples=20, deadline=None)
def test_more_spare_is_never_fewer_put_ups(what: Piece, shares: list[int]) -> None:
    packed = []
    for share in sorted(shares):
        one = kit(what, house=house(spare_share=share / 100))
        packed.append([(use.spare, use.put_ups) for use in measure(one, panels(one)).uses])
    for colour in zip(*packed, strict=True):
        for fewer, more in pairwise(colour):
            assert fewer[0] <= more[0]
            assert fewer[1] <= more[1]


def test_needlefuls_of_two_pieces_have_names_of_their_own() -> None:
    one = kit(piece("one"), piece("two", pattern=pattern("diamond")))
    amounts = measure(one, panels(one))
    for hand in HANDS:
        first, second = (each.thread.works[hand] for each in amounts.pieces)
        assert int(second.needleful.min()) == int(first.needleful.max()) + 1
        assert int(second.start.min()) == int(first.start.min()) == 1


def test_a_left_hand_on_a_slope_takes_another_length() -> None:
    """Always downwards, a slope falls for one hand and climbs for the other: short against long (derived)."""
    of = line(list=["1"], drift="down 2")
    cloth = canvas(thickness_mm=0.0)
    what = piece(columns=60, rows=240, canvas=cloth, pattern=pattern(of=of, colours=("red",)))
    one = kit(what, palette=palette(bend_mm=0.0), house=house(needleful_mm=1e6, park=False))
    made = measure(one, panels(one)).pieces[0]
    length = {}
    for hand in HANDS:
        work = made.thread.works[hand]
        inner = (work.back > 0) & (made.panel.stitches.row[work.order.stitch] == 0)
        length[hand] = float((work.front + work.back)[inner].sum())
    assert max(length.values()) / min(length.values()) == pytest.approx(10.083 / 6.236, rel=0.01)
