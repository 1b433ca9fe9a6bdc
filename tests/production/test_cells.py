"""Orders and stock as spreadsheets save them: handled, or a problem at its place, never a wrong number."""

from __future__ import annotations

import csv
import io
from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitbuild.production.cells import Wrong, date, hundredths, name, read_cells, whole
from kitbuild.production.orders import Order, read_orders
from kitbuild.production.stock import read_stock
from tests.production.stores import CODES, known

HEAD = "order,kit,quantity,due"
GOOD = f"{HEAD}\n1001,WHIN,3,2026-10-01\n1002,FERN,12,2026-09-30\n"


def told(orders: tuple[Order, ...]) -> list[tuple[str, str, int, str]]:
    return [(each.order, each.kit, each.quantity, each.due) for each in orders]


WANTED = [("1002", "FERN", 12, "2026-09-30"), ("1001", "WHIN", 3, "2026-10-01")]


@pytest.mark.parametrize(
    "content",
    [
        GOOD.encode(),
        GOOD.replace("\n", "\r\n").encode(),
        GOOD.replace("\n", "\r").encode(),
        b"\xef\xbb\xbf" + GOOD.encode(),
        GOOD.replace(",", ";").encode(),
        GOOD.replace(",", "\t").encode(),
        ("sep=;\n" + GOOD.replace(",", ";")).encode(),
        GOOD.replace(",", ";").replace(";3;", ";3,0;").replace(";12;", ";12,00;").encode(),
        GOOD.replace("2026-10-01", "1.10.2026").replace("2026-09-30", "30.09.2026").encode(),
        GOOD.replace("2026-10-01", "2026/10/01").replace("2026-09-30", "2026-09-30 00:00:00").encode(),
        (GOOD + ",,,\n\n").encode(),
        GOOD.replace("WHIN", '"WHIN"').replace("1001", '" 1001 "').encode(),
        GOOD.replace("\n", ",\n").encode(),
        b'due,quantity,kit,order,buyer\n2026-10-01,3,WHIN,1001,"A, B"\n2026-09-30,12,FERN,1002,C\n',
        b'note,order,kit,quantity,due\n"to\nA",1001,WHIN,3,2026-10-01\n"\n\n",1002,FERN,12,2026-09-30\n',
        GOOD.encode("utf-16"),
        GOOD.replace(",", "\t").replace("\n", "\r\n").encode("utf-16"),
        b"\xfe\xff" + GOOD.encode("utf-16-be"),
    ],
)
def test_every_way_of_saving_reads_the_same(content: bytes) -> None:
    orders, problems = read_orders("kits/orders.csv", content, CODES)
    assert problems == ()
    assert told(orders) == WANTED


