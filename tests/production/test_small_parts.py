"""The small-parts cylinder: the cases of the rule, bounds, and a search that places parts point by point."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kitbuild.production.small_parts import (
    ACROSS_MM,
    BALL_MM,
    DEEP_MM,
    SHALLOW_MM,
    fits,
    is_small_ball,
)
from kitbuild.spec.materials import Part
from tests.figures import rows

CYLINDER = {row["item"]: row for row in rows("small_parts_cylinder.csv")}
RADIUS, LEAN = 31.75 / 2, 45.0


def part(shape: str, *size_mm: float) -> Part:
    return Part(shape, size_mm)  # type: ignore[arg-type]


@pytest.mark.parametrize("row", rows("small_parts_cases.csv"), ids=lambda row: row["case"])
def test_each_case(row: dict[str, str]) -> None:
    assert fits(part(row["shape"], float(row["dimension_mm"]))) is (row["fits_cylinder"] == "1")


@pytest.mark.parametrize(
    ("item", "measure"),
    [
        ("inner_diameter", ACROSS_MM),
        ("depth_deep_side", DEEP_MM),
        ("depth_shallow_side", SHALLOW_MM),
        ("small_ball_template", BALL_MM),
    ],
)
def test_measures_of_the_cylinder(item: str, measure: float) -> None:
    row = CYLINDER[item]
    assert measure == float(row["value_mm"]) == pytest.approx(25.4 * float(row["value_in"]))


@pytest.mark.parametrize(
    ("item", "shape"),
    [("max_sphere_fits", "sphere"), ("max_thin_disc_fits", "disc"), ("max_thin_straight_rod_fits", "rod")],
)
def test_the_largest_that_fits(item: str, shape: str) -> None:
    largest = float(CYLINDER[item]["value_mm"])
    assert fits(part(shape, largest - 0.005))
    assert not fits(part(shape, largest + 0.005))


def test_every_item_of_the_table_is_tested() -> None:
    assert len(CYLINDER) == 7


def test_the_slanted_bottom_binds_no_ball() -> None:
    """A ball in the deep corner touches wall and slant when its radius is 2.25 in / (2 + the root of 2)."""
    assert 57.15 / (2 + math.sqrt(2)) > RADIUS
    assert inside(ball(31.74) + np.array((0, 0, -31.74 / 2)), 1e-6)


def test_small_balls() -> None:
    assert is_small_ball(part("sphere", 44.45))
    assert not is_small_ball(part("sphere", 44.46))
    assert not is_small_ball(part("disc", 10))


# --- the cylinder as a solid, and parts placed in it


def floor(x: np.ndarray) -> np.ndarray:
    """Height of the bottom below the rim, which lies at 0: deep at x = -radius, shallow at x = radius."""
    return -57.15 + (x + RADIUS) * math.tan(math.radians(LEAN))


def inside(points: np.ndarray, slack: float = 0.0) -> bool:
    """Whether all points lie in the cylinder, or less than `slack` outside."""
    x, y, z = points.T
    walls = np.hypot(x, y) <= RADIUS + slack
    return bool((walls & (z <= slack) & (z >= floor(x) - slack)).all())


def ball(diameter: float) -> np.ndarray:
    turns, heights = np.meshgrid(np.linspace(0, 2 * math.pi, 40), np.linspace(-1, 1, 41))
    wide = np.sqrt(1 - heights**2)
    shape = np.stack([wide * np.cos(turns), wide * np.sin(turns), heights], axis=-1).reshape(-1, 3)
    return shape * diameter / 2


def corners(a: float, b: float, c: float) -> np.ndarray:
    return np.array([(x, y, z) for x in (-a / 2, a / 2) for y in (-b / 2, b / 2) for z in (-c / 2, c / 2)])


def about(axis: int, angle: float) -> np.ndarray:
    turn = np.eye(3)
    i, j = [k for k in range(3) if k != axis]
    turn[i, i] = turn[j, j] = math.cos(angle)
    turn[i, j], turn[j, i] = -math.sin(angle), math.sin(angle)
    return turn


def outside_by(points: np.ndarray, place: np.ndarray) -> float:
    """How far the worst point lies outside when the part's middle stands at `place`."""
    x, y, z = (points + place).T
    return float(max((np.hypot(x, y) - RADIUS).max(), z.max(), (floor(x) - z).max() / math.sqrt(2)))


def best_place(points: np.ndarray) -> float:
    """The least that a turned part lies outside, over its places: coordinate by coordinate, finer and finer.

    The measure is convex in the place, and so the search in halving steps comes near to the best.
    """
    place, step = np.array([0.0, 0.0, -20.0]), 16.0
    best = outside_by(points, place)
    while step > 0.01:
        ways = [np.array(way) * step for way in WAYS]
        found = min(((outside_by(points, place + way), tuple(way)) for way in ways), key=lambda each: each[0])
        if found[0] < best - 1e-12:
            best, place = found[0], place + np.array(found[1])
        else:
            step /= 2
    return best


