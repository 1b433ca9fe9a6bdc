"""Lengths and money: exact conversions, one way to write each number."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitbuild.base.units import (
    down,
    inches_text,
    length_mm,
    metric_text,
    money_minor,
    money_text,
    round_half_up,
    up,
)
from tests.figures import rows


def test_exact_units() -> None:
    """The international inch, foot and yard: exact by definition."""
    exact = {row["quantity"]: row["exact_SI"] for row in rows("units_exact.csv")}
    assert length_mm("1 in") == float(exact["inch"].split()[0])
    assert length_mm("1 ft") == pytest.approx(float(exact["foot"].split()[0]))
    assert length_mm("1 yd") == pytest.approx(1000 * float(exact["yard"].split()[0]))
    assert length_mm("100 yd") == pytest.approx(1000 * float(exact["100 yd"].split()[0]))
    assert 10_000 / length_mm("1 yd") == pytest.approx(10.936133, abs=5e-7)


@pytest.mark.parametrize("row", rows("inch_mm.csv"), ids=lambda row: row["inch"])
def test_inches(row: dict[str, str]) -> None:
    """Derived from the exact inch."""
    exact = float(row["mm_exact"])
    assert length_mm(f"{row['inch']} in") == pytest.approx(exact)
    assert int(round_half_up(exact)) == int(row["mm_rounded"])
    assert float(round_half_up(exact / 10, 1)) == float(row["cm_1dp"])
    assert exact / 25.4 * 16 == pytest.approx(float(row["sixteenths"]))


@pytest.mark.parametrize(
    ("written", "mm"),
    [
        ("38 mm", 38),
        ("1 1/2 in", 38.1),
        ("2.5 ft", 762),
        ("8 m", 8000),
        ("1/16 in", 1.5875),
        ("7 1/4 in", 184.15),
    ],
)
def test_lengths_as_people_write_them(written: str, mm: float) -> None:
    assert length_mm(written) == pytest.approx(mm)


@pytest.mark.parametrize(
    "written", ["38", "38 mn", "mm", "1/0 in", "-3 mm", "3,5 cm", "1e3 mm", "", "12 holes"]
)
def test_what_is_no_length(written: str) -> None:
    with pytest.raises(ValueError, match="not a"):
        length_mm(written)


@given(st.floats(0.01, 5000))
def test_no_length_is_told_with_a_gap(mm: float) -> None:
    for text in (metric_text(mm), inches_text(mm)):
        assert "None" not in text
        assert not text.startswith((" ", "."))


def test_money_has_the_digits_of_its_currency() -> None:
    """ISO 4217 digits, recalled: checked for shape, not as gold."""
    assert money_minor("12.50", "EUR") == 1250
    assert money_minor("1250", "JPY") == 1250
    assert money_minor("1.250", "KWD") == 1250
    assert money_text(1250, "EUR") == "12.50 EUR"
    assert money_text(1250, "JPY") == "1250 JPY"
    with pytest.raises(ValueError, match="digits"):
        money_minor("12.505", "EUR")


def test_whole_things_forgive_a_hair() -> None:
    assert up(3.0000000001) == 3
    assert down(2.9999999999) == 3
    assert up(3.01) == 4
