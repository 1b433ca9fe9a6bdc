"""Charts: CSV files as programs save them, and columns as a kit's file writes them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitbuild.spec.charts import (
    HEADER,
    LARGEST_CHART_BYTES,
    chart_of_entries,
    chart_of_file,
    read_chart,
    written_stitches,
)
from kitbuild.spec.formats import FORMATS, read_bars, read_chart_columns, read_piece_edge, read_span
from kitbuild.spec.source import At, Source

FIRST = b"x1,y1,x2,y2,colour\n"
GOOD = FIRST + b"1,1,1,4,bark\n1,4,1,9,moss\n"
STITCHES = ((1, 1, 1, 4, "bark"), (1, 4, 1, 9, "moss"))


@pytest.mark.parametrize(
    "content",
    [
        GOOD,
        GOOD.rstrip(),
        b"\xef\xbb\xbf" + GOOD,
        GOOD.replace(b"\n", b"\r\n"),
        GOOD.replace(b"\n", b"\r"),
        GOOD.replace(b",", b" , "),
        GOOD.replace(b"bark", b'"bark"'),
        GOOD + b"\n,,,,\n",
    ],
    ids=["plain", "no end", "mark", "windows", "old", "spaces", "quotes", "empty lines"],
)
def test_a_chart_is_read_as_programs_save_it(content: bytes) -> None:
    chart = read_chart("kits/a.csv", content)
    assert (chart.stitches, chart.problems) == (STITCHES, ())
    assert [At(chart.source)(number).line for number in (0, 1)] == [2, 3]


def test_lines_are_counted_over_those_that_are_empty() -> None:
    chart = read_chart("kits/a.csv", FIRST + b"\n\n1,1,1,4,bark\n")
    assert str(At(chart.source)(0)) == "kits/a.csv:4:1"


def test_a_quote_that_is_not_closed_ends_with_its_line() -> None:
    chart = read_chart("kits/a.csv", FIRST + b'"1,1,1,4,bark\n1,4,1,9,moss\n')
    assert chart.stitches == STITCHES[1:]
    assert [problem.place.line for problem in chart.problems] == [2]


def test_a_chart_beyond_measure_is_not_read() -> None:
    chart = read_chart("kits/a.csv", FIRST.ljust(LARGEST_CHART_BYTES + 1))
    assert [problem.code for problem in chart.problems] == ["KB102"]
    assert chart.stitches == ()


@given(st.binary(max_size=80))
def test_whatever_bytes_are_read_or_told(rest: bytes) -> None:
    chart = read_chart("kits/a.csv", FIRST + rest)
    assert all(problem.message and problem.cure for problem in chart.problems)
    assert all("\n" not in str(problem) for problem in chart.problems)
    told = {problem.place.line for problem in chart.problems}
    assert len(told) <= 12
    for number, stitch in enumerate(chart.stitches):
        assert all(hole >= 1 for hole in stitch[:4])
        assert At(chart.source)(number).line not in told


@given(st.text(max_size=40))
def test_only_the_names_of_a_chart_begin_one(first: str) -> None:
    chart = read_chart("kits/a.csv", first.encode("utf-8", "replace") + b"\n1,1,1,4,bark\n")
    same = tuple(cell.strip() for cell in first.split(",")) == HEADER
    assert bool(chart.problems) is not same


def test_colours_are_numbered_as_they_come() -> None:
    chart, colours = chart_of_file(read_chart("kits/a.csv", GOOD + b"2,1,2,4,bark\n"))
    assert colours == ("bark", "moss")
    assert chart.colour == (0, 1, 0)
    assert (chart.x1, chart.y2) == ((1, 1, 2), (4, 9, 4))


def test_written_columns_begin_where_the_outline_does() -> None:
    found = written_stitches(["1-2: 4 bark, 3 moss", "9: 2 bark"], [1, 3])
    assert [stitch for stitch, _ in found] == [
        (1, 1, 1, 5, "bark"),
        (1, 5, 1, 8, "moss"),
        (2, 3, 2, 7, "bark"),
        (2, 7, 2, 10, "moss"),
        (9, 1, 9, 3, "bark"),
    ]
    assert [entry for _, entry in found] == [0, 0, 0, 0, 1]


def test_written_stitches_know_their_entry() -> None:
    source = Source("kits/a.yaml", b"", {}, {("chart", 0): (7, 3), ("chart", 1): (8, 3)})
    chart, colours = chart_of_entries(["1: 4 bark", "2: 2 moss, 2 bark"], [], At(source, ("chart",)))
    assert colours == ("bark", "moss")
    assert chart.at is not None
    assert [chart.at(number).line for number in range(3)] == [7, 8, 8]


@given(st.integers(1, 9999), st.integers(0, 50), st.lists(st.integers(1, 999), min_size=1, max_size=5))
def test_columns_are_read_as_they_are_written(first: int, more: int, bars: list[int]) -> None:
    last = min(9999, first + more)
    parts = ", ".join(f"{count} bark" for count in bars)
    ends = str(first) if first == last else f"{first}-{last}"
    assert read_chart_columns(f"{ends}: {parts}") == (first, last, tuple((count, "bark") for count in bars))


@pytest.mark.parametrize(
    ("form", "text"),
    [
        ("chart-columns", "2-1: 4 bark"),
        ("chart-columns", "0: 4 bark"),
        ("chart-columns", "1: 0 bark"),
        ("chart-columns", "1: 4 Bark"),
        ("chart-columns", "1:"),
        ("chart-columns", "1: 4 bark,"),
        ("csv-name", "a/b.csv"),
        ("csv-name", "..csv"),
        ("csv-name", ".csv"),
        ("csv-name", "a.CSV"),
        ("csv-name", "a.csv\n"),
        ("span", "5-5"),
        ("span", "0-5"),
        ("span", "-5"),
        ("bars", "1 2"),
        ("bars", "9"),
        ("bars", ""),
        ("piece-edge", "side"),
        ("piece-edge", "side  left"),
        ("piece-edge", "Side left"),
    ],
)
def test_other_text_does_not_fit(form: str, text: str) -> None:
    assert not FORMATS[form].fits(text)


def test_spans_bars_and_edges() -> None:
    assert read_span("5-12") == read_span("5 - 12") == (5, 12)
    assert read_span("-") == (0, 0)
    assert read_bars("6 2 8") == (6, 2, 8)
    assert read_piece_edge("side-2 left") == ("side-2", "left")
