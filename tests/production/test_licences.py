"""No more kits are packed than a licence allows, all colourways together."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from kitbuild.base.problem import Place
from kitbuild.production.licences import licence_faults, licensed, posting_faults
from kitbuild.production.orders import Order
from kitbuild.spec.records import Kit
from kitbuild.spec.trade import Licence
from tests.pattern.builders import AT, kit, piece

LICENCE = Licence("Ottoline Brackwater", "Design: O. B.", Fraction(6, 100), 0, 20, AT.below("licence"))
RED, BLUE = (replace(kit(piece(), licence=LICENCE), code=code) for code in ("RED", "BLUE"))
FREE = replace(kit(piece()), code="FREE")
KITS: tuple[Kit, ...] = (RED, BLUE, FREE)


def orders(*asked: tuple[str, int, str]) -> list[Order]:
    """Orders in the rows of a file from row 2: kit, boxes, day."""
    return [
        Order(str(row), code, quantity, due, Place("kits/orders.csv", row, 1))
        for row, (code, quantity, due) in enumerate(asked, start=2)
    ]


def test_colourways_share_one_licence() -> None:
    (each,) = licensed(KITS, {"RED": 3, "BLUE": 4, "FREE": 90})
    assert (each.codes, each.packed, each.left) == (("RED", "BLUE"), 7, 13)


@pytest.mark.parametrize(
    ("packed", "told"), [({}, False), ({"RED": 5}, False), ({"RED": 5, "BLUE": 1}, True)]
)
def test_the_order_that_passes_the_number_is_told(packed: dict[str, int], told: bool) -> None:
    asked = orders(("BLUE", 7, "2026-12-09"), ("RED", 8, "2026-12-01"), ("FREE", 999, "2026-11-01"))
    found = list(licence_faults(KITS, asked, packed))
    assert [(problem.code, problem.place.line) for problem in found] == ([("KB640", 2)] if told else [])
    if told:
        assert found[0].message == (
            "15 of RED and BLUE would pass the licence of Ottoline Brackwater for 20: 6 were packed before"
        )
        assert "order 14 at most" in found[0].cure


@pytest.mark.parametrize(
    ("boxes", "packed", "told"), [(20, 0, False), (21, 0, True), (1, 20, True), (0, 21, False)]
)
def test_posting_asks_again(boxes: int, packed: int, told: bool) -> None:
    found = list(posting_faults(KITS, {"RED": boxes, "FREE": 50}, {"BLUE": packed}))
    assert [problem.code for problem in found] == (["KB640"] if told else [])
