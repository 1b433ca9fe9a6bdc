"""The stock ledger: movements are only added, each step is whole, and nothing is lost when it is killed."""

from __future__ import annotations

import sqlite3
import sys
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from kitbuild import ledger_tables
from kitbuild.base.problem import InputProblems, WriteProblem
from kitbuild.ledger import Ledger
from kitbuild.ledger_boxes import Posting
from kitbuild.production.stock import Lot
from tests.build.first_ledger import FIRST
from tests.build.ledger_kills import STEPS, report

A, B = ("wool-0123", "A"), ("wool-0123", "B")


def lot(key: tuple[str, str], quantity: int) -> Lot:
    return Lot(*key, "A-01", quantity, "2026-08-01")


def held(path: Path) -> dict[tuple[str, str], int]:
    with closing(Ledger(path)) as ledger:
        return {(each.item, each.lot): each.quantity for each in ledger.lots()}


@pytest.fixture
def ledger(tmp_path: Path) -> Ledger:
    made = Ledger(tmp_path / "stock.sqlite")
    made.count([lot(A, 10), lot(B, 5)], all_lots=False)
    return made


def code_of(caught: pytest.ExceptionInfo[InputProblems]) -> str:
    return caught.value.problems[0].code


def test_a_run_goes_its_way(ledger: Ledger) -> None:
    ledger.reserve("r", "plan", {A: 4}, {A: 10})
    assert ledger.state("r") == "reserved"
    assert {(each.item, each.lot): each.quantity for each in ledger.free("other")} == {A: 6, B: 5}
    assert {(each.item, each.lot): each.quantity for each in ledger.free("r")} == {A: 10, B: 5}
    ledger.post("r", "plan", Posting((lot(("plastic-7", "30 x 40 holes"), 2),)))
    assert held(ledger.path) == {A: 6, B: 5, ("plastic-7", "30 x 40 holes"): 2}
    assert {(each.item, each.lot): each.quantity for each in ledger.free("other")}[A] == 6


def test_a_cancelled_run_can_be_reserved_again(ledger: Ledger) -> None:
    ledger.reserve("r", "plan", {A: 4}, {A: 10})
    ledger.cancel("r")
    assert {each.quantity for each in ledger.free("other")} == {10, 5}
    ledger.reserve("r", "plan 2", {A: 5}, {A: 10})
    ledger.post("r", "plan 2")
    assert held(ledger.path) == {A: 5, B: 5}


def test_posting_twice_is_refused(ledger: Ledger) -> None:
    ledger.reserve("r", "plan", {A: 4}, {A: 10})
    ledger.post("r", "plan")
    for step in (
        lambda: ledger.post("r", "plan"),
        lambda: ledger.cancel("r"),
        lambda: ledger.reserve("r", "plan", {A: 1}, {A: 6}),
    ):
        with pytest.raises(InputProblems) as caught:
            step()
        assert code_of(caught) == "KB621"
    assert held(ledger.path) == {A: 6, B: 5}


def test_a_plan_that_stock_has_overtaken_is_refused(ledger: Ledger) -> None:
    ledger.count([lot(A, 7)], all_lots=False)
    with pytest.raises(InputProblems, match="wool-0123 lot A was 10, is 7") as caught:
        ledger.reserve("r", "plan", {A: 4, B: 1}, {A: 10, B: 5})
    assert code_of(caught) == "KB623"
    assert ledger.state("r") == ""


def test_two_runs_cannot_reserve_the_same(ledger: Ledger) -> None:
    ledger.reserve("one", "plan", {A: 8}, {A: 10})
    with pytest.raises(InputProblems, match="was 10, is 2"):
        ledger.reserve("two", "plan", {A: 8}, {A: 10})


def test_a_count_between_reserving_and_posting(ledger: Ledger) -> None:
    ledger.reserve("r", "plan", {A: 8}, {A: 10})
    ledger.count([lot(A, 3)], all_lots=False)
    with pytest.raises(InputProblems, match="holds 3, the run takes 8") as caught:
        ledger.post("r", "plan")
    assert code_of(caught) == "KB623"
    assert held(ledger.path) == {A: 3, B: 5}


