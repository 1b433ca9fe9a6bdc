"""Warnings from the stitches: colours that touch, long stitches, stitches over 1."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings

from kitbuild.pattern import rules
from kitbuild.pattern.neighbours import neighbours
from kitbuild.pattern.panel import Panel
from kitbuild.spec.piece import Piece
from kitbuild.spec.records import Colour, Kit
from tests.pattern.builders import house, kit, panel_of, pattern, piece, pieces, sideways


def _drawn(panel: Panel) -> frozenset[tuple[int, int]]:
    """Pairs of colours that touch, link by link, the plain way."""
    work = panel.stitches
    links: dict[tuple[int, int], int] = {}
    for x, top, bottom, colour in zip(
        work.x1.tolist(), work.y1.tolist(), work.y2.tolist(), work.colour.tolist(), strict=True
    ):
        for y in range(top, bottom):
            links[x, y] = colour
    found = set()
    for (x, y), colour in links.items():
        for other in (links.get((x + 1, y)), links.get((x, y + 1))):
            if other is not None and other != colour:
                found.add((min(colour, other), max(colour, other)))
    return frozenset(found)


@given(pieces(most=40))
@settings(max_examples=40, deadline=None)
def test_colours_that_touch(what: Piece) -> None:
    panel = panel_of(what)
    assert neighbours(panel) == _drawn(panel)
    assert neighbours(sideways(panel)) == _drawn(panel)


def _coloured(one: Kit, *rgbs: tuple[int, int, int]) -> Kit:
    palette: list[Colour] = [replace(colour, rgb=rgb) for colour, rgb in zip(one.palette, rgbs, strict=False)]
    return replace(one, palette=(*palette, *one.palette[len(rgbs) :]))


def _codes(one: Kit) -> list[str]:
    panels = tuple(panel_of(what) for what in one.pieces)
    return [problem.code for problem in rules.judged(one, panels)]


def test_alike_neighbours_are_told() -> None:
    plain = kit(piece(rows=27))
    apart = ((20, 20, 60), (230, 220, 120), (160, 40, 40))
    assert _codes(_coloured(plain, *apart)) == []
    assert _codes(_coloured(plain, (20, 20, 60), (24, 22, 62), (230, 220, 120))) == ["KB402"]


def test_colours_that_do_not_touch_may_be_alike() -> None:
    """Four rows of colour: the first and the third never meet on a line of small steps."""
    of = pattern(colours=("red", "blue", "red", "blue"))
    one = kit(piece(pattern=replace(of, colours=("red", "blue"))))
    assert "KB402" not in _codes(_coloured(one, (20, 20, 60), (230, 220, 120), (21, 21, 61)))


def test_colours_alike_to_some_eyes_are_told() -> None:
    found = _codes(_coloured(kit(piece(rows=27)), (200, 90, 40), (128, 120, 38), (30, 30, 90)))
    assert found == ["KB403"]


@pytest.mark.parametrize(("use", "told"), [("coaster", False), ("cushion", True), ("other", False)])
def test_long_stitches_are_told_by_use(use: str, told: bool) -> None:
    """Over 4 at 3.81 mm is 15.24 mm; the limits are the workshop's."""
    what = piece(rows=27, use=use)
    assert ("KB404" in _codes(kit(what))) is told
    loose = replace(house(), longest_stitch_mm=dict.fromkeys(("coaster", "cushion", "other"), 15.24))
    assert "KB404" not in _codes(kit(what, house=loose))


def test_stitches_over_one_are_told_with_rows_that_have_none() -> None:
    for rows in range(20, 34):
        what = piece(rows=rows)
        panel = panel_of(what)
        count = int(np.count_nonzero(panel.stitches.length() == 1))
        found = [problem for problem in rules.judged(kit(what), (panel,)) if problem.code == "KB405"]
        assert len(found) == bool(count)
        if found and found[0].cure.endswith("have none"):
            better = int(found[0].cure.split()[0])
            assert not (panel_of(replace(what, rows=better)).stitches.length() == 1).any()


def test_even_rows_always_leave_some() -> None:
    """4-2 with an even number of hole rows always leaves stitches over 1 (derived)."""
    for rows in range(20, 40, 2):
        assert (panel_of(piece(rows=rows)).stitches.length() == 1).any()