@pytest.mark.parametrize(
    ("row", "column", "code", "words"),
    [
        ("1,WHIN,-2,2026-10-01", 8, "KB611", "negative"),
        ("1,WHIN,2.5,2026-10-01", 8, "KB611", "fraction"),
        ('1,WHIN,"2,5",2026-10-01', 8, "KB611", "fraction"),
        ("1,WHIN,1.000,2026-10-01", 8, "KB611", "thousands"),
        ('1,WHIN,"1,000",2026-10-01', 8, "KB611", "thousands"),
        ("1,WHIN,1 000,2026-10-01", 8, "KB611", "thousands"),
        ("1,WHIN,0,2026-10-01", 8, "KB611", "1 to"),
        ("1,WHIN,1e3,2026-10-01", 8, "KB611", "whole"),
        ("1,WHIN,,2026-10-01", 8, "KB611", "empty"),
        ("1,WHIN,٣,2026-10-01", 8, "KB611", "whole"),
        ("1,WHIN,=1+1,2026-10-01", 8, "KB611", "formula"),
        ("1,WHIN,3,01/10/2026", 10, "KB611", "day or the month"),
        ("1,WHIN,3,2026-02-29", 10, "KB611", "calendar"),
        ("1,WHIN,3,45931", 10, "KB611", "number that a spreadsheet has for a day"),
        ("1,WHIN,3,0026-10-01", 10, "KB611", "from 2000 to 2099"),
        ("1,WHIN,3,2206-10-01", 10, "KB611", "from 2000 to 2099"),
        ("1,WHIN,3,1.10.26", 10, "KB611", "no date"),
        ("1E+05,WHIN,3,2026-10-01", 1, "KB611", "digits are lost"),
        ("1,WHIN,3%,2026-10-01", 8, "KB611", "whole"),
        ("1,WHIN,\u22123,2026-10-01", 8, "KB611", "negative"),
        ("1,WHIN,1000000000000,2026-10-01", 8, "KB611", "whole"),
        ("1,WHIN,\uff13,2026-10-01", 8, "KB611", "whole"),
        ("1,WHIN,+3,2026-10-01", 8, "KB611", "formula"),
        ("1,WHIN,3,", 10, "KB611", "empty"),
        ("1,whin,3,2026-10-01", 3, "KB612", "did you mean `WHIN`"),
        ("1,,3,2026-10-01", 3, "KB612", "no kit"),
        (",WHIN,3,2026-10-01", 1, "KB611", "empty"),
        ("=cmd,WHIN,3,2026-10-01", 1, "KB611", "formula"),
        ("+1,WHIN,3,2026-10-01", 1, "KB611", "formula"),
        ("@a,WHIN,3,2026-10-01", 1, "KB611", "formula"),
        ("-1,WHIN,3,2026-10-01", 1, "KB611", "formula"),
        ("1,WHIN,3", 1, "KB610", "3 cells"),
        ("1,WHIN,3,2026-10-01,x", 1, "KB610", "5 cells"),
        ('1,"WHIN,3,2026-10-01', 3, "KB610", "quote is not closed"),
        ('1,7" WHIN,3,2026-10-01', 3, "KB610", "inside a cell"),
        ('="1001",WHIN,3,2026-10-01', 1, "KB610", "formula"),
    ],
)
def test_what_is_wrong_is_told_at_its_place(row: str, column: int, code: str, words: str) -> None:
    orders, problems = read_orders("kits/orders.csv", f"{HEAD}\n{row}\n".encode(), CODES)
    assert orders == ()
    assert [(each.place.line, each.place.column, each.code) for each in problems] == [(2, column, code)]
    assert words in str(problems[0])


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "no line of column names"),
        (b"order,kit,quantity\n", "`due`"),
        (b"order,kit,quantity,due,due\n", "two columns"),
        (b"\xff\xfeo\0r", ":1:1: KB610 the list is not UTF-8"),
        (b"\xff\xfeo\0r\0", "does not name"),
        (
            f"{HEAD}\n1,FERN,2,2026-10-01\nGr\xfcn,WHIN,3,2026-10-01".encode("latin-1"),
            ":3:3: KB610 the list is not UTF-8",
        ),
        (b"order,kit\0,quantity,due\n", ":1:10: KB610 the list is no text"),
        (HEAD.encode(), "nothing is ordered"),
    ],
)
def test_a_list_that_cannot_be_read(content: bytes, words: str) -> None:
    orders, problems = read_orders("kits/orders.csv", content, CODES)
    assert orders == ()
    assert [each.code for each in problems] == ["KB610"]
    assert words in str(problems[0])


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_places_count_the_lines_of_a_cell(end: str) -> None:
    """A cell of three lines before what is wrong, and a quote after it that nobody closes."""
    rows = ("note,order,kit,quantity,due", '"a', 'b, ""c""', 'd",1,WHIN,-2,2026-10-01', '"e,2,WHIN,x,y')
    _, problems = read_orders("kits/orders.csv", end.join((*rows, ",3,FERN,z,2026-10-02")).encode(), CODES)
    places = [(each.place.line, each.place.column, each.code) for each in problems]
    assert sorted(places) == [(4, 11, "KB611"), (5, 1, "KB610"), (6, 9, "KB611")]


def test_an_order_has_a_kit_once_a_day() -> None:
    rows = "1,WHIN,3,2026-10-01\n1,WHIN,3,2026-10-01\n1,WHIN,3,2026-10-02\n"
    _, problems = read_orders("kits/orders.csv", f"{HEAD}\n{rows}".encode(), CODES)
    assert [(each.code, each.place.line) for each in problems] == [("KB613", 3)]


STOCK = "item,lot,bin,quantity,received"