def test_a_plan_made_anew_is_not_posted(ledger: Ledger) -> None:
    ledger.reserve("r", "plan", {A: 8}, {A: 10})
    with pytest.raises(InputProblems) as caught:
        ledger.post("r", "another plan")
    assert code_of(caught) == "KB622"


def test_a_whole_count_empties_what_it_does_not_name(ledger: Ledger) -> None:
    assert ledger.count([lot(A, 10)], all_lots=False) == 0
    assert ledger.count([lot(A, 10)], all_lots=True) == 1
    assert held(ledger.path) == {A: 10, B: 0}


@pytest.mark.parametrize("statement", ["UPDATE movements SET quantity = 1", "DELETE FROM movements"])
def test_movements_stay(ledger: Ledger, statement: str) -> None:
    with closing(sqlite3.connect(ledger.path)) as base, pytest.raises(sqlite3.IntegrityError, match="stay"):
        base.execute(statement)


@pytest.mark.parametrize(
    "content", [b"not a ledger at all, but a text of some length" * 40, b"SQLite format 3\0x"]
)
def test_a_damaged_file_is_told_and_left(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "stock.sqlite"
    path.write_bytes(content)
    with pytest.raises(WriteProblem) as caught:
        Ledger(path)
    assert caught.value.problems[0].code == "KB810"
    assert path.read_bytes() == content


def test_another_programs_base_is_not_written_into(tmp_path: Path) -> None:
    path = tmp_path / "stock.sqlite"
    with closing(sqlite3.connect(path)) as base:
        base.execute("CREATE TABLE theirs (a)")
        base.commit()
    before = path.read_bytes()
    with pytest.raises(WriteProblem, match="no ledger"):
        Ledger(path)
    assert path.read_bytes() == before


@pytest.fixture
def first(tmp_path: Path) -> Path:
    with closing(sqlite3.connect(tmp_path / "first.sqlite")) as base:
        base.executescript(FIRST)
    return tmp_path / "first.sqlite"


def test_a_ledger_of_the_first_version_goes_on(first: Path) -> None:
    for _ in range(2):
        with closing(Ledger(first)) as ledger:
            assert held(first) == {A: 7}
            assert (ledger.state("old"), ledger.state("r")) == ("posted", "reserved")
            assert ledger.free()[0].quantity == 5
            assert ledger.packed() == {}
    with closing(Ledger(first)) as ledger:
        ledger.post("r", "p")
    assert held(first) == {A: 5}
    with closing(sqlite3.connect(first)) as base:
        assert base.execute("SELECT number, kind, quantity FROM movements").fetchall() == [
            (1, "count", 10),
            (2, "run", -3),
            (3, "run", -2),
        ]
        for table in ("movements", "steps"):
            with pytest.raises(sqlite3.IntegrityError, match="stay"):
                base.execute(f"DELETE FROM {table}")


def test_a_ledger_is_brought_up_to_date_whole_or_not_at_all(
    first: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(ledger_tables, "_BOXES", "CREATE TABLE packed_kits (a);\nNONSENSE;\n")
    with pytest.raises(WriteProblem):
        Ledger(first)
    with closing(sqlite3.connect(first)) as base:
        assert base.execute("PRAGMA user_version").fetchone() == (1,)
        assert base.execute("SELECT count(*) FROM movements").fetchone() == (2,)
    monkeypatch.undo()
    assert held(first) == {A: 7}


class Steps(RuleBasedStateMachine):
    """Any order of steps: the ledger is what a few dictionaries say, and no lot is ever below nothing."""

    @initialize()
    def begin(self) -> None:
        self.ledger = Ledger(Path(":memory:"))
        self.stock: dict[tuple[str, str], int] = {}
        self.open: dict[str, dict[tuple[str, str], int]] = {}
        self.done: set[str] = set()

    @rule(key=st.sampled_from([A, B]), quantity=st.integers(0, 20))
    def count(self, key: tuple[str, str], quantity: int) -> None:
        self.ledger.count([lot(key, quantity)], all_lots=False)
        self.stock[key] = quantity

    @rule(run=st.sampled_from("xyz"), key=st.sampled_from([A, B]), quantity=st.integers(1, 12))
    def reserve(self, run: str, key: tuple[str, str], quantity: int) -> None:
        free = {(each.item, each.lot): each.quantity for each in self.ledger.free(run)}
        if free.get(key, 0) < quantity:
            return
        others = sum(each.get(key, 0) for name, each in self.open.items() if name != run)
        try:
            self.ledger.reserve(run, "plan", {key: quantity}, free)
        except InputProblems:
            assert run in self.open or run in self.done
        else:
            assert self.stock[key] - others >= quantity
            self.open[run] = {key: quantity}

    @rule(run=st.sampled_from("xyz"))
    def post(self, run: str) -> None:
        try:
            self.ledger.post(run, "plan")
        except InputProblems:
            taken = self.open.get(run, {})
            assert not taken or any(self.stock[key] < many for key, many in taken.items())
        else:
            for key, many in self.open.pop(run).items():
                self.stock[key] -= many
            self.done.add(run)

    @rule(run=st.sampled_from("xyz"))
    def cancel(self, run: str) -> None:
        try:
            self.ledger.cancel(run)
        except InputProblems:
            assert run not in self.open
        else:
            del self.open[run]

    @invariant()
    def the_movements_are_the_stock(self) -> None:
        now = {(each.item, each.lot): each.quantity for each in self.ledger.lots()}
        assert now == self.stock
        assert all(quantity >= 0 for quantity in now.values())


Steps.TestCase.settings = settings(deadline=None, max_examples=60, stateful_step_count=30)
TestSteps = Steps.TestCase


@pytest.mark.skipif(sys.platform != "linux", reason="the library's writes are watched through its own calls")
@pytest.mark.parametrize("step", STEPS)
def test_a_killed_step_has_happened_or_has_not(tmp_path: Path, step: str) -> None:
    """At moments within the transaction, while it is being committed, and after it."""
    told = report(tmp_path, step, 20)
    assert min(told["inside"], told["committing"], told["old"], told["new"]) > 0, told


READS: dict[str, Callable[[Ledger], object]] = {
    "lots": Ledger.lots,
    "free": Ledger.free,
    "state": lambda ledger: ledger.state("r"),
    "begun": lambda ledger: ledger.begun,
    "packed": Ledger.packed,
    "bundles": Ledger.bundles,
    "box": lambda ledger: ledger.box("r-WHIN-001"),
}


@pytest.mark.parametrize("read", READS)
def test_a_reader_that_another_run_keeps_out_is_told(ledger: Ledger, read: str) -> None:
    ledger._base.execute("PRAGMA busy_timeout = 50")
    with closing(sqlite3.connect(ledger.path, isolation_level=None)) as other:
        other.execute("BEGIN EXCLUSIVE")
        with pytest.raises(WriteProblem) as caught:
            READS[read](ledger)
    assert caught.value.problems[0].code == "KB809"


def test_a_ledger_that_another_run_holds_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """And nothing is changed: the wait is short here, it is 10 s for people."""
    path = tmp_path / "stock.sqlite"
    Ledger(path).close()
    before = path.read_bytes()
    plain = sqlite3.connect
    monkeypatch.setattr(sqlite3, "connect", lambda *of, **more: plain(*of, **{**more, "timeout": 0.05}))
    with closing(plain(path, isolation_level=None)) as other:
        other.execute("BEGIN EXCLUSIVE")
        with pytest.raises(WriteProblem) as caught:
            Ledger(path)
    assert caught.value.problems[0].code == "KB809"
    assert path.read_bytes() == before
