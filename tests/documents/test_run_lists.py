"""The lists of a run agree with each other, whatever is ordered and in stock."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from kitbuild.base.blocks import Table
from kitbuild.base.document import Document, Listing
from kitbuild.documents.run_cut_sheet import run_cut_sheet
from kitbuild.documents.run_job import RunJob
from kitbuild.documents.run_listings import run_listings
from kitbuild.documents.run_pick_sheets import run_kit_sheet, run_pick_sheet
from kitbuild.documents.wording import wording
from kitbuild.production.orders import Order
from kitbuild.production.stock import Lot
from tests.documents.runs import job_of
from tests.production.stores import ALL, boxed, known, lot, order

Row = dict[str, str]
Asked = tuple[list[Order], list[Lot]]
DAYS = [f"2026-12-{day:02}" for day in range(1, 4)]
ITEMS = sorted({pick.item for code in ALL for pick in boxed()[code].stocked})


@st.composite
def asked(draw: st.DrawFn) -> tuple[list[Order], list[Lot]]:
    """Orders of all kits, and stock that may be short of anything."""
    orders = [
        order(f"o{at}", draw(st.sampled_from(ALL)), draw(st.integers(1, 9)), draw(st.sampled_from(DAYS)))
        for at in range(draw(st.integers(1, 5)))
    ]
    lots = [
        lot(item, "" if item.startswith("needle") else name, draw(st.integers(0, 40)), f"2026-0{at}-01")
        for item in ITEMS
        for at, name in enumerate("A" if item.startswith("needle") else "AB"[: draw(st.integers(0, 2))], 1)
    ]
    lots += [lot("sheet-7", "", draw(st.integers(0, 8))), lot("roll-10", "R", draw(st.integers(0, 900)))]
    if draw(st.booleans()):
        lots.append(lot("plastic-7", "40 x 60 holes", draw(st.integers(1, 3))))
    return orders, lots


def made(orders: Sequence[Order], lots: Sequence[Lot]) -> RunJob:
    return job_of(sorted(orders, key=lambda each: each.due), lots, wording("en"))


def read(job: RunJob) -> dict[str, list[Row]]:
    """Each list as a spreadsheet shows it, its money and hours without rounding."""
    return {each.name.removesuffix(".csv"): rows(each) for each in run_listings(job)}


def rows(listing: Listing) -> list[Row]:
    names = [column.name for column in listing.columns]
    return [
        dict(zip(names, map(str, cells), strict=True))
        for cells in zip(*(column.values for column in listing.columns), strict=True)
    ]


def total(found: Sequence[Row], by: str, what: str, **only: str) -> Counter[str]:
    sums: Counter[str] = Counter()
    for row in found:
        if all(row[name] == value for name, value in only.items()):
            sums[row[by]] += int(row[what])
    return +sums


def tables(document: Document) -> list[Table]:
    return [block for block in document.blocks if isinstance(block, Table)]


@given(asked())
@settings(deadline=None, max_examples=25)
def test_lists_agree(ask: Asked) -> None:
    job = made(*ask)
    lists = read(job)
    picks, needs, orders = lists["pick-list"], lists["needs"], lists["orders"]
    planned = total(orders, "kit", "planned")
    assert total(picks, "item", "quantity") == total(needs, "item", "picked")
    assert all(int(row["need"]) == int(row["picked"]) + int(row["short"]) for row in needs)
    assert all(int(row["quantity"]) == int(row["planned"]) + int(row["waits"]) for row in orders)
    assert all(bool(row["lacks"]) == (row["waits"] != "0") for row in orders)
    for code in ALL:
        for pick in boxed()[code].picks:
            mine = [row for row in picks if row["kit"] == code and row["item"] == pick.item]
            mine = [row for row in mine if row["description"] == job.what(code, pick)] if mine else []
            assert sum(int(row["quantity"]) for row in mine) == planned[code] * pick.quantity


@given(asked())
@settings(deadline=None, max_examples=25)
def test_blanks_are_cut_as_they_are_picked(ask: Asked) -> None:
    job = made(*ask)
    lists = read(job)
    planned = total(lists["orders"], "kit", "planned")
    cut = Counter((row["kit"], row["piece"]) for row in lists["cut-list"])
    wanted = Counter(
        {
            (code, blank.piece.key): many * planned[code]
            for code in ALL
            for blank, many in Counter(boxed()[code].blanks).items()
        }
    )
    assert cut == +wanted
    assert Counter(row["kit"] for row in lists["cut-list"]) == total(
        lists["pick-list"], "kit", "quantity", unit="blank"
    )
    told = [row for table in tables(run_cut_sheet(job)) if len(table.header) == 4 for row in table.rows]
    blanks = [row for row in told if row[0] in ALL]
    assert sum(int(str(row[3])) for row in blanks) == sum(wanted.values())


@given(asked())
@settings(deadline=None, max_examples=25)
def test_boxes_hold_what_is_picked(ask: Asked) -> None:
    """Each box has its kit's colours once, of lots that the pick list takes, as many as it takes of them."""
    job = made(*ask)
    lists = read(job)
    planned = total(lists["orders"], "kit", "planned")
    assert Counter(row["kit"] for row in lists["boxes"]) == +Counter(
        {code: planned[code] * len(job.jobs[code].kit.palette) for code in job.jobs}
    )
    assert len({(row["box"], row["colour"]) for row in lists["boxes"]}) == len(lists["boxes"])
    laid = Counter((row["kit"], row["thread"], row["lot"]) for row in lists["boxes"])
    taken: Counter[tuple[str, str, str]] = Counter()
    for row in lists["pick-list"]:
        if row["colour"]:
            taken[row["kit"], row["item"], row["lot"]] += int(row["boxes"])
    assert laid == taken
    packed = Counter((row["order"], row["kit"]) for row in {r["box"]: r for r in lists["boxes"]}.values())
    wanted = {(row["order"], row["kit"]): int(row["planned"]) for row in lists["orders"]}
    assert packed == +Counter(wanted)


