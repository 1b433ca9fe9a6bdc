"""An edition from the day on that a material is replaced is told of it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kitbuild.production.rules import before
from kitbuild.spec.trade import Replacement
from tests.pattern.builders import AT, canvas, kit, palette, piece

NEW = Replacement("wool-9", "2027-03-01", "", AT)


@pytest.mark.parametrize(("day", "told"), [("2027-02-28", False), ("2027-03-01", True), ("2028-01-01", True)])
@pytest.mark.parametrize("what", ["thread", "canvas"])
def test_from_its_day_on(day: str, told: bool, what: str) -> None:
    first, *rest = palette()
    one = kit(piece(), date=day, palette=(first, *rest))
    if what == "thread":
        first = replace(first, thread=replace(first.thread, replaced_by=NEW))
        one = replace(one, palette=(first, *rest))
    else:
        one = replace(one, pieces=(piece(canvas=replace(canvas(), replaced_by=NEW)),))
    found = before(one)
    assert [(problem.code, problem.warning) for problem in found] == ([("KB641", True)] if told else [])
    if told:
        assert "is replaced by wool-9 from 2027-03-01: edition 1 has it" in found[0].message


def test_of_canvas_the_holes_are_told() -> None:
    new = replace(NEW, key="plastic-8", pitch_mm=3.70)
    one = kit(piece(canvas=replace(canvas(), pitch_mm=3.81, replaced_by=new)), date="2027-03-01")
    (found,) = before(one)
    assert "(3.81 mm from hole to hole) is replaced by plastic-8 (3.70 mm) from 2027-03-01" in found.message
