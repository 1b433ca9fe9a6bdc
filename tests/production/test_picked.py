"""What was really picked: numbers, other lots and lines that were divided, each sum worked out by hand."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kitbuild.production.orders import Order
from kitbuild.production.packing import Packing, boxes_of, packing
from kitbuild.production.picked import Outturn, beyond, outturn, read_picked
from kitbuild.production.run_records import Run
from kitbuild.production.stock import Lot, oldest_first
from tests.production.stores import lot, order, plenty
from tests.production.test_run import orders_of, planned, stores

HEAD = "line,item,lot,run,kit,picked"


def store() -> list[Lot]:
    """Bark of lot A for 2 boxes of WHIN (2 skeins a box), of B for more, and a few of C."""
    others = [each for each in plenty() if each.item != "wool-0123"]
    bark = [("A", 5, "2026-01-01"), ("B", 20, "2026-02-01"), ("C", 3, "2026-03-01")]
    return [*others, *(lot("wool-0123", name, many, day) for name, many, day in bark)]


@dataclass
class Shop:
    run: Run
    packed: Packing
    lots: tuple[Lot, ...]

    def line(self, item: str, name: str | None) -> int:
        (found,) = (each.number for each in self.packed.lines if (each.item, each.lot) == (item, name))
        return found

    def row(self, item: str, name: str | None, picked: object = "", now: str | None = None) -> str:
        at = self.line(item, name)
        return f"{at},{item},{now or name or ''},R1,WHIN,{picked}"

    def read(self, rows: Sequence[str]) -> tuple[Outturn | None, list[str]]:
        content = "\n".join([HEAD, *rows]).encode()
        found, problems = read_picked("picked.csv", content, self.packed, self.lots)
        if problems:
            return None, [str(each) for each in problems]
        made = outturn(self.packed, self.run.taken, found)
        return made, [str(each) for each in beyond(found, made.taken, self.lots)]

    def made(self, *rows: str) -> Outturn:
        made, problems = self.read(rows)
        assert made
        assert problems == []
        return made


@pytest.fixture
def shop() -> Shop:
    """Orders of 2 and 3 boxes of WHIN: bark of A in boxes 1 and 2, of B in 3 to 5."""
    lots = oldest_first(store())
    run = planned([order("1", "WHIN", 2), order("2", "WHIN", 3)], lots)
    return Shop(run, packing(run), lots)


def barks(made: Outturn) -> list[tuple[int, int, str]]:
    return [(each.first, each.last, dict(each.lots)["bark"]) for each in boxes_of(made.packing)]


def differing(shop: Shop, made: Outturn) -> dict[tuple[str, str], int]:
    keys = shop.run.taken.keys() | made.taken.keys()
    differs = {key: made.taken.get(key, 0) - shop.run.taken.get(key, 0) for key in keys}
    return {key: many for key, many in differs.items() if many}


def test_a_list_without_numbers_is_the_plan(shop: Shop) -> None:
    rows = [f"{each.number},{each.item},{each.lot or ''},R1,WHIN," for each in shop.packed.lines]
    for made in (shop.made(), shop.made(*rows)):
        assert made.taken == shop.run.taken
        assert made.packing == shop.packed
        assert made.over == ()


def test_another_lot(shop: Shop) -> None:
    """Boxes 3 to 5 from A's neighbour C, of which there are 3: it holds one box, so two are not packed."""
    made = shop.made(shop.row("wool-0123", "B", 3, now="C"))
    assert barks(made) == [(1, 2, "A"), (3, 3, "C")]
    assert [each.boxes for each in made.packing.orders] == [2, 1]
    assert differing(shop, made)["wool-0123", "B"] == -6
    assert differing(shop, made)["wool-0123", "C"] == 3
    assert differing(shop, made)["needle-16", "A"] == -4
    assert [(row.line.item, many) for row, many in made.over] == [("wool-0123", 1)]


def test_a_line_that_was_divided(shop: Shop) -> None:
    """4 skeins of B and 2 of C fill boxes 3 and 4, and 5: nothing waits."""
    made = shop.made(shop.row("wool-0123", "B", 4), shop.row("wool-0123", "B", 2, now="C"))
    assert barks(made) == [(1, 2, "A"), (3, 4, "B"), (5, 5, "C")]
    assert differing(shop, made) == {("wool-0123", "B"): -2, ("wool-0123", "C"): 2}


