"""What is left of a canvas, in boxes, counted by hand."""

from __future__ import annotations

import pytest

from kitbuild.production.canvas_left import boxes_cut
from kitbuild.production.cut_plan import cut
from kitbuild.production.stock import Lot
from tests.production.stores import boxed, lot


@pytest.mark.parametrize(
    ("lots", "boxes"),
    [
        ([], 0),
        ([lot("sheet-7", "", 1)], 1),
        ([lot("sheet-7", "", 2)], 3),
        ([lot("sheet-7", "", 60)], 90),
        ([lot("sheet-7", "", 60), lot("plastic-7", "40 x 60 holes", 3)], 91),
        ([lot("plastic-7", "40 x 60 holes", 3)], 1),
        ([lot("plastic-7", "40 x 26 holes", 30)], 0),
        ([lot("sheet-8", "", 60), lot("wool-0123", "A", 60)], 0),
    ],
)
def test_sheets_and_offcuts_together(lots: list[Lot], boxes: int) -> None:
    """Four coasters of 26 x 27 holes, a hole between them: of 70 x 90 two by three, of 40 x 60 two."""
    whin = boxed()["WHIN"]
    assert boxes_cut(whin.kit.pieces[0].canvas, whin.blanks, lots, cut) == boxes


@pytest.mark.parametrize(("length_cm", "boxes"), [(46, 0), (48, 2), (94, 4), (735, 30)])
def test_a_roll_by_its_length(length_cm: int, boxes: int) -> None:
    """Cushions of 182 x 183 holes, 2.54 mm apart: two across 393 holes, 46.5 cm for each pair."""
    heath = boxed()["HEATH"]
    canvas = heath.kit.pieces[0].canvas
    assert boxes_cut(canvas, heath.blanks, [lot("roll-10", "R1", length_cm)], cut) == boxes


def test_another_canvas_is_left_out() -> None:
    whin, heath = boxed()["WHIN"], boxed()["HEATH"]
    assert boxes_cut(heath.kit.pieces[0].canvas, whin.blanks, [lot("roll-10", "R1", 700)], cut) == 0
