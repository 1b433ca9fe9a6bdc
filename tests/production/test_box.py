"""What goes into a box: picks and cost."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from kitbuild.pattern.expand import panels
from kitbuild.production.cost import cost
from kitbuild.production.cutting import blank_cost, blank_of
from kitbuild.production.picks import Pick, picks
from kitbuild.quantity.amounts import measure
from kitbuild.spec.records import Kit, PackedExtra
from tests.pattern.builders import (
    AT,
    canvas,
    extra,
    house,
    kit,
    pattern,
    piece,
    pieces,
    roll,
)

WOVEN = canvas("mono-10", weave="woven", kerf=0, stock=(roll(),))


def picked(one: Kit) -> tuple[Pick, ...]:
    return picks(measure(one, panels(one)))


def boxes() -> Kit:
    things = (PackedExtra(extra("lid"), 2, AT), PackedExtra(replace(extra("bag"), bin="A-02"), 1, AT))
    return kit(piece("one", copies=3), piece("two", pattern=pattern("diamond")), extras=things)


def test_picks_are_sorted_by_bin() -> None:
    lines = picked(boxes())
    assert [each.bin for each in lines] == sorted(each.bin for each in lines)
    kinds = [each.kind for each in lines]
    assert {kind: kinds.count(kind) for kind in dict.fromkeys(sorted(kinds))} == {
        "booklet": 1,
        "canvas": 2,
        "extra": 2,
        "needle": 1,
        "sheet": 1,
        "thread": 3,
    }


def test_printed_matter_is_picked() -> None:
    lines = {each.item: each for each in picked(boxes())}
    for kind in ("booklet", "sheet"):
        printed = lines[f"CASE-{kind}"]
        assert (printed.kind, printed.quantity, printed.bin) == (kind, 1, "P-01")


@given(pieces(most=40), st.integers(1, 4))
@settings(max_examples=25, deadline=None)
def test_picks_hold_what_was_measured(what: object, copies: int) -> None:
    one = kit(replace(what, copies=copies, canvas=WOVEN))  # type: ignore[type-var]
    amounts = measure(one, panels(one))
    lines = picks(amounts)
    threads = {each.item: each.quantity for each in lines if each.kind == "thread"}
    assert threads == {use.colour.thread.key: use.put_ups for use in amounts.uses}
    assert sum(each.quantity for each in lines if each.kind == "canvas") == copies


@given(pieces(most=40), st.integers(1, 7), st.integers(0, 3000), st.floats(0, 60))
@settings(max_examples=25, deadline=None)
def test_cost_adds_up_in_whole_minor_units(what: object, copies: int, wage: int, minutes: float) -> None:
    """Each line is rounded up once; the total is their sum and the packing."""
    room = replace(house(), packing_wage_minor=wage, packing_minutes=minutes)
    one = kit(replace(what, copies=copies, canvas=WOVEN), house=room)  # type: ignore[type-var]
    amounts = measure(one, panels(one))
    costs = cost(one, picks(amounts))
    for line, minor in costs.lines:
        assert isinstance(minor, int)
        assert 0 <= minor - line.cost < 1
    assert 0 <= costs.packing_minor - minutes * wage / 60 + 1e-6 < 1 + 2e-6
    assert costs.total_minor == sum(minor for _, minor in costs.lines) + costs.packing_minor
    assert costs.margin_minor == one.price_minor - costs.total_minor
    cloth = next(line for line, _ in costs.lines if line.kind == "canvas")
    assert cloth.cost == copies * blank_cost(blank_of(one, amounts.pieces[0]))


def test_cost_of_a_known_box() -> None:
    one = boxes()
    lines = {line.item: minor for line, minor in cost(one, picked(one)).lines}
    amounts = measure(one, panels(one))
    for use in amounts.uses:
        assert lines[use.colour.thread.key] == 135 * use.put_ups
    assert (lines["lid"], lines["bag"], lines["needle-16"]) == (520, 260, 44)
    assert (lines["CASE-booklet"], lines["CASE-sheet"]) == (90, 20)
    assert cost(one, picked(one)).packing_minor == 240
    by_piece = [line.cost for line, _ in cost(one, picked(one)).lines if line.kind == "canvas"]
    assert sorted(by_piece) == [Fraction(145, 6), Fraction(145, 2)]
