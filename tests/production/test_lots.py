"""One lot for all thread of one colour in one box, the oldest that holds it."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitbuild.production.lots import Shelf, lacking
from kitbuild.production.stock import Lot
from tests.figures import rows
from tests.production.stores import lot


def stocked(text: str) -> list[Lot]:
    parts = [part.split(":") for part in text.split("|") if part]
    return [lot("wool", name, int(many), f"2026-0{at}-01") for at, (name, many) in enumerate(parts, 1)]


@pytest.mark.parametrize("row", rows("dye_lots.csv"), ids=lambda row: row["lots"])
def test_dye_lots(row: dict[str, str]) -> None:
    shelf, per_box, wanted = Shelf(stocked(row["lots"])), int(row["per_box"]), int(row["boxes"])
    boxes = min(wanted, shelf.boxes("wool", per_box, one_lot=True))
    taken = shelf.take("wool", per_box, boxes, one_lot=True)
    assert "|".join(f"{each.lot.lot}:{each.quantity}" for each in taken) == row["taken"]
    assert wanted - boxes == int(row["waiting"])


LOTS = st.lists(st.integers(0, 30), max_size=5)
ASKED = st.lists(st.tuples(st.integers(1, 8), st.integers(1, 9)), min_size=1, max_size=6)


@given(LOTS, ASKED, st.booleans())
def test_what_comes_in_serves_everyone(many: list[int], asked: list[tuple[int, int]], one_lot: bool) -> None:
    """With the lacking amount as one more lot all boxes are filled; with one less not all are."""
    lots = [lot("wool", str(at), each) for at, each in enumerate(many)]
    short = lacking(asked, lots, one_lot=one_lot)
    assert filled([*lots, lot("wool", "new", int(short))], asked, one_lot=one_lot)
    assert not short or not filled([*lots, lot("wool", "new", int(short) - 1)], asked, one_lot=one_lot)


def filled(lots: list[Lot], asked: list[tuple[int, int]], *, one_lot: bool) -> bool:
    shelf = Shelf(lots)
    for boxes, per_box in asked:
        if boxes > shelf.boxes("wool", per_box, one_lot=one_lot):
            return False
        takes = shelf.take("wool", per_box, boxes, one_lot=one_lot)
        assert sum(take.quantity for take in takes) == boxes * per_box
    return True


@given(LOTS, st.integers(1, 9), st.integers(0, 9))
def test_no_lot_gives_more_than_it_holds(many: list[int], per_box: int, boxes: int) -> None:
    shelf = Shelf(lot("wool", str(at), each) for at, each in enumerate(many))
    boxes = min(boxes, shelf.boxes("wool", per_box, one_lot=True))
    for take in shelf.take("wool", per_box, boxes, one_lot=True):
        assert 0 < take.quantity <= take.lot.quantity
        assert take.quantity == take.boxes * per_box


@given(LOTS, st.lists(st.tuples(st.integers(1, 9), st.integers(0, 4), st.booleans()), max_size=8))
def test_what_is_kept_up_to_date_is_what_is_there(
    many: list[int], asked: list[tuple[int, int, bool]]
) -> None:
    """After any takes the shelf tells the boxes that are left as plain counting does."""
    lots = [lot("wool", str(at), each) for at, each in enumerate(many)]
    shelf, left = Shelf(lots), {each.lot: each.quantity for each in lots}
    for per_box, boxes, one_lot in asked:
        boxes = min(boxes, shelf.boxes("wool", per_box, one_lot=one_lot))
        for take in shelf.take("wool", per_box, boxes, one_lot=one_lot):
            left[take.lot.lot] -= int(take.quantity)
        for each in range(1, 10):
            assert shelf.boxes("wool", each, one_lot=True) == sum(held // each for held in left.values())
            assert shelf.boxes("wool", each, one_lot=False) == sum(left.values()) // each


def test_needlefuls_are_parts_of_a_put_up() -> None:
    shelf = Shelf([lot("wool", "A", 2), lot("wool", "B", 2)])
    assert shelf.boxes("wool", Fraction(5, 13), one_lot=True) == 10
    assert shelf.take("wool", Fraction(5, 13), 6, one_lot=True)[0].quantity == Fraction(25, 13)


def test_more_than_there_is_is_refused() -> None:
    with pytest.raises(ValueError, match="not enough"):
        Shelf([lot("wool", "A", 2)]).take("wool", 3, 1, one_lot=True)
