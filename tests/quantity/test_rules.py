"""Warnings and errors from quantities."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kitbuild.pattern.expand import panels
from kitbuild.production.cost import Cost
from kitbuild.production.prices import sales
from kitbuild.production.rules import judged
from kitbuild.quantity.amounts import measure
from kitbuild.quantity.rules import after, before, usual_needles
from kitbuild.spec.materials import Needle
from kitbuild.spec.piece import RoundObject
from kitbuild.spec.records import Kit, PackedNeedle
from tests.pattern.builders import AT, CUSHION, FLAT, SLEEVE, canvas, house, kit, palette, piece


def _codes(one: Kit) -> set[str]:
    return {problem.code for problem in after(measure(one, panels(one)))}


def _with_needle(one: Kit, size: int) -> Kit:
    needle = Needle(f"needle-{size}", "Needle", size, 22, "N-01", AT)
    return replace(one, needles=(PackedNeedle(needle, 1, AT),))


@pytest.mark.parametrize(
    ("count", "size"),
    [(5, 13), (7, 13), (8, 16), (10, 16), (10, 18), (12, 18), (13, 20), (14, 20), (18, 22), (22, 24)],
)
def test_needles_of_the_published_tables(count: float, size: int) -> None:
    """Needle guides of 2011 and 2014, as quoted in the figures of the trade: published."""
    assert size in usual_needles(count)


@pytest.mark.parametrize(("size", "told"), [(13, False), (16, False), (18, False), (20, True), (26, True)])
def test_needles_for_seven_count(size: int, told: bool) -> None:
    """13 published; 16 and 18 common practice."""
    assert ("KB507" in _codes(_with_needle(kit(piece()), size))) is told


@pytest.mark.parametrize(("thickness", "told"), [(1.0, True), (1.9, False), (3.8, False), (4.0, True)])
def test_threads_for_the_canvas(thickness: float, told: bool) -> None:
    """0.4 to 1 of a pitch of 3.81 mm: common practice, no source."""
    thick = tuple(
        replace(each, thread=replace(each.thread, thickness_mm=thickness)) for each in kit(piece()).palette
    )
    assert ("KB508" in _codes(kit(piece(), palette=thick))) is told


@pytest.mark.parametrize(("border", "told"), [(30.0, True), (38.0, False), (50.8, False)])
def test_borders_to_hold(border: float, told: bool) -> None:
    """1.5 in is the least of the published range."""
    woven = canvas(key="mono-10", weave="woven", count=10.0, pitch_mm=2.54, kerf=0)
    what = piece(canvas=woven, finish=replace(CUSHION, border_mm=border))
    assert ("KB509" in _codes(kit(what, palette=palette(thickness_mm=1.9)))) is told


@pytest.mark.parametrize(
    ("count", "length", "told"),
    [(7, 760, False), (7, 900, True), (10, 500, False), (10, 760, True), (7, 300, True)],
)
def test_usual_needlefuls(count: float, length: float, told: bool) -> None:
    """18 to 20 in on 10 to 13 count, published; up to 30 in on 7 count, common practice."""
    one = kit(piece(canvas=canvas(count=float(count))), house=house(needleful_mm=float(length)))
    assert ("KB510" in _codes(one)) is told


def test_a_needleful_that_holds_no_stitch_stops_the_build() -> None:
    one = kit(piece(), house=house(needleful_mm=180.0))
    assert [problem.code for problem in before(one)] == ["KB501"]
    assert not before(one)[0].warning


def test_a_put_up_shorter_than_a_needleful_stops_the_build() -> None:
    short = tuple(
        replace(each, thread=replace(each.thread, put_up_mm=700.0)) for each in kit(piece()).palette[:1]
    )
    assert [problem.code for problem in before(kit(piece(), palette=short))] == ["KB502"]


@pytest.mark.parametrize(("margin", "told"), [(-1, True), (0, False), (500, False)])
def test_a_price_below_cost_is_told(margin: int, told: bool) -> None:
    one = kit(piece())
    total = one.price_minor - margin
    cost = Cost((), 0, total, sales(one, total))
    assert [problem.code for problem in judged(one, cost)] == (["KB602"] if told else [])


@pytest.mark.parametrize(("kind", "told"), [("flat", False), ("box", True), ("sleeve", True)])
@pytest.mark.parametrize("measured", [True, False])
def test_what_must_fit_asks_for_a_measured_pitch(kind: str, told: bool, measured: bool) -> None:
    finish = {"flat": FLAT, "box": replace(FLAT, kind="box", edges=("top",)), "sleeve": SLEEVE}[kind]
    what = piece(columns=78, rows=25, canvas=canvas(measured=measured), finish=finish)
    if kind == "sleeve":
        what = replace(what, goes_round=RoundObject("tin", "metal", 90.0, 120.0, 1.0, 5.0, AT))
    assert ("KB504" in _codes(kit(what))) is (told and not measured)
