"""What fits an object, against geometry done here by hand."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kitbuild.fit import answers, changes
from kitbuild.quantity.fits import Room, Shape, flat_choices, round_room, sleeve_choices, taper_room
from tests.pattern.builders import SLEEVE, kit, line, pattern, piece

ZIGZAG = Shape((0, 0, 2, 2, 4, 4, 6, 6, 4, 4, 2, 2), 4)


@given(
    st.floats(20, 300),
    st.floats(0, 5),
    st.floats(0.5, 9),
    st.floats(1, 6),
    st.floats(0, 6),
    st.integers(1, 4),
)
@settings(max_examples=200)
def test_every_ring_that_fits_and_no_other(
    diameter: float, ease: float, tolerance: float, pitch: float, walls: float, overlap: int
) -> None:
    room = round_room(diameter, ease, tolerance)
    found = {choice.around for choice in sleeve_choices(ZIGZAG, room, pitch, walls, overlap)}
    for around in range(overlap + 2, 800):
        inside = around * pitch / math.pi - walls
        if diameter + ease + 1e-6 < inside < diameter + ease + tolerance - 1e-6:
            assert around in found
        elif not diameter + ease - 1e-6 <= inside <= diameter + ease + tolerance + 1e-6:
            assert around not in found


def test_the_finest_tolerance_is_a_pitch_over_pi() -> None:
    """Two rings next to each other differ by p / pi (derived)."""
    room = Room(50, 90, 70)
    sizes = [choice.size_mm for choice in sleeve_choices(ZIGZAG, room, 3.81, 5.3, 2)]
    assert all(b - a == pytest.approx(3.81 / math.pi) for a, b in pairwise(sizes))


@given(st.integers(10, 200), st.integers(1, 3))
def test_meetings_round_the_seam(columns: int, overlap: int) -> None:
    around = columns + overlap
    inside = around * 3.0 / math.pi
    choice = sleeve_choices(ZIGZAG, Room(inside - 0.01, inside + 0.01, inside), 3.0, 0.0, overlap)[0]
    assert (choice.repeats, choice.left + choice.right) == divmod(columns, 12)
    wave = [ZIGZAG.depth[(x - choice.left) % 12] for x in range(around + 1)]
    expected = "closed" if around % 12 == 0 else "unbroken" if wave[0] == wave[-1] else "broken"
    assert choice.meeting == expected


@given(st.floats(40, 400), st.floats(1, 20), st.floats(1, 5), st.floats(0, 8))
def test_flat_widths(width: float, tolerance: float, pitch: float, extra: float) -> None:
    for choice in flat_choices(ZIGZAG, Room(width - tolerance, width, width), pitch, extra):
        assert width - tolerance - 1e-6 <= choice.columns * pitch + extra <= width + 1e-6


def test_taper_within_its_limit() -> None:
    assert taper_room(80, 78, 1, 3, 4) == round_room(80, 1, 3)
    assert taper_room(78, 80, 1, 3, 4) == round_room(80, 1, 3)
    assert taper_room(80, 70, 1, 3, 4) is None


def test_closed_and_without_short_stitches_comes_first() -> None:
    of = line(groups_of=2, step=2, down=6, up=6, turns="once")
    what = piece(columns=78, rows=25, pattern=pattern("diamond", 4, of, left=9), finish=SLEEVE)
    one = kit(what)
    best = answers(one, what, round_room(90.0, 1.0, 3.0), 100.0)
    assert len(best) == 3
    assert best[0].choice.meeting == "closed"
    assert best[0].over_one == 0
    assert best[0].height_mm <= 100.0
    written = changes(what, best[0])
    assert written["pieces", "case", "columns"] == str(best[0].choice.columns)
