"""Test stitches: which count, what they say of the model, and what follows from that."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from kitbuild.base.problem import InputProblems, Problem
from kitbuild.build import amounts_of, make, render
from kitbuild.pattern.expand import panels
from kitbuild.pattern.panel import Panel
from kitbuild.quantity import rules
from kitbuild.quantity.amounts import Amounts, measure
from kitbuild.quantity.order import HANDS, Hand
from kitbuild.spec.folder import read_range
from kitbuild.spec.piece import Piece
from kitbuild.spec.records import Answer, Kit, Trial
from tests.documents.demo import kits
from tests.pattern.builders import AT, COLOURS, SLEEVE, house, kit, panel_of, pattern, piece, pieces
from tests.spec.ranges import copy_kits

PHASES = (Phase.explicit, Phase.reuse, Phase.generate)
"""Without shrinking: a counterexample says enough."""
TAILS = 2 * 50.8


def counted(panel: Panel) -> dict[str, int]:
    found = np.bincount(panel.stitches.colour, minlength=len(COLOURS)).tolist()
    return {key: count for key, count in zip(COLOURS, found, strict=True) if count}


def taken(amounts: Amounts, at: int, hand: Hand) -> dict[str, tuple[float, int]]:
    """Thread in the stitches of a piece in mm, and starts, by colour."""
    work = amounts.pieces[at].thread.works[hand]
    colours = work.order.panel.stitches.colour[work.order.stitch]
    length = work.front + work.back + work.through
    return {
        colour.key: (int(length[colours == at].sum()) / 100, len(set(work.start[colours == at].tolist())))
        for at, colour in enumerate(amounts.kit.palette)
        if (colours == at).any()
    }


def answered(
    one: Kit, factors: dict[str, float], at: int = 0, starts: int = 0, hand: Hand = "right", **changes: object
) -> Kit:
    """The kit with a test of one of its pieces, in which each colour took so many times the model."""
    model = measure(replace(one, trials=()), panels(one))
    per_colour, found = counted(model.pieces[at].panel), taken(model, at, hand)
    answers = tuple(
        Answer(key, per_colour[key], found[key][0] * factor + (starts or found[key][1]) * TAILS, starts, AT)
        for key, factor in factors.items()
        if key in per_colour
    )
    trial = Trial(1, one.pieces[at].key, "2026-10-09", "", hand, 0, answers, "", AT)
    return replace(one, trials=(*one.trials, replace(trial, **changes)))  # type: ignore[arg-type]


def pulls(amounts: Amounts) -> dict[str, float]:
    return {colour.key: colour.thread.pull for colour in amounts.kit.palette}


def judged(one: Kit) -> list[Problem]:
    return [each for each in rules.after(measure(one, panels(one))) if each.code in ("KB514", "KB515")]


FACTORS = st.fixed_dictionaries({key: st.floats(0.5, 2.0) for key in COLOURS})


@given(pieces(most=30), FACTORS, st.sampled_from(HANDS), st.integers(0, 9))
@settings(max_examples=40, deadline=None)
def test_every_length_is_scaled(what: Piece, factors: dict[str, float], hand: Hand, starts: int) -> None:
    """Sums agree with the factor to half a hundredth a rounded part, whatever starts there are."""
    one = answered(kit(what), factors, starts=starts, hand=hand)
    plain, scaled = (measure(each, panels(one)) for each in (replace(one, trials=()), one))
    found = pulls(scaled)
    for key in counted(scaled.pieces[0].panel):
        assert found[key] == pytest.approx(factors[key], rel=1e-9)
    for side in HANDS:
        before, after = (each.pieces[0].thread.works[side] for each in (plain, scaled))
        assert (before.order.stitch == after.order.stitch).all()
        assert (before.front == after.front).all()
        colours = after.order.panel.stitches.colour[after.order.stitch]
        pull = np.array([each.thread.pull for each in scaled.kit.palette])[colours]
        alone, plain_alone = (each.front + each.through for each in (after, before))
        same = after.back == before.back
        whole, plain_whole = alone + after.back, plain_alone + before.back
        assert (np.abs(whole - pull * plain_whole)[same] <= 1.0001).all()


@given(pieces(most=30), FACTORS)
@settings(max_examples=15, deadline=None)
def test_used_is_the_tail_and_all_of_the_start(what: Piece, factors: dict[str, float]) -> None:
    amounts = measure(*(lambda one: (one, panels(one)))(answered(kit(what), factors)))
    for hand in HANDS:
        work = amounts.pieces[0].thread.works[hand]
        length = work.front + work.back + work.through
        for start in range(1, int(work.start.max()) + 1):
            mine = work.start == start
            assert (work.used[mine] == 5080 + np.cumsum(length[mine])).all()


@given(pieces(most=30), FACTORS, st.integers(1, 4))
@settings(max_examples=30, deadline=None)
def test_thread_adds_up_with_tests(what: Piece, factors: dict[str, float], copies: int) -> None:
    amounts = measure(*(lambda one: (one, panels(one)))(answered(kit(replace(what, copies=copies)), factors)))
    for use in amounts.uses:
        parts = (use.stitch_mm, use.finish_mm, use.tails_mm)
        assert sum(round(part * 100) for part in parts) == use.needlefuls * 76_000
        found = [taken(amounts, 0, hand).get(use.colour.key, (0, 0))[0] for hand in HANDS]
        assert round(use.stitch_mm * 100) == round(copies * max(found) * 100)
        assert use.tails_mm > 0
        finish = [row.mm for row in amounts.pieces[0].thread.finish if row.colour == use.colour.key]
        assert use.finish_mm == pytest.approx(copies * sum(finish))


@given(pieces(most=30), st.lists(st.floats(0.5, 2.0), min_size=2, max_size=4))
@settings(max_examples=15, deadline=None, phases=PHASES)
def test_more_thread_is_never_less_in_the_box(what: Piece, factors: list[float]) -> None:
    """In length but for the runs that are saved where a needle is begun anew."""
    rows = []
    for factor in sorted(factors):
        one = answered(kit(what), dict.fromkeys(COLOURS, factor))
        rows.append([(use.length_mm, use.needlefuls, use.packed) for use in measure(one, panels(one)).uses])
    for colour in zip(*rows, strict=True):
        for less, more in pairwise(colour):
            assert more[0] >= less[0] - 2 * 25.0 * more[1]
            assert more[1:] >= less[1:]


def test_edges_and_seams_are_scaled_too() -> None:
    plain = kit(piece(finish=SLEEVE))
    one = answered(plain, {"red": 1.5})
    before, after = (measure(each, panels(one)).pieces[0].thread.finish for each in (plain, one))
    for less, more in zip(before, after, strict=True):
        assert more.mm == pytest.approx(1.5 * less.mm, abs=0.011)


def test_a_colour_that_was_not_tested_takes_what_the_others_did() -> None:
    one = answered(kit(piece()), {"red": 0.8, "blue": 1.1})
    amounts = measure(one, panels(one))
    found = pulls(amounts)
    measured = sum(each.measured_mm for each in amounts.found)
    assert found["grey"] == pytest.approx(measured / sum(each.model_mm for each in amounts.found))
    assert 0.8 < found["grey"] < 1.1
    assert found["grey"] == found["green"] == found["black"]


def test_tests_of_two_pieces_are_weighed_by_their_thread() -> None:
    plain = kit(piece("one"), piece("two", columns=12, pattern=pattern("diamond")))
    one = answered(answered(plain, {"red": 0.8}), {"red": 1.2}, at=1)
    amounts = measure(one, panels(one))
    lengths = [taken(measure(plain, panels(plain)), at, "right")["red"][0] for at in (0, 1)]
    wanted = (0.8 * lengths[0] + 1.2 * lengths[1]) / sum(lengths)
    assert pulls(amounts)["red"] == pytest.approx(wanted)


def test_starts_that_were_counted_carry_their_tails() -> None:
    """Twenty starts more with the same thread leave 20 tails and fastenings less in the stitches."""
    one = answered(kit(piece()), {"red": 1.0})
    trial, answer = one.trials[0], one.trials[0].answers[0]
    own = taken(measure(one, panels(one)), 0, "right")["red"][1]
    told = replace(one, trials=(replace(trial, answers=(replace(answer, starts=own + 2),)),))
    first, second = (measure(each, panels(one)).found[0].measured_mm for each in (one, told))
    assert first - second == pytest.approx(2 * TAILS)


def test_the_hand_of_the_test_is_the_models() -> None:
    what = piece(columns=40, rows=40)
    for hand in HANDS:
        one = answered(kit(what), {"red": 1.0}, hand=hand)
        assert pulls(measure(one, panels(one)))["red"] == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("changes", "message"),
    [({"edition": 2}, "edition 2 does not count for edition 1"), ({"answers": ()}, "")],
)
def test_a_test_of_another_edition(changes: dict, message: str) -> None:
    one = answered(kit(piece()), {"red": 1.3}, minutes=90)
    one = replace(one, trials=(replace(one.trials[0], edition=changes.get("edition", 1)),))
    found = judged(one)
    assert [each.code for each in found] == (["KB514"] if message else ["KB515"])
    assert all(each.warning for each in found)
    assert message in found[0].message
    amounts = measure(one, panels(one))
    assert set(pulls(amounts).values()) == {1.0} or not message
    assert bool(amounts.found) is not bool(message)


@pytest.mark.parametrize("off", [-1, 1, 1000])
def test_a_test_of_other_stitches_does_not_count(off: int) -> None:
    one = answered(kit(piece()), {"red": 1.3, "blue": 1.0}, minutes=600)
    red, blue = one.trials[0].answers
    for answers in (
        (replace(red, stitches=red.stitches + off), blue),
        (red, replace(blue, stitches=blue.stitches + off)),
    ):
        other = replace(one, trials=(replace(one.trials[0], answers=answers),))
        assert [each.code for each in judged(other)] == ["KB514"]
        bare, tested = (measure(each, panels(one)) for each in (replace(one, trials=()), other))
        assert tested.uses == bare.uses
        assert tested.hours == bare.hours
        assert tested.found == ()


def test_a_colour_that_the_piece_has_not() -> None:
    """The palette's white is in no stitch of it: the test was of something else."""
    one = answered(kit(piece()), {"red": 1.0})
    white = Answer("white", 5, 900.0, 0, AT)
    other = replace(one, trials=(replace(one.trials[0], answers=(*one.trials[0].answers, white)),))
    assert [each.code for each in judged(other)] == ["KB514"]


