"""Sizes from holes, and the fit of a sleeve."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitbuild.pattern.line import repeat_columns
from kitbuild.quantity.sizes import SleeveFit, columns_that_fit, fit, sizes
from kitbuild.spec.piece import Piece, RoundObject
from kitbuild.spec.records import Kit
from tests.figures import figure
from tests.pattern.builders import AT, CUSHION, FLAT, SLEEVE, canvas, kit, palette, piece, thread


def _fit(one: Kit, what: Piece) -> SleeveFit | None:
    assert what.pattern.line is not None
    return fit(one, what, repeat_columns(what.pattern.line))


INCH = 25.4
TIN = RoundObject("tin", "metal", 90.0, 120.0, 1.0, 3.0, AT)


def test_the_published_cut_size() -> None:
    """67 stitches at 10 per inch are 6.7 in; with 2 in of border at each side 10.7 in (published).

    The blank is closed by one bar more, which the published sum leaves out.
    """
    cloth = canvas("mono-10", weave="woven", pitch_mm=2.54, bar_mm=0.7, kerf=0)
    finish = replace(CUSHION, border_mm=2 * INCH)
    what = piece(columns=67, rows=67, canvas=cloth, finish=finish)
    found = sizes(kit(what), what)
    assert found.stitched.width_mm == pytest.approx(figure("WRK15")[0] * INCH, abs=0.005)
    assert found.blank.columns * cloth.pitch_mm == pytest.approx(figure("WRK16")[0] * INCH, abs=0.005)
    assert found.blank.width_mm == pytest.approx(figure("WRK16")[0] * INCH + 0.7, abs=0.005)
    assert found.border == (20, 20)


def test_28_by_29_holes_stitch_a_square() -> None:
    """And finish one pitch taller than wide (derived)."""
    what = piece(columns=28, rows=29)
    found = sizes(kit(what), what)
    assert found.stitched.width_mm == found.stitched.height_mm == pytest.approx(28 * 3.81)
    assert found.finished.height_mm - found.finished.width_mm == pytest.approx(3.81, abs=0.006)
    assert found.finished.width_mm == pytest.approx(28 * 3.81 + 1.1 + 2 * 1.9, abs=0.005)
    assert (found.blank.columns, found.blank.rows) == (28, 29)
    assert found.blank == found.trimmed


@given(st.integers(3, 300), st.integers(3, 300), st.integers(1, 6), st.integers(0, 1))
def test_sleeve_sizes(columns: int, rows: int, overlap: int, kept: int) -> None:
    finish = replace(SLEEVE, overlap=overlap, kept_rows=kept)
    what = piece(columns=columns, rows=rows, finish=finish, goes_round=TIN)
    found = sizes(kit(what), what)
    assert (found.blank.columns, found.blank.rows) == (columns + 2 * overlap, rows + 2 * kept)
    assert found.finished.width_mm == pytest.approx((columns + overlap) * 3.81, abs=0.006)
    assert found.border == (overlap, kept)


@given(st.floats(0, 80), st.integers(2, 200))
def test_a_border_is_never_less_than_asked(border: float, columns: int) -> None:
    what = piece(columns=columns, finish=replace(CUSHION, border_mm=border))
    bare, _ = sizes(kit(what), what).border
    assert bare * 3.81 >= border - 1e-6
    assert (bare - 1) * 3.81 < border or bare == 0


def test_a_ring_of_68_columns_is_75_or_79_mm_across() -> None:
    """A nominal count of 7 and a true one of 6.67 (derived); canvas of 1.5 mm, thread of 1 mm."""
    found = []
    for pitch in (INCH / 7, 3.81):
        cloth = canvas(pitch_mm=pitch)
        finish = replace(SLEEVE, overlap=2)
        what = piece(columns=66, canvas=cloth, finish=finish, goes_round=TIN)
        around = _fit(kit(what, palette=palette(thickness_mm=1.0)), what)
        assert around is not None
        found.append(around.inside_mm)
        assert around.inside_mm == pytest.approx(68 * pitch / math.pi - 1.5 - 2.0, abs=0.006)
    assert tuple(map(round, found)) == figure("RING7")


@given(st.integers(10, 200), st.integers(1, 6), st.floats(20, 120), st.floats(0, 5), st.floats(0, 12))
def test_a_sleeve_fits_when_its_inside_lies_between(
    columns: int, overlap: int, across: float, ease: float, tolerance: float
) -> None:
    tin = replace(TIN, diameter_mm=across, ease_mm=ease, tolerance_mm=tolerance)
    what = piece(columns=columns, finish=replace(SLEEVE, overlap=overlap), goes_round=tin)
    around = _fit(kit(what), what)
    assert around is not None
    inside = (columns + overlap) * 3.81 / math.pi - 1.5 - 2 * 1.9
    assert around.inside_mm == pytest.approx(inside, abs=0.006)
    if min(abs(inside - across - ease), abs(inside - across - ease - tolerance)) > 0.02:
        assert around.fits == (across + ease <= inside <= across + ease + tolerance)
        least, most = columns_that_fit(kit(what), around)
        assert around.fits == (least <= columns <= most)


def test_a_flat_piece_fits_nothing() -> None:
    what = piece(finish=FLAT)
    assert _fit(kit(what), what) is None


def test_the_seam_is_closed_unbroken_or_broken() -> None:
    """The line of `piece` repeats in 12 columns: 22 and an overlap of 2 make two whole repeats."""
    seen = {}
    for columns in (22, 23, 28, 25):
        what = piece(columns=columns, finish=SLEEVE, goes_round=TIN)
        around = _fit(kit(what), what)
        assert around is not None
        seen[columns] = around.pattern
    assert seen == {22: "closed", 23: "unbroken", 28: "broken", 25: "broken"}


def test_the_thickest_thread_of_the_piece_counts() -> None:
    thick = palette()
    thick = (thick[0], replace(thick[1], thread=thread(thickness_mm=3.0)), *thick[2:])
    what = piece(columns=70, finish=SLEEVE, goes_round=TIN)
    plain, fat = _fit(kit(what), what), _fit(kit(what, palette=thick), what)
    assert plain is not None
    assert fat is not None
    assert plain.inside_mm - fat.inside_mm == pytest.approx(2 * 1.1, abs=0.011)
