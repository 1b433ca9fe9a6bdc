"""Numbers, lengths, dates and counts as each language writes them.

Expected forms follow the Unicode CLDR (number, date and plural rules of en-GB, fr, de, pl); the texts were
written by hand, not taken from the library.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitbuild.documents.speech import Speech
from kitbuild.documents.wording import languages, read

EN, FR, DE = (
    Speech(language, read(language) if language in languages() else {}) for language in ("en", "fr", "de")
)
NARROW = "\u202f"


@pytest.mark.parametrize(
    ("mm", "said"),
    [
        (15.24, "15.2 mm (5/8 in)"),
        (50.8, "51 mm (2 in)"),
        (99.96, "100 mm (3 15/16 in)"),
        (762, "76.2 cm (30 in)"),
        (2000, "2 m (78 3/4 in)"),
    ],
)
def test_lengths_for_people(mm: float, said: str) -> None:
    assert EN.length(mm) == said


def test_lengths_by_eye() -> None:
    assert EN.about(50.8) == "5 cm (2 in)"
    assert EN.about(101.6) == "10 cm (4 in)"
    assert EN.about(25) == "2.5 cm (1 in)"
    assert EN.about(6) == "6 mm (1/4 in)"


def test_decimals_and_thousands_by_language() -> None:
    assert [each.digits(1234.5) for each in (EN, DE)] == ["1,234.5", "1.234,5"]
    assert FR.digits(1234.5).replace("\xa0", NARROW) == f"1{NARROW}234,5"
    assert [each.digits(2.0, 2) for each in (EN, FR, DE)] == ["2.00", "2,00", "2,00"]
    assert [each.digits(0.125, 2) for each in (EN, FR, DE)] == ["0.13", "0,13", "0,13"], "halves go up"
    assert DE.metric(762) == "76,2 cm"


def test_dates_by_language() -> None:
    assert EN.day("2026-10-01") == "1 October 2026"
    assert FR.day("2026-10-01") == "1er octobre 2026"
    assert FR.day("2026-10-11") == "11 octobre 2026"
    assert DE.day("2026-10-01") == "1. Oktober 2026"


def test_french_counts_nothing_in_the_singular() -> None:
    assert [EN.count(n, "hole", "holes") for n in (0, 1, 2)] == ["0 holes", "1 hole", "2 holes"]
    assert [FR.count(n, "trou", "trous") for n in (0, 1, 2)] == ["0 trou", "1 trou", "2 trous"]
    assert [DE.count(n, "Loch", "Löcher") for n in (0, 1, 2)] == ["0 Löcher", "1 Loch", "2 Löcher"]


def test_languages_with_more_forms_name_them() -> None:
    polish = Speech("pl", {})
    said = [polish.count(n, "rząd", "rzędu", few="rzędy", many="rzędów") for n in (1, 3, 5, 22)]
    assert said == ["1 rząd", "3 rzędy", "5 rzędów", "22 rzędy"]


def test_an_unknown_language_is_written_as_english_is() -> None:
    assert Speech("qaa", {}).digits(1234.5) == "1,234.5"


def test_money_has_the_digits_of_its_currency() -> None:
    assert (EN.money(1250, "EUR"), EN.money(1250, "JPY"), DE.money(1250, "EUR")) == (
        "12.50 EUR",
        "1,250 JPY",
        "12,50 EUR",
    )


@given(st.floats(0.01, 5000))
def test_no_length_is_told_with_a_gap(mm: float) -> None:
    for text in (EN.metric(mm), EN.inches(mm), EN.about(mm), DE.length(mm)):
        assert "None" not in text
        assert not text.startswith((" ", ".", ","))