@pytest.mark.parametrize(
    ("row", "column", "code"),
    [
        ("wool-9999,A,,1,2026-10-01", 1, "KB616"),
        (",A,,1,2026-10-01", 1, "KB616"),
        ("WHIN-booklet,,,1,2026-10-01", 1, "KB616"),
        ("wool-0123,,,1,2026-10-01", 11, "KB615"),
        ("wool-0123,A,,-1,2026-10-01", 14, "KB615"),
        ("wool-0123,A,,1.5,2026-10-01", 14, "KB615"),
        ("wool-0123,A,,1,", 16, "KB615"),
        ("wool-0123,=A,,1,2026-10-01", 11, "KB615"),
        ("wool-0123,A,@b,1,2026-10-01", 13, "KB615"),
        ("plastic-7,A,,1,2026-10-01", 11, "KB615"),
        ("roll-10,A,,1.500,2026-10-01", 12, "KB615"),
        ("roll-10,A,,7.35 m,2026-10-01", 12, "KB615"),
        ("wool-0123,4.47E+11,,1,2026-10-01", 11, "KB615"),
        ("wool-0123,A,,1,2999-10-01", 16, "KB615"),
    ],
)
def test_wrong_stock_is_told_at_its_place(row: str, column: int, code: str) -> None:
    lots, problems = read_stock("kits/stock.csv", f"{STOCK}\n{row}\n".encode(), known())
    assert lots == ()
    assert [(each.place.line, each.place.column, each.code) for each in problems] == [(2, column, code)]


def test_stock_is_read_oldest_first() -> None:
    rows = (
        "wool-0123,B,X-9,4,2026-09-01\nwool-0123,A,,10,1.8.2026\n"
        'roll-10,R,,"9,5",2026-01-01\nplastic-7,40 × 27 holes,,2,2026-01-01\n'
    )
    lots, problems = read_stock("kits/stock.csv", f"{STOCK}\n{rows}".encode(), known())
    assert problems == ()
    assert [(each.item, each.lot, each.bin, each.quantity) for each in lots] == [
        ("plastic-7", "40 x 27 holes", "C-01", 2),
        ("roll-10", "R", "C-04", 950),
        ("wool-0123", "A", "A-01", 10),
        ("wool-0123", "B", "X-9", 4),
    ]


def test_a_lot_stands_once() -> None:
    rows = "wool-0123,A,X,4,2026-09-01\nwool-0123,A,Y,4,2026-09-01\n"
    _, problems = read_stock("kits/stock.csv", f"{STOCK}\n{rows}".encode(), known())
    assert [(each.code, each.place.line, each.place.column) for each in problems] == [("KB617", 3, 11)]


@given(st.text(max_size=12))
def test_a_number_is_what_was_written_or_nothing(text: str) -> None:
    for reader, scale in ((lambda cell: whole(cell, 0), 1), (hundredths, 100)):
        try:
            found = reader(text)
        except Wrong:
            continue
        assert found == round(float(text.replace(",", ".")) * scale)


@given(st.text(max_size=30))
def test_names_and_dates_fail_in_one_way(text: str) -> None:
    for reader in (name, date):
        with suppress(Wrong):
            reader(text)


@given(st.lists(st.lists(st.text("ab,;\"' é=1", max_size=6), min_size=2, max_size=2), max_size=5))
def test_cells_are_those_that_a_spreadsheet_writes(rows: list[list[str]]) -> None:
    """The cells of csv.writer come back, each at a place in its own line."""
    target = io.StringIO()
    writer = csv.writer(target, lineterminator="\n")
    writer.writerows([["order", "kit"], *rows])
    found = read_cells("f", target.getvalue().encode(), ("order", "kit"))
    assert found.problems == ()
    wanted = [[cell.strip() for cell in row] for row in rows if any(cell.strip() for cell in row)]
    assert [[row.texts["order"], row.texts["kit"]] for row in found.rows] == wanted


@given(st.binary(max_size=200))
def test_no_bytes_end_in_a_traceback(content: bytes) -> None:
    for data in (content, f"{HEAD}\n".encode() + content, f"{STOCK}\n".encode() + content):
        read_orders("kits/orders.csv", data, CODES)
        read_stock("kits/stock.csv", data, known())
