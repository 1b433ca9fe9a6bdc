"""Runs of a licensed design by the command line: refused beyond the number, planned or posted."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from kitbuild.ledger import Ledger
from tests.build.places import LOCATED, change, digests, run
from tests.build.test_batch import good, orders, rows
from tests.build.tiny import quick
from tests.spec.ranges import copy_kits


@pytest.fixture
def place(tmp_path: Path) -> Path:
    """A shop with a licence for five cushions and a ledger."""
    copy_kits(tmp_path)
    change(tmp_path, "heath.yaml", "number: 500", "number: 5")
    good(run(tmp_path, "stock", "count"))
    return tmp_path


def test_a_run_beyond_the_number_is_not_planned(place: Path) -> None:
    orders(place, "1,HEATH,3,2026-12-01", "2,WHIN,1,2026-12-01", "3,HEATH,3,2026-12-02")
    before = digests(place)
    ran = run(place, "batch", "w1")
    assert (ran.code, ran.codes) == (1, ["KB640"])
    assert ran.err.startswith("kits/orders.csv:4:")
    assert "6 of HEATH would pass the licence of Ottoline Brackwater for 5: 0 were packed before" in ran.err
    assert LOCATED.fullmatch(ran.problems[0])
    assert digests(place) == before
    orders(place, "1,HEATH,3,2026-12-01", "3,HEATH,2,2026-12-02")
    good(run(place, "batch", "w1"))


def test_a_run_that_others_have_overtaken_is_not_posted(place: Path) -> None:
    orders(place, "1,HEATH,3,2026-12-01")
    for name in ("w1", "w2"):
        good(run(place, "batch", name))
        good(run(place, "batch", name, "reserve"))
    good(run(place, "batch", "w1", "post"))
    before = (place / "kits" / "stock.sqlite").read_bytes()
    ran = run(place, "batch", "w2", "post")
    assert (ran.code, ran.codes) == (1, ["KB640"])
    assert ran.err.startswith("kits/heath.yaml:13:")
    assert "3 of HEATH would pass the licence of Ottoline Brackwater for 5: 3 were packed before" in ran.err
    assert (place / "kits" / "stock.sqlite").read_bytes() == before
    good(run(place, "batch", "w2", "cancel"))
    orders(place, "2,HEATH,2,2026-12-03")
    good(run(place, "batch", "w3"))
    orders(place, "2,HEATH,3,2026-12-03")
    assert run(place, "batch", "w3").codes == ["KB640"]


def overtaken(monkeypatch: pytest.MonkeyPatch, step: Callable[[], None]) -> None:
    """Let `step` be taken at the last moment before a posting of this process holds the ledger."""
    post = Ledger.post

    def later(*of: object, **more: object) -> None:
        monkeypatch.setattr(Ledger, "post", post)
        step()
        post(*of, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(Ledger, "post", later)


@pytest.mark.parametrize(("number", "posted"), [(5, 3), (6, 6)])
def test_two_postings_at_once_keep_to_the_number(
    place: Path, monkeypatch: pytest.MonkeyPatch, number: int, posted: int
) -> None:
    """Another process posts a run between this one's reading of kits and plan and its step in the ledger."""
    change(place, "heath.yaml", "number: 5", f"number: {number}")
    orders(place, "1,HEATH,3,2026-12-01")
    for name in ("w1", "w2"):
        good(run(place, "batch", name))
        good(run(place, "batch", name, "reserve"))
    overtaken(monkeypatch, lambda: good(run(place, "batch", "w1", "post")))
    ran = quick(place, "batch", "w2", "post")
    assert ran.codes == ([] if posted == 6 else ["KB640"])
    with closing(Ledger(place / "kits" / "stock.sqlite")) as ledger:
        assert ledger.packed() == {"HEATH": posted}
        assert (ledger.state("w1"), ledger.state("w2")) == ("posted", "posted" if posted == 6 else "reserved")


def test_posting_asks_for_the_licence_of_each_kit(place: Path) -> None:
    orders(place, "1,HEATH,3,2026-12-01")
    good(run(place, "batch", "w1"))
    good(run(place, "batch", "w1", "reserve"))
    change(place, "heath.yaml", "title: High-moor", "titel: High-moor")
    assert run(place, "batch", "w1", "post").codes == ["KB202"]


def test_the_royalties_of_a_run_are_in_its_list(place: Path) -> None:
    """98.00 / 1.21 = 80.99; 6 % of it is 4.86 a kit, 14.58 for three."""
    orders(place, "1,HEATH,3,2026-12-01", "2,WHIN,1,2026-12-01")
    good(run(place, "batch", "w1"))
    heath, whin, total = rows(place, "cost", "w1")
    assert [row["royalty"] for row in (heath, whin, total)] == ["14.58", "0.00", "14.58"]
    assert [heath[name] for name in ("revenue", "tax", "fee", "setup")] == [
        "294.00",
        "51.03",
        "0.00",
        "85.00",
    ]
    assert list(heath)[-5:] == ["currency", "tax", "fee", "royalty", "setup"]
    for row in (heath, whin, total):
        taken = sum(float(row[name]) for name in ("tax", "fee", "royalty", "cost", "margin"))
        assert round(taken, 2) == float(row["revenue"])
