"""CSV bytes, exactly."""

from __future__ import annotations

import csv
from decimal import ROUND_HALF_UP, Decimal
from io import StringIO

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitbuild.base.document import Column, Listing
from kitbuild.output.csv_text import render_csv


def test_golden_bytes() -> None:
    listing = Listing(
        "x.csv",
        (
            Column("piece", ["band", 'a "b", c', "two\nlines", None]),
            Column("x", np.array([1, 2, 3, 4])),
            Column("mm", np.array([1.005, -0.001, 2.675, -1234567.125]), 2),
            Column("pitch_mm", [3.6285714285, None, 0, 25.4], 6),
            Column("größe", [1, 2.5, "", True]),
        ),
    )
    assert (
        render_csv(listing)
        == (
            "piece,x,mm,pitch_mm,größe\r\n"
            "band,1,1.01,3.628571,1\r\n"
            '"a ""b"", c",2,0.00,,2.5\r\n'
            '"two\nlines",3,2.68,0.000000,\r\n'
            ",4,-1234567.13,25.400000,True\r\n"
        ).encode()
    )


def test_no_columns_and_no_rows() -> None:
    assert render_csv(Listing("x.csv", (Column("a", []), Column("b", [], 2)))) == b"a,b\r\n"


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_floats_must_be_finite(value: float) -> None:
    with pytest.raises(ValueError, match="nan"):
        render_csv(Listing("x.csv", (Column("a", [value], 2),)))


def test_columns_must_agree() -> None:
    with pytest.raises(ValueError, match="shorter"):
        render_csv(Listing("x.csv", (Column("a", [1, 2]), Column("b", [1]))))


@given(st.lists(st.floats(-1e7, 1e7) | st.integers(-(10**9), 10**9).map(lambda n: n / 2000), min_size=1))
def test_floats_are_rounded_half_up_from_what_is_seen(values: list[float]) -> None:
    cells = render_csv(Listing("x.csv", (Column("a", values, 2),))).decode().split("\r\n")[1:-1]
    for cell, value in zip(cells, values, strict=True):
        right = Decimal(repr(value)).quantize(Decimal("0.01"), ROUND_HALF_UP)
        assert Decimal(cell) == right
        assert not (cell.startswith("-") and not right)


@given(st.lists(st.text(st.characters(exclude_categories=["Cs", "Cc"]))))
def test_text_comes_back(values: list[str]) -> None:
    listing = Listing("x.csv", (Column("a", values), Column("b", ["x"] * len(values))))
    text = render_csv(listing).decode("utf-8")
    assert [row[0] for row in csv.reader(StringIO(text, newline=""))][1:] == values