@given(asked())
@settings(deadline=None, max_examples=25)
def test_what_is_short_is_bought_in_whole_multiples(ask: Asked) -> None:
    job = made(*ask)
    lists = read(job)
    bought = {row["item"]: row for row in lists["buy-list"]}
    lacking = {row["item"]: int(row["lacking"]) for row in lists["needs"] if row["lacking"] != "0"}
    assert lacking.items() <= {item: int(float(row["lacking"])) for item, row in bought.items()}.items()
    for item, row in bought.items():
        many, multiple = int(row["quantity"]), int(row["multiple"])
        assert many % multiple == 0
        if known()[item].kind != "roll":
            assert 0 <= many - float(row["lacking"]) < multiple
    assert set(bought) - set(lacking) <= {"sheet-7", "roll-10"}


@given(asked())
@settings(deadline=None, max_examples=25)
def test_costs_add_up(ask: Asked) -> None:
    job = made(*ask)
    *kits, run = read(job)["cost"]
    parts = ("thread", "needle", "extra", "printed", "canvas", "waste", "packing")
    money = (*parts, "cost", "revenue", "margin", "tax", "fee", "royalty")
    for row in (*kits, run):
        amounts = {name: round(Fraction(row[name]) * 100) for name in money}
        assert sum(amounts[name] for name in parts) == amounts["cost"]
        off = sum(amounts[name] for name in ("tax", "fee", "royalty", "cost"))
        assert amounts["revenue"] - off == amounts["margin"]
    for name in (*money, "boxes"):
        assert round(sum(Fraction(row[name]) for row in kits) * 100) == round(Fraction(run[name]) * 100)
    assert {row["kit"]: int(row["boxes"]) for row in kits} == total(read(job)["orders"], "kit", "planned")


@given(asked())
@settings(deadline=None, max_examples=15)
def test_both_pick_lists_say_the_same(ask: Asked) -> None:
    job = made(*ask)
    (by_bin,) = tables(run_pick_sheet(job)) or [None]
    binned: Counter[str] = Counter()
    for row in by_bin.rows if by_bin else ():
        binned[str(row[5])] += int(str(row[6]))
    kits: Counter[str] = Counter()
    for code, table in zip(job.run.kits, tables(run_kit_sheet(job)), strict=True):
        kits[code] += sum(int(str(row[5])) for row in table.rows)
    assert binned == kits


def test_a_run_of_nothing_has_all_its_columns() -> None:
    job, some = made([order("1", "WHIN", 1)], []), made([order("1", "WHIN", 1)], [lot("sheet-7", "", 9)])
    assert not job.run.kits
    names = {each.name: [column.name for column in each.columns] for each in run_listings(job)}
    assert names["cost.csv"][:4] == ["kit", "edition", "boxes", "thread"]
    assert names == {each.name: [c.name for c in each.columns] for each in run_listings(some)}