def test_a_box_that_lacks_a_skein_is_not_packed(shop: Shop) -> None:
    """3 skeins of A are one box and one over. What else the box that waits would take stays on the shelf."""
    made = shop.made(shop.row("wool-0123", "A", 3))
    assert [each.boxes for each in made.packing.orders] == [2, 2]
    assert barks(made) == [(1, 1, "A"), (2, 2, "B"), (3, 4, "B")]
    differs = differing(shop, made)
    assert differs["wool-0123", "A"] == -1
    assert differs["needle-16", "A"] == -2
    assert ("sheet-7", "") not in differs, "canvas is cut by then"


def test_more_than_the_boxes_take(shop: Shop) -> None:
    """12 needles for 5 boxes of 2: two are booked beside."""
    made = shop.made(shop.row("needle-16", "A", 12))
    assert differing(shop, made) == {("needle-16", "A"): 2}
    assert [(row.line.item, many) for row, many in made.over] == [("needle-16", 2)]


def test_nothing_was_picked(shop: Shop) -> None:
    made = shop.made(shop.row("needle-16", "A", 0))
    assert boxes_of(made.packing) == ()
    assert {item for item, _ in made.taken} == {"sheet-7"}


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ("99,wool-0123,A,R1,WHIN,4", ":2:1: KB630 run R1 has no line `99`"),
        ("{bark},wool-0123,A,R2,WHIN,4", "KB630 the row is of run `R2`, not of R1"),
        ("{bark},wool-0124,A,R1,WHIN,4", "is wool-0123 in the plan, not `wool-0124`"),
        ("{bark},wool-0123,A,R1,FERN,4", "is WHIN in the plan, not `FERN`"),
        ("{bark},wool-0123,Z,R1,WHIN,4", "KB630 the stock has no lot `Z` of wool-0123"),
        ("{bark},wool-0123,A,R1,WHIN,-4", "it is negative"),
        ("{bark},wool-0123,A,R1,WHIN,4.5", "it is a fraction"),
        ("{bark},wool-0123,A,R1,WHIN,=4", "it is a formula"),
        ("{bark},wool-0123,A,R1,WHIN,6", "wool-0123 lot A: 6 were picked, 5 are there for this run"),
        ("{bark},wool-0123,C,R1,WHIN,4", "wool-0123 lot C: 4 were picked, 3 are there"),
        ("{bark},wool-0123,A,R1,WHIN,2\n{bark},wool-0123,A,R1,WHIN,2", ":3:1: KB630 line"),
        ("{bark},wool-0123,A,R1,WHIN,\n{bark},wool-0123,B,R1,WHIN,2", "this part has no number"),
        ("{canvas},plastic-7,X,R1,WHIN,", "plastic-7 is of no other lot"),
        ("{canvas},plastic-7,,R1,WHIN,900", "no more can be booked"),
    ],
)
def test_rows_that_cannot_be_booked(shop: Shop, row: str, told: str) -> None:
    canvas = next(each.number for each in shop.packed.lines if each.kind == "canvas")
    text = row.format(bark=shop.line("wool-0123", "A"), canvas=canvas)
    _, problems = shop.read(text.split("\n"))
    assert len(problems) == 1
    assert told in problems[0]
    assert problems[0].startswith("picked.csv:")


@given(orders_of(), stores(), st.data())
@settings(deadline=None, max_examples=60)
def test_what_is_booked_is_what_was_picked(orders: list[Order], lots: list[Lot], data: st.DataObject) -> None:
    """Lines with a number are booked so; the boxes hold no more than was picked, each of one lot a colour."""
    run = planned(orders, lots)
    packed = packing(run)
    chosen = [each for each in packed.lines if each.lot is not None and data.draw(st.booleans())]
    picked = {each.number: data.draw(st.integers(0, each.quantity)) for each in chosen}
    rows = [f"{each.number},{each.item},{each.lot},R1,{each.kit},{picked[each.number]}" for each in chosen]
    found, problems = read_picked("p.csv", "\n".join([HEAD, *rows]).encode(), packed, lots)
    assert problems == ()
    made = outturn(packed, run.taken, found)
    assert not list(beyond(found, made.taken, lots))
    assert all(many <= run.taken[key] for key, many in made.taken.items())
    for each in made.packing.lines:
        assert each.number not in picked or each.quantity == picked[each.number]
    used: Counter[tuple[str, str, str]] = Counter()
    for each in boxes_of(made.packing):
        for colour, name in each.lots:
            used[each.kit, colour, name] += each.last - each.first + 1
    for each in made.packing.lines:
        if each.kind == "thread":
            assert used[each.kit, each.colour, each.lot or ""] * each.per_kit <= each.quantity
    assert all(
        0 <= new.boxes <= old.boxes for old, new in zip(packed.orders, made.packing.orders, strict=True)
    )
