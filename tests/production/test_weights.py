"""What a packed box weighs, worked out by hand; what nobody weighed is named and never guessed."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from kitbuild.base.units import money_minor
from kitbuild.production.cost import cost
from kitbuild.production.picks import Pick
from kitbuild.production.rules import judged
from kitbuild.production.weights import single_mg, weighed
from kitbuild.quantity.thread import Use
from kitbuild.spec.formats import FORMATS, read_weight
from kitbuild.spec.packing import BoxType, Weighing
from kitbuild.spec.records import Kit
from tests.production.stores import boxed
from tests.spec.ranges import KITS, read_with


def box(kit: Kit, *inside_mm: float, weight_mg: int | None = 96_000) -> BoxType:
    return BoxType("flat", "Flat box", inside_mm or (340, 250, 40), weight_mg, kit.at)


def test_a_box_weighs_all_that_is_in_it() -> None:
    each = boxed()["WHIN"]
    found = weighed(each.kit, each.picks)
    assert found is not None
    skeins = sum(pick.quantity for pick in each.picks if pick.kind == "thread")
    blanks = sum(blank.columns * blank.rows for blank in each.blanks) * Fraction(46_000, 70 * 90)
    assert found.total_mg == round(96_000 + skeins * 9_200 + blanks + 2 * 1_100 + 38_000 + 10_000)
    assert found.unknown == ()
    least, most = found.limits_mg or (0, 0)
    assert most - found.total_mg == found.total_mg - least == 1_000 + -(-found.total_mg // 100)


def test_a_scale_shows_what_weighs_more_than_both_tolerances() -> None:
    each = boxed()["WHIN"]
    found = weighed(each.kit, each.picks)
    assert found
    assert [pick.kind for pick, _ in found.unseen] == ["needle", "canvas"]
    exact = replace(each.kit, house=replace(each.kit.house, weighing=Weighing(500, 0.0)))
    finer = weighed(exact, each.picks)
    assert finer
    assert finer.unseen == ()
    just = replace(each.kit, house=replace(each.kit.house, weighing=Weighing(550, 0.0)))
    even = weighed(just, each.picks)
    assert even
    assert [mg for _, mg in even.unseen] == [1_100]


def test_without_limits_there_is_a_weight_alone() -> None:
    each = boxed()["WHIN"]
    found = weighed(replace(each.kit, house=replace(each.kit.house, weighing=None)), each.picks)
    assert found
    assert found.total_mg
    assert found.limits_mg is None
    assert found.unseen == ()


def unweighed_thread(pick: Pick) -> Pick:
    use = pick.source
    assert isinstance(use, Use)
    thread = replace(use.colour.thread, weight_mg=None)
    return replace(pick, source=replace(use, colour=replace(use.colour, thread=thread)))


def test_what_nobody_weighed_is_named() -> None:
    each = boxed()["WHIN"]
    first = next(pick for pick in each.picks if pick.kind == "thread")
    picks = tuple(unweighed_thread(pick) if pick is first else pick for pick in each.picks)
    found = weighed(each.kit, picks)
    assert found
    assert found.total_mg is None
    assert [pick.item for pick in found.unknown] == [first.item]


@pytest.mark.parametrize("kind", [None, "unweighed"])
def test_without_its_box_nothing_is_known(kind: str | None) -> None:
    each = boxed()["WHIN"]
    made = box(each.kit, weight_mg=None) if kind else None
    found = weighed(replace(each.kit, box=made), each.picks)
    assert found
    assert found.total_mg is None
    assert found.unknown == ()
    assert found.limits_mg is None


def test_needlefuls_weigh_their_part_of_a_put_up() -> None:
    pick = next(pick for pick in boxed()["WHIN"].picks if pick.kind == "thread")
    use = pick.source
    assert isinstance(use, Use)
    cut = replace(use.colour.thread, packed="needlefuls")
    source = replace(use, colour=replace(use.colour, thread=cut))
    weight = single_mg(boxed()["WHIN"].kit, replace(pick, source=source))
    assert weight == Fraction(9_200, use.in_put_up)


def test_weights_are_read_to_the_milligram() -> None:
    assert [read_weight(text) for text in ("9.2 g", "1/2 oz", "1.9 kg", "350 mg")] == [
        9_200, 14_175, 1_900_000, 350,
    ]  # fmt: skip
    for text in ("9,2 g", "9", "0 g", "-1 g", "9 m", "101 kg", "g"):
        with pytest.raises(ValueError, match=r"weigh|length|number"):
            read_weight(text)
    assert FORMATS["weight"].cure_for("9.2") == "say the unit: write `9.2 g`"
    assert FORMATS["weight"].cure_for("9,2 g") == "write a point for the decimals: `9.2 g`"


def test_a_blank_lies_flat_or_is_told() -> None:
    """The blank of one coaster is 26 x 27 holes, 100.16 x 103.97 mm."""
    each = boxed()["WHIN"]
    costs = cost(replace(each.kit, price_minor=money_minor("99", "EUR")), each.picks)

    def told(*inside_mm: float) -> list[str]:
        return [problem.code for problem in judged(replace(each.kit, box=box(each.kit, *inside_mm)), costs)]

    assert told(105, 101, 20) == []
    assert told(20, 101, 105) == []
    assert told(103, 103, 103) == ["KB609"]
    assert told(300, 100, 20) == ["KB609"]


def test_a_kit_names_a_box_of_the_workshop(tmp_path: Path) -> None:
    text = (KITS / "whin.yaml").read_text(encoding="utf-8").replace("box: flat", "box: flap")
    _, problems = read_with(tmp_path, "whin.yaml", text.encode())
    assert [str(problem).partition("whin.yaml")[2] for problem in problems] == [
        ":40:6: KB349 the workshop has no box `flap` (did you mean `flat`?)"
    ]
