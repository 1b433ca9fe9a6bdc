"""Text forms: lengths as people write them, dates of the calendar, shares, sheets and groups."""

from __future__ import annotations

import pytest

from kitbuild.spec.formats import (
    FORMATS,
    read_drift,
    read_group,
    read_length,
    read_run,
    read_share,
    read_sheet,
)


@pytest.mark.parametrize(
    ("text", "mm"),
    [  # derived: the inch is 25.4 mm and the yard 0.9144 m, exactly
        ("7 1/4 in", 184.15),
        ("1 yd", 914.4),
        ("1 1/2 in", 38.1),
        ("2.5 ft", 762.0),
        ("38 mm", 38.0),
        ("38mm", 38.0),
        ("8 m", 8000.0),
        ("76 cm", 760.0),
        ("1/8 in", 3.175),
        ("0 mm", 0.0),
        (".5 in", 12.7),
    ],
)
def test_lengths_are_exact(text: str, mm: float) -> None:
    assert read_length(text) == mm


@pytest.mark.parametrize(
    "text",
    [
        "",
        "38",
        "mm",
        "-3 mm",
        "1e3 mm",
        "38 km",
        "3 mm mm",
        "1/0 in",
        "٣ mm",
        "1 001 km",
        "2000 m",
        "9" * 5000 + " mm",
    ],
)
def test_other_text_is_no_length(text: str) -> None:
    assert not FORMATS["length"].fits(text)


@pytest.mark.parametrize(
    ("text", "good"),
    [
        ("2026-10-01", True),
        ("2024-02-29", True),
        ("2026-02-29", False),
        ("2026-13-01", False),
        ("20261001", False),
        ("2026-W40-4", False),
        ("2026-1-1", False),
        ("2026-10-01T00:00", False),
        (" 2026-10-01", False),
        ("２０２６-10-01", False),
    ],
)
def test_dates_are_of_the_calendar(text: str, good: bool) -> None:
    assert FORMATS["date"].fits(text) is good


def test_other_forms() -> None:
    assert read_share("10 %") == 0.1
    assert read_share("12.5%") == 0.125
    assert read_sheet("70 x 90 holes") == (70, 90)
    assert read_run("6x1") == read_run("6 × 1") == (6, 1)
    assert read_group("2") == (2, None)
    assert read_group("2 down 4") == (2, 4)
    assert read_group("1 up 3") == (1, -3)
    assert read_drift("up 2") == -2


@pytest.mark.parametrize(
    ("form", "text"),
    [
        ("share", "101 %"),
        ("share", "10"),
        ("sheet", "0 x 9 holes"),
        ("run", "1x0"),
        ("group", "0"),
        ("rgb", "#12"),
    ],
)
def test_what_does_not_fit(form: str, text: str) -> None:
    assert not FORMATS[form].fits(text)


def test_every_example_fits_its_form() -> None:
    for form in FORMATS.values():
        assert form.fits(form.example.strip('"'))
