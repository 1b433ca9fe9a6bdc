"""How sure the thread is: low, expected, high, packed and margin, and how the proof shows them."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from kitbuild.base.blocks import Table
from kitbuild.build import make
from kitbuild.pattern.expand import panels
from kitbuild.quantity import rules
from kitbuild.quantity.amounts import Amounts, measure
from kitbuild.quantity.certainty import certainties, with_bend
from kitbuild.spec.piece import Piece
from kitbuild.spec.records import Kit, Trial
from tests.documents.demo import kits
from tests.pattern.builders import COLOURS, house, kit, palette, pattern, piece, pieces
from tests.quantity.test_trials import answered

PHASES = (Phase.explicit, Phase.reuse, Phase.generate)
PACKED = st.sampled_from(("put-ups", "needlefuls"))


def measured(one: Kit) -> Amounts:
    return measure(one, panels(one))


@given(pieces(most=30), st.floats(0.0, 2.0), st.floats(0.0, 3.0), st.floats(0.5, 2.0), PACKED)
@settings(max_examples=25, deadline=None)
def test_low_is_no_more_than_expected_nor_that_than_high(
    what: Piece, bend: float, spread: float, factor: float, packed: str
) -> None:
    plain = kit(what, palette=palette(bend_mm=bend, bend_spread_mm=spread, packed=packed))
    amounts = measured(answered(plain, dict.fromkeys(COLOURS, factor)))
    assert [each.use for each in amounts.sure] == list(amounts.uses)
    for each in amounts.sure:
        assert each.low_mm <= each.use.length_mm <= each.high_mm
        assert 1 <= each.low <= each.use.needlefuls <= each.high
        assert each.margin == each.use.packed - each.use.needlefuls >= 0
        cut = each.use.needlefuls + each.use.spare
        assert each.use.packed == (cut if packed == "needlefuls" else each.use.put_ups * each.use.in_put_up)
        assert each.use.packed >= cut


@given(pieces(most=30), st.lists(st.floats(0.0, 4.0), min_size=2, max_size=4))
@settings(max_examples=25, deadline=None, phases=PHASES, derandomize=True)
def test_a_wider_range_never_lowers_the_high_need(what: Piece, spreads: list[float]) -> None:
    """In length but for the runs that are saved where a needle is begun anew."""
    rows = []
    for spread in sorted(spreads):
        amounts = measured(kit(what, palette=palette(bend_spread_mm=spread)))
        rows.append([(each.high_mm, each.high, each.low_mm, each.low, each.use) for each in amounts.sure])
    for colour in zip(*rows, strict=True):
        for less, more in pairwise(colour):
            saved = 25.0 * max(each.needlefuls for each in (less[4], more[4])) + 0.01
            assert more[0] >= less[0] - saved
            assert more[2] <= less[2] + saved
            assert more[1] >= less[1]
            assert more[3] <= less[3]


@given(pieces(most=25), st.lists(st.integers(0, 200), min_size=2, max_size=5), PACKED)
@settings(max_examples=25, deadline=None)
def test_more_spare_never_lowers_what_is_packed(what: Piece, shares: list[int], packed: str) -> None:
    rows = []
    for share in sorted(shares):
        one = kit(what, palette=palette(packed=packed), house=house(spare_share=share / 100))
        rows.append([(each.use.packed, each.margin) for each in measured(one).sure])
    for colour in zip(*rows, strict=True):
        assert list(colour) == sorted(colour)


@given(pieces(most=30), st.floats(0.0, 3.0))
@settings(max_examples=15, deadline=None)
def test_high_is_the_kit_with_that_bend_worked_through(what: Piece, spread: float) -> None:
    one = kit(what, palette=palette(bend_mm=0.8, bend_spread_mm=spread))
    firm = measured(kit(what, palette=palette(bend_mm=0.8 + spread, bend_spread_mm=0.0)))
    for each, use in zip(measured(one).sure, firm.uses, strict=True):
        assert each.high_mm == max(use.length_mm, each.use.length_mm)
        assert each.high == max(use.needlefuls, each.use.needlefuls)


def test_bending_never_gives_thread() -> None:
    one = kit(piece(), palette=palette(bend_mm=0.3, bend_spread_mm=0.5))
    assert {colour.thread.bend_mm for colour in with_bend(one, -1).palette} == {0.0}
    assert {colour.thread.bend_mm for colour in with_bend(one, 1).palette} == {0.8}


def test_without_a_range_all_three_are_one() -> None:
    for each in measured(kit(piece(), palette=palette(bend_spread_mm=0.0))).sure:
        assert each.low_mm == each.use.length_mm == each.high_mm
        assert each.low == each.use.needlefuls == each.high


def test_what_is_expected_is_never_outside_its_range() -> None:
    """More thread in each stitch may save a run where it leads to a new start: low and high give way."""
    (use,) = measured(kit(piece(pattern=pattern(colours=("red",))))).uses
    more = replace(use, stitch_mm=use.stitch_mm + 20, needlefuls=use.needlefuls + 1)
    less = replace(use, stitch_mm=use.stitch_mm - 20, needlefuls=use.needlefuls - 1)
    (found,) = certainties((use,), (more,), (less,), ())
    assert (found.low_mm, found.high_mm) == (use.length_mm, use.length_mm)
    assert (found.low, found.high) == (use.needlefuls, use.needlefuls)
    (found,) = certainties((use,), (less,), (more,), ())
    assert (found.low_mm, found.high_mm) == (less.length_mm, more.length_mm)
    assert (found.low, found.high) == (less.needlefuls, more.needlefuls)


def high_need(one: Kit) -> list[str]:
    return [each.cure for each in rules.box_holds_the_high_need(measured(one))]


@pytest.mark.parametrize("packed", ["put-ups", "needlefuls"])
def test_the_spare_that_is_asked_for_suffices(packed: str) -> None:
    """One needleful a put-up: the box holds no more than what was reckoned."""
    threads = palette(bend_spread_mm=6.0, packed=packed, put_up_mm=760.0)
    one = kit(piece(columns=60, rows=60), palette=threads, house=house(spare_share=0.0))
    cures = high_need(one)
    assert cures
    shares = [int(re.findall(r"(\d+) %", cure)[0]) for cure in cures]
    needs = [(each.high, each.use.needlefuls) for each in measured(one).sure]
    assert shares == [-(-100 * (high - count) // count) for high, count in needs if high > count]
    share = max(shares)
    assert high_need(replace(one, house=house(spare_share=share / 100))) == []
    lacking = max((each.high - each.use.needlefuls - 1) / each.use.needlefuls for each in measured(one).sure)
    assert high_need(replace(one, house=house(spare_share=lacking)))


def test_no_warning_where_the_high_need_fits() -> None:
    assert high_need(kit(piece(), house=house(spare_share=1.0))) == []


def test_each_colour_names_the_tests_of_its_own() -> None:
    plain = kit(piece("one"), piece("two", pattern=pattern("diamond")))
    one = answered(answered(plain, {"red": 1.0, "blue": 1.1}), {"red": 0.9}, at=1)
    named = {each.use.colour.key: [trial.piece for trial in each.trials] for each in measured(one).sure}
    assert named == {"red": ["one", "two"], "blue": ["one"], "grey": []}


def table(one: Kit, last: str) -> list[tuple[str, ...]]:
    """The rows of the proof's table whose last column is called so; patches as the colour's name."""
    proof = next(each for each in make(one).documents if each.name == "proof")
    (found,) = (each for each in proof.blocks if isinstance(each, Table) and each.header[-1] == last)
    return [tuple(cell if isinstance(cell, str) else cell.text for cell in row) for row in found.rows]


def test_the_proof_shows_how_sure_it_is() -> None:
    rows = {row[0]: row[1:] for row in table(kits()["WHIN"], "By")}
    amounts = measured(kits()["WHIN"])
    assert len(rows) == 4
    for each in amounts.sure:
        metres, low, expected, high, packed, margin, by = rows[each.use.colour.name]
        lengths = (each.low_mm, each.use.length_mm, each.high_mm)
        assert metres == " – ".join(f"{length / 1000:.2f}" for length in lengths)
        numbers = (each.low, each.use.needlefuls, each.high, each.use.packed, each.margin)
        assert tuple(map(int, (low, expected, high, packed, margin))) == numbers
        assert by == "test of Coaster, 9 October 2026"


def test_the_proof_says_when_it_is_the_model_alone() -> None:
    assert {row[-1] for row in table(kits()["HEATH"], "By")} == {"the model alone"}


def test_the_proof_says_which_colours_follow_the_others() -> None:
    whin = kits()["WHIN"]
    trial = whin.trials[0]
    bark = replace(whin, trials=(replace(trial, answers=trial.answers[:1]),))
    by = {row[0]: row[-1] for row in table(bark, "By")}
    assert by.pop("Bark").startswith("test of Coaster")
    assert set(by.values()) == {"the tests of the other colours"}


def test_what_was_measured_stands_beside_the_model() -> None:
    rows = table(kits()["WHIN"], "Measured to model")
    amounts = measured(kits()["WHIN"])
    for row, one in zip(rows, amounts.found, strict=True):
        assert row[2] == str(one.answer.stitches)
        assert row[3] == f"{one.measured_mm / 1000:.2f} m"
        assert row[4] == f"{one.model_mm / 1000:.2f} m"
        assert row[5] == f"{one.pull:.3f}"


def steps(one: Kit) -> str:
    proof = next(each for each in make(one).documents if each.name == "proof")
    return " | ".join(item for block in proof.blocks for item in getattr(block, "items", ()))


@pytest.mark.parametrize(
    "text", ["{{ 1 }} {% if %}", "<b>x & <font>", "{page} of {pages}", "=1+1", "50 % \\"]
)
def test_what_a_tester_says_is_printed_as_it_is(text: str) -> None:
    whin = kits()["WHIN"]
    said: Trial = replace(whin.trials[0], remarks=text, by=text)
    assert f"{text}: {text}" in steps(replace(whin, trials=(said,)))
    assert f"{text}: 55 minutes" in steps(replace(whin, trials=(said,)))