@pytest.mark.parametrize(
    ("factor", "told"),
    [
        (1.0, []),
        (0.81, []),
        (1.24, []),
        (0.79, [True]),
        (1.26, [True]),
        (0.51, [True]),
        (1.99, [True]),
        (0.49, [False]),
        (2.01, [False]),
        (40.0, [False]),
        (-0.5, [False]),
    ],
)
def test_thread_far_from_the_model_is_told(factor: float, told: list[bool]) -> None:
    found = judged(answered(kit(piece()), {"red": factor}))
    assert [(each.code, each.warning) for each in found] == [("KB515", warning) for warning in told]


def test_one_colour_far_off_is_told_alone() -> None:
    found = judged(answered(kit(piece()), {"red": 1.0, "blue": 1.9, "grey": 0.3}))
    assert sorted(each.message.split(":")[0] for each in found) == ["blue", "grey"]
    assert sorted(each.warning for each in found) == [False, True]


def test_used_shorter_than_its_tails_stops_the_build() -> None:
    one = answered(kit(piece()), {"red": 1.0})
    trial = one.trials[0]
    short = replace(one, trials=(replace(trial, answers=(replace(trial.answers[0], used_mm=1.0),)),))
    assert measure(short, panels(one)).found[0].measured_mm < 0
    with pytest.raises(InputProblems) as stopped:
        amounts_of(short)
    (problem,) = [each for each in stopped.value.problems if not each.warning]
    assert problem.code == "KB515"
    assert problem.message.startswith("red: 1 mm is less than tails and fastenings take")


