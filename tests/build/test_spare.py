"""A box's number leads to its run, edition and lots; thread sent after it is of its lot or says otherwise."""

from __future__ import annotations

import csv
from contextlib import closing
from pathlib import Path

import pypdfium2
import pytest

from kitbuild.ledger import Ledger
from tests.build.places import LOCATED, Ran, run
from tests.build.test_batch import HEAD, good, orders, rows
from tests.spec.ranges import copy_kits


@pytest.fixture(scope="module")
def packed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shop that packed 3 boxes of WHIN: 2 with bark of lot A (2 skeins a box, 5 there), 1 of lot B."""
    place = tmp_path_factory.mktemp("packed")
    kits = copy_kits(place)
    orders(place, "1001,WHIN,3,2026-12-01")
    lots = [line for line in (kits / "stock.csv").read_text().splitlines() if "wool-0123" not in line]
    lots += ["wool-0123,A,A-07,5,2026-01-03", "wool-0123,B,A-08,4,2026-02-03"]
    (kits / "stock.csv").write_text("\n".join(lots) + "\n")
    good(run(place, "stock", "count"))
    good(run(place, "batch", "w41"))
    good(run(place, "batch", "w41", "reserve"))
    good(run(place, "batch", "w41", "post"))
    return place


@pytest.fixture
def place(packed: Path, tmp_path: Path) -> Path:
    """A copy of it."""
    import shutil

    shutil.copytree(packed, tmp_path / "shop")
    return tmp_path / "shop"


def slip(place: Path, number: int) -> dict[str, str]:
    with (place / "build" / "spare" / f"spare-{number:04}.csv").open(newline="", encoding="utf-8") as file:
        (row,) = csv.DictReader(file)
    return row


def words(place: Path, number: int) -> str:
    document = pypdfium2.PdfDocument(place / "build" / "spare" / f"spare-{number:04}.pdf")
    return " ".join(document[0].get_textpage().get_text_bounded().split())


def stock(place: Path) -> dict[tuple[str, str], int]:
    with closing(Ledger(place / "kits" / "stock.sqlite")) as ledger:
        return {(each.item, each.lot): each.quantity for each in ledger.lots()}


def test_the_ledger_knows_the_boxes_of_the_list(place: Path) -> None:
    listed: dict[str, dict[str, str]] = {}
    for row in rows(place, "boxes"):
        listed.setdefault(row["box"], {})[row["colour"]] = row["lot"]
    assert list(listed) == ["w41-WHIN-001", "w41-WHIN-002", "w41-WHIN-003"]
    with closing(Ledger(place / "kits" / "stock.sqlite")) as ledger:
        assert ledger.packed() == {"WHIN": 3}
        for name, lots in listed.items():
            box = ledger.box(name)
            assert box
            assert (box.run, box.order, box.kit.edition, box.lots) == ("w41", "1001", 1, lots)
            assert box.name == name
        assert ledger.box("w41-WHIN-004") is None
    assert [lots["bark"] for lots in listed.values()] == ["A", "A", "B"]


def test_a_spare_of_the_same_lot(place: Path) -> None:
    """A skein of 10 m holds 13 needlefuls of 76 cm: 3 leave 10, which are sent next."""
    assert stock(place)["wool-0123", "A"] == 1
    ran = run(place, "spare", "w41-whin-2", "BARK", "--needlefuls", "3")
    good(ran)
    assert ran.out == "w41-WHIN-002: 3 of bark, lot A, from bin A-07\nbuild/spare/spare-0001.pdf\n"
    variants = {
        f"spare-0001{which}.pdf" for which in ("", ".fr", ".de", ".letter", ".fr.letter", ".de.letter")
    }
    assert {path.name for path in (place / "build" / "spare").iterdir()} == variants | {"spare-0001.csv"}
    told = slip(place, 1)
    assert (told["lot"], told["box_lot"], told["same_lot"], told["put_ups"]) == ("A", "A", "yes", "1")
    assert stock(place)["wool-0123", "A"] == 0
    assert "NOTICE" not in words(place, 1)
    for asked in ("w41-WHIN-002", "edition 1", "w41, order 1001", "Lot of this colour in the box: A"):
        assert asked in words(place, 1)
    rest = int(told["rest"])
    good(run(place, "spare", "kit=WHIN;run=w41;box=w41-WHIN-001", "wool-0123", "--needlefuls", str(rest)))
    assert (slip(place, 2)["put_ups"], slip(place, 2)["rest"], slip(place, 2)["lot"]) == ("0", "0", "A")


def test_a_spare_of_another_lot_says_so(place: Path) -> None:
    good(run(place, "spare", "w41-WHIN-001", "bark", "--needlefuls", "13"))
    ran = run(place, "spare", "w41-WHIN-001", "bark")
    assert (ran.code, ran.codes) == (0, ["KB627"])
    assert "lot B of wool-0123 is sent, the box holds lot A" in ran.err
    assert slip(place, 2)["same_lot"] == "no"
    assert "NOTICE This thread is of dye lot B; what lay in your box is of lot A" in words(place, 2)


def test_more_than_any_lot_holds(place: Path) -> None:
    before = stock(place)
    ran = run(place, "spare", "w41-WHIN-001", "bark", "--needlefuls", "60")
    assert (ran.code, ran.codes) == (4, ["KB628"])
    assert stock(place) == before
    assert not (place / "build" / "spare").exists()


def test_thread_that_a_run_has_reserved_is_not_sent(place: Path) -> None:
    orders(place, "1,WHIN,1,2026-12-01")
    good(run(place, "batch", "next"))
    good(run(place, "batch", "next", "reserve"))
    (place / "less.csv").write_text(f"{HEAD}wool-0123,A,A-07,0,2026-01-03\nwool-0123,B,A-08,2,2026-02-03\n")
    good(run(place, "stock", "count", "less.csv"))
    assert run(place, "spare", "w41-WHIN-003", "bark").codes == ["KB628"]


@pytest.mark.parametrize(
    ("asked", "code", "cure"),
    [
        (("w41-WHIN-004", "bark"), "KB625", "w41-WHIN-001 to w41-WHIN-003"),
        (("w41-WHIN-000", "bark"), "KB625", "w41-WHIN-001 to w41-WHIN-003"),
        (("w42-WHIN-001", "bark"), "KB625", "did you mean `w41-WHIN-001`?"),
        (("7", "bark"), "KB625", "on the box's label"),
        (("'; DROP TABLE boxes", "bark"), "KB625", "on the box's label"),
        (("w41-WHIN-001", "brak"), "KB626", "did you mean `bark`?"),
        (("w41-WHIN-001", "ééé"), "KB626", "it has `bark`,"),
        (("--again", "9"), "KB629", "file name"),
    ],
)
def test_what_was_never_packed(place: Path, asked: tuple[str, ...], code: str, cure: str) -> None:
    before = stock(place)
    ran = run(place, "spare", *asked)
    assert (ran.code, ran.codes) == (1, [code])
    assert cure in ran.err
    assert stock(place) == before


def wrong(ran: Ran) -> None:
    assert ran.code == 2
    assert not any(LOCATED.match(line) for line in ran.problems)


def test_wrong_usage(place: Path) -> None:
    wrong(run(place, "spare"))
    wrong(run(place, "spare", "w41-WHIN-001"))
    wrong(run(place, "spare", "w41-WHIN-001", "bark", "--again", "1"))
    wrong(run(place, "spare", "w41-WHIN-001", "bark", "--needlefuls", "0"))


def test_a_slip_that_cannot_be_written_is_written_again(place: Path) -> None:
    (place / "build" / "spare").write_text("in the way")
    before = stock(place)
    ran = run(place, "spare", "w41-WHIN-001", "bark")
    assert ran.code == 3
    assert "kitbuild spare --again 1" in ran.out
    (place / "build" / "spare").unlink()
    good(run(place, "spare", "--again", "1"))
    assert slip(place, 1)["put_ups"] == "1"
    assert stock(place) == before | {("wool-0123", "A"): 0}
