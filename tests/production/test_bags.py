"""Film bags: every row of the tables of openings and of type, and the limits to the last digit."""

from __future__ import annotations

from fractions import Fraction

import pytest

from kitbuild.production.bags import (
    asks_california,
    asks_rhode_island,
    is_reported_elsewhere,
    opening_mm,
    type_points,
)
from kitbuild.production.statutes import BAG_RHODE_ISLAND
from tests.figures import rows
from tests.production.boxes import film, ids, note_of, plain, with_extra

TRIGGERS, TYPE = rows("bag_triggers.csv"), rows("bag_type_size_ri.csv")


@pytest.mark.parametrize(
    "row", TRIGGERS, ids=lambda row: f"{row['opening_diameter_in']}-{row['thickness_in']}"
)
def test_openings_and_films(row: dict[str, str]) -> None:
    due = row["ri_warning_required"] == "1"
    bag = film(row["opening_diameter_in"], row["thickness_in"])
    assert asks_rhode_island(bag) is due
    assert ("bag_us" in ids(with_extra("plastic", bag=bag))) is due


@pytest.mark.parametrize(
    "row", TRIGGERS, ids=lambda row: f"{row['opening_diameter_in']}-{row['thickness_in']}"
)
def test_flat_widths(row: dict[str, str]) -> None:
    """The flat width is half of the way round; that of 5 in is rounded up in the table, and so is over it."""
    bag = film(row["flat_width_in"], row["thickness_in"], flat=True)
    diameter = float(row["opening_diameter_in"])
    assert float(opening_mm(bag)) / 25.4 == pytest.approx(diameter, abs=0.0005)
    thin = float(row["thickness_in"]) < 0.001
    due = thin if diameter == 5 else row["ri_warning_required"] == "1"
    assert asks_rhode_island(bag) is due


def test_limits_are_exact() -> None:
    """A hair over 5 in and under 0.001 in counts, and the limits themselves do not."""
    hair = Fraction(1, 10**20)
    assert not asks_rhode_island(film("5", "0.0005"))
    assert not asks_rhode_island(film("6", "0.001"))
    over, under = film(str(5 + hair), "0.0005"), film("6", str(Fraction(1, 1000) - hair))
    assert asks_rhode_island(over)
    assert asks_rhode_island(under)


@pytest.mark.parametrize(
    ("width", "due"),
    [
        ("7.8539816339744830961566084581987572104929", False),
        ("7.8539816339744830961566084581987572104930", True),
    ],
)
def test_a_flat_width_at_the_limit(width: str, due: bool) -> None:
    """Five halves of pi, to as many digits as can be written."""
    assert asks_rhode_island(film(width, "0.0005", flat=True)) is due


@pytest.mark.parametrize("row", TYPE, ids=lambda row: row["length_plus_width_in"])
def test_the_size_of_type(row: dict[str, str]) -> None:
    bag = film("6", "0.0005", row["length_plus_width_in"])
    assert type_points(bag) == int(row["min_point"])
    assert note_of(with_extra("plastic", bag=bag), "bag_us").points == int(row["min_point"])


def test_the_largest_bag_sets_the_type() -> None:
    small, large = (with_extra("plastic", bag=film("6", "0.0005", size)) for size in ("20", "45"))
    both = plain(extras=(*small.extras, *large.extras))
    assert note_of(both, "bag_us").points == 18


def test_type_is_not_set_by_a_bag_that_asks_for_none() -> None:
    thin, thick = (
        with_extra("plastic", bag=film("6", *film_)) for film_ in (("0.0005", "20"), ("0.002", "90"))
    )
    assert note_of(plain(extras=(*thin.extras, *thick.extras)), "bag_us").points == 10


@pytest.mark.parametrize(
    ("opening", "thickness", "due"),
    [
        ("3.99", "0.0005", False),
        ("4", "0.0005", True),
        ("4.5", "0.0005", True),
        ("4.5", "0.001", False),
        ("12", "0.0009", True),
        ("12", "0.0015", False),
    ],
)
def test_thin_film_that_goes_over_a_head(opening: str, thickness: str, due: bool) -> None:
    """No note for a bag that is too small for any head, nor for thick film."""
    bag = film(opening, thickness)
    assert asks_california(bag) is due
    assert ("bag_ca" in ids(with_extra("plastic", bag=bag))) is due


def test_other_states_are_reported_from_seven_inches() -> None:
    assert [is_reported_elsewhere(film(*bag)) for bag in (("6.9", "0.0005"), ("7", "0.0005"))] == [
        False,
        True,
    ]
    assert not is_reported_elsewhere(film("8", "0.001"))


def test_the_words_are_those_of_the_statute() -> None:
    row = next(row for row in rows("cautions.csv") if row["id"] == "bag_us")
    assert row["statutory_wording"] == BAG_RHODE_ISLAND.words
    note = note_of(with_extra("plastic", bag=film("6", "0.0005")), "bag_us")
    assert note.statutory == row["statutory_wording"]
    assert not note.checked


def test_a_bag_without_film_to_mind_needs_no_note() -> None:
    assert ids(with_extra("plastic", bag=film("9", "0.002"))) == ids(with_extra("plastic"))