def test_a_needleful_must_hold_what_was_found() -> None:
    """It held the longest stitch by the model; with twice the thread it no longer does."""
    what = piece(pattern=pattern(over=8), rows=40)
    length = next(
        float(each)
        for each in range(200, 900)
        if not list(rules.needleful_holds_a_stitch(kit(what, house=house(needleful_mm=float(each)))))
    )
    one = kit(what, house=house(needleful_mm=length, least_remainder_mm=0.0))
    codes = [each.code for each in rules.after(measure(*(answered(one, {"red": 1.9}), panels(one))))]
    assert "KB501" in codes
    assert "KB501" not in [each.code for each in rules.after(measure(one, panels(one)))]


def test_the_time_of_a_test_is_that_of_each_copy() -> None:
    plain = kit(piece("one", copies=3), piece("two"))
    one = answered(plain, {"red": 1.0}, minutes=90)
    before, after = (measure(each, panels(one)) for each in (plain, one))
    stitches = len(panel_of(plain.pieces[0]).stitches)
    assert after.hours - before.hours == pytest.approx(3 * (1.5 - stitches / 220))
    assert after.pieces[1].hours == before.pieces[1].hours


def on_one_paper(one: Kit) -> Kit:
    return replace(one, house=replace(one.house, papers=("A4",)))


def test_without_its_tests_a_kit_is_the_models_byte_for_byte(tmp_path) -> None:
    folder = copy_kits(tmp_path)
    (folder / "whin-coaster-test.yaml").unlink()
    found, _ = read_range(folder)
    bare = on_one_paper(next(each for each in found.kits if each.code == "WHIN"))
    tested = on_one_paper(kits()["WHIN"])
    away = render(make(replace(tested, trials=())))
    assert away == render(make(bare))
    changed = {name for name, content in render(make(tested)).items() if content != away[name]}
    assert changed >= {"thread.csv", "work-order.csv", "finishing.csv", "needlefuls.csv", "proof.pdf"}
    assert not changed & {"pieces.csv", "stitches.csv", "cut-list.csv", "chart-booklet.pdf"}


def test_a_test_that_does_not_count_leaves_all_listings(tmp_path) -> None:
    tested = kits()["WHIN"]
    old = replace(tested, trials=(replace(tested.trials[0], edition=7),))
    assert make(old).listings == make(replace(tested, trials=())).listings
    assert [each.code for each in make(old).warnings] == ["KB514"]


def test_a_colourway_is_not_touched_by_the_test_of_the_other() -> None:
    ember, fern = kits()["EMBER"], kits()["FERN"]
    trial = Trial(1, "band", "2026-10-09", "", "right", 0, (Answer("deep", 164, 8400.0, 15, AT),), "", AT)
    assert make(replace(fern, trials=(trial,))).listings != make(fern).listings
    amounts = measure(ember, panels(ember))
    assert amounts.found == ()
    assert set(pulls(amounts).values()) == {1.0}
