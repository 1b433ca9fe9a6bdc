"""Needlefuls that are cut ahead: how many go into a box, what they cost, and what each page says of them."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kitbuild.build import Made, make
from kitbuild.pattern.expand import panels
from kitbuild.production.cost import cost
from kitbuild.production.picks import Pick, picks
from kitbuild.quantity.amounts import Amounts, measure
from kitbuild.spec.records import Kit
from tests.documents.demo import branches
from tests.documents.texts import texts
from tests.pattern.builders import COLOURS, house, kit, palette, piece, pieces

NEEDLEFULS = "needlefuls"


def cut_ahead(names: tuple[str, ...] = COLOURS, **threads: Any) -> Any:
    """A palette of which the colours `names` are packed in needlefuls."""
    return tuple(
        replace(each, thread=replace(each.thread, packed=NEEDLEFULS if each.key in names else "put-ups"))
        for each in palette(**threads)
    )


def threads_of(amounts: Amounts) -> dict[str, Pick]:
    return {pick.colour.key: pick for pick in picks(amounts) if pick.kind == "thread" and pick.colour}


@given(
    pieces(most=40),
    st.integers(1, 5),
    st.integers(0, 100),
    st.sampled_from(((10_000.0, 1, 1), (8000.0, 6, 2), (40_000.0, 1, 1), (7315.2, 1, 2))),
    st.integers(1, 999),
)
@settings(max_examples=25, deadline=None)
def test_a_needleful_costs_its_share_of_a_put_up(
    what: object, copies: int, share: int, put_up: tuple[float, int, int], price: int
) -> None:
    """Needlefuls and spare, each at the price of a put-up by the needlefuls in it; a line is rounded once."""
    length, plies, strands = put_up
    colours = cut_ahead(put_up_mm=length, plies=plies, strands=strands, cost_minor=price)
    one = kit(replace(what, copies=copies), palette=colours, house=house(spare_share=share / 100))  # type: ignore[type-var]
    amounts = measure(one, panels(one))
    in_put_up = int(length // 760) * plies // strands
    by_colour = threads_of(amounts)
    for use in amounts.uses:
        pick = by_colour[use.colour.key]
        assert (pick.quantity, pick.unit) == (use.needlefuls + use.spare, "needleful")
        assert pick.cost == Fraction(price, in_put_up) * pick.quantity
    told = {pick.colour: minor for pick, minor in cost(one, picks(amounts)).lines if pick.colour}
    for pick in by_colour.values():
        assert pick.cost <= told[pick.colour] < pick.cost + 1


def test_some_in_needlefuls_and_some_in_put_ups() -> None:
    """Each thread is packed its own way, and none changes what is needed."""
    one = kit(piece())
    plain, mixed = (measure(each, panels(each)) for each in (one, replace(one, palette=cut_ahead(("blue",)))))
    before, after = threads_of(plain), threads_of(mixed)
    assert [use.needlefuls for use in plain.uses] == [use.needlefuls for use in mixed.uses]
    assert after["red"].quantity == before["red"].quantity
    assert after["red"].cost == before["red"].cost
    (blue,) = [use for use in mixed.uses if use.colour.key == "blue"]
    assert after["blue"].quantity == blue.needlefuls + blue.spare == blue.packed
    assert after["blue"].cost < before["blue"].cost


@pytest.fixture(scope="module")
def precut() -> Made:
    """Two threads cut ahead, one in skeins."""
    return make(*branches()["PRECUT"])


def column(made: Made, listing: str, name: str) -> list[Any]:
    (found,) = [each for each in made.listings if each.name == listing]
    return list(next(each.values for each in found.columns if each.name == name))


def words(made: Made, name: str) -> str:
    return "\n".join(text for each in made.documents if each.name == name for text in texts(each))


def test_the_pick_list_counts_them(precut: Made) -> None:
    """4 = 3 needlefuls and 1 spare; the skein is counted whole."""
    rows = dict(
        zip(
            column(precut, "pick-list.csv", "item"),
            zip(
                *(column(precut, "pick-list.csv", name) for name in ("quantity", "unit", "description")),
                strict=True,
            ),
            strict=True,
        )
    )
    counts = dict(
        zip(
            column(precut, "thread.csv", "thread"),
            map(
                sum,
                zip(
                    column(precut, "thread.csv", "needlefuls"),
                    column(precut, "thread.csv", "spare_needlefuls"),
                    strict=True,
                ),
            ),
            strict=True,
        )
    )
    for item in ("cut-deep", "cut-pale"):
        assert rows[item][:2] == (counts[item], "needleful")
        assert rows[item][2].endswith(", cut to 60 cm")
    assert rows["wool-0850"] == (1, "skein", "Tapestry wool 0850, 10 m each")


@pytest.mark.parametrize("name", ["pick-list", "instructions", "proof"])
def test_pages_say_what_is_cut(precut: Made, name: str) -> None:
    said = words(precut, name)
    for title in ("Wool cut ahead 1", "Wool cut ahead 2"):
        assert f"{title}, cut to 60 cm" in said
    assert "Tapestry wool 0850, 10 m each" in said


def with_threads(one: Kit, packed: str) -> Kit:
    colours = tuple(
        replace(each, thread=replace(each.thread, packed=packed))
        for each in one.palette  # type: ignore[arg-type]
    )
    return replace(one, palette=colours)


def test_the_sheet_does_not_ask_to_cut_what_is_cut(precut: Made) -> None:
    mixed = words(precut, "instructions")
    assert "Of Ember cut a needleful of 60 cm" in mixed
    assert "Deep and Pale are in the box ready cut to this length" in mixed
    every = words(make(with_threads(precut.kit, NEEDLEFULS)), "instructions")
    assert "Take a needleful of Deep: the box holds the thread ready cut to 60 cm" in every
    assert "cut a needleful" not in every.lower()
    none = words(make(with_threads(precut.kit, "put-ups")), "instructions")
    assert "Cut a needleful of Deep, 60 cm" in none
    assert "ready cut" not in none


def test_the_tester_s_sheet_does_not_either(precut: Made) -> None:
    """Where only some are cut ahead, it names those that the test takes; the edge is not tested."""
    mixed = words(precut, "test-sheet")
    assert "Cut every needleful to 60 cm (23 5/8 in); those of Deep are cut already." in mixed
    every = words(make(with_threads(precut.kit, NEEDLEFULS)), "test-sheet")
    assert "Use the needlefuls as they are cut: 60 cm" in every
    assert "Cut every" not in every
    none = words(make(with_threads(precut.kit, "put-ups")), "test-sheet")
    assert "Cut every needleful to 60 cm (23 5/8 in)." in none