WAYS = [(x, y, z) for x in (-1, 0, 1) for y in (-1, 0, 1) for z in (-1, 0, 1) if (x, y, z) != (0, 0, 0)]


def search(points: np.ndarray, seed: int = 3) -> float:
    """The least that a part lies outside, over coarse angles first, then over small changes of the best."""
    angles = [0, math.pi / 8, math.pi / 4, 3 * math.pi / 8]
    starts = [(a, b, c) for a in (0, math.pi / 4) for b in (*angles, math.pi / 2) for c in (0, math.pi / 2)]
    value = {each: best_place(_turn(points, each)) for each in starts}
    random = np.random.default_rng(seed)
    best = sorted(starts, key=lambda each: value[each])[:2]
    for scale in (0.2, 0.1, 0.05, 0.02, 0.01):
        for each in list(best):
            for _ in range(10):
                near = tuple(np.array(each) + random.normal(scale=scale, size=3))
                value[near] = best_place(_turn(points, near))
        best = sorted(value, key=lambda each: value[each])[:2]
    return value[best[0]]


def _turn(points: np.ndarray, angles: tuple[float, ...]) -> np.ndarray:
    return points @ (about(2, angles[0]) @ about(1, angles[1]) @ about(0, angles[2])).T


@pytest.mark.parametrize("length", [30.0, 55.0, 64.5, 65.3, 65.5, 70.0])
def test_rods_by_search(length: float) -> None:
    """The longest thin rod runs from the deep corner to the rim on the other side."""
    rod = np.array([(-length / 2, 0, 0), (length / 2, 0, 0)])
    assert (search(rod) <= 0.06) is fits(part("rod", length))


BOXES = [
    (22.0, 22.0, 30.0),
    (22.0, 22.0, 33.0),
    (40.0, 25.0, 8.0),
    (45.0, 25.0, 12.0),
    (60.0, 5.0, 2.0),
    (62.5, 1.0, 1.0),
    (31.0, 20.0, 10.0),
    (30.0, 30.0, 1.0),
    (50.0, 14.0, 3.0),
    (24.0, 24.0, 24.0),
    (21.0, 21.0, 21.0),
]


@pytest.mark.parametrize("edges", BOXES, ids=str)
def test_boxes_by_search(edges: tuple[float, float, float]) -> None:
    """What the search can place fits; what it misses by more than a millimetre does not."""
    lacking = search(corners(*edges))
    if lacking <= 0.02:
        assert fits(part("box", *edges))
    if lacking > 1.0:
        assert not fits(part("box", *edges))


def test_boxes_of_both_kinds_are_searched() -> None:
    assert {fits(part("box", *edges)) for edges in BOXES} == {True, False}


sizes = st.floats(0.5, 70).map(lambda value: round(value, 1))


@given(sizes, sizes, sizes)
@settings(max_examples=60, deadline=None)
def test_bounds_of_boxes(a: float, b: float, c: float) -> None:
    """No box that fits is longer than the longest rod, or thicker than the cylinder; small ones fit."""
    short, middle, long = sorted((a, b, c))
    found = fits(part("box", a, b, c))
    if math.hypot(short, middle) > 31.75 + 0.1 or math.hypot(a, b, c) > 65.38 + 0.1:
        assert not found
    if math.hypot(short, middle) <= 31.75 and long <= 25.4:
        assert found


@given(sizes, sizes, sizes, st.floats(1.02, 1.5))
@settings(max_examples=40, deadline=None)
def test_what_is_smaller_fits_as_well(a: float, b: float, c: float, more: float) -> None:
    if fits(part("box", a * more, b * more, c * more)):
        assert fits(part("box", a, b, c))


@given(st.floats(1, 31.7), st.floats(0.1, 56))
@settings(max_examples=40, deadline=None)
def test_rods_and_discs_are_one_shape(across: float, along: float) -> None:
    """A short rod is a disc; upright it reaches down to where the slant meets its far side."""
    found = fits(part("disc", across, along))
    assert found is fits(part("rod", along, across))
    if along <= 57.15 - across:
        assert found
    if math.hypot(along, across) > 65.5:
        assert not found


def test_a_thin_part_is_one_without_thickness() -> None:
    assert fits(part("rod", 65))
    assert not fits(part("rod", 65, 4))
    assert fits(part("rod", 40, 4))
    assert not fits(part("rod", 20, 32))
    assert fits(replace(part("disc", 31.75), size_mm=(31.75, 25.4)))
    assert not fits(part("disc", 31.75, 26.5))
