"""Numbers of bar codes and accepted warnings: what passes, what is told, and what the record holds."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from stdnum.ean import calc_check_digit

from kitbuild.spec.sale_rules import RESTRICTED
from tests.figures import rows
from tests.spec.ranges import KITS, case_kit, kit_text, read_with

PUBLISHED = [row for row in rows("gtin_check_digit.csv") if row["label"] == "published"]
RESTRICTED_ROWS = [row for row in rows("gtin_check_digit.csv") if row["kind"] == "RCN-13"]


def told(folder: Path, gtin: str) -> list[str]:
    problems = read_with(folder, "case.yaml", kit_text(more=f'gtin: "{gtin}"').encode())[1]
    return [f"{problem.code}{'w' if problem.warning else ''}" for problem in problems]


@pytest.mark.parametrize("row", PUBLISHED, ids=lambda row: row["full"])
def test_published_numbers_pass(row: dict[str, str], tmp_path: Path) -> None:
    assert calc_check_digit(row["body"]) == row["check"]
    assert case_kit(tmp_path, kit_text(more=f'gtin: "{row["full"]}"')).gtin == row["full"]


@pytest.mark.parametrize("row", rows("gtin_invalid.csv"), ids=lambda row: row["number"])
def test_errors_that_the_digit_catches_are_told(row: dict[str, str], tmp_path: Path) -> None:
    assert ("KB324" in told(tmp_path, row["number"])) is (row["detected"] == "1")


@pytest.mark.parametrize("row", RESTRICTED_ROWS, ids=lambda row: row["full"])
def test_numbers_for_use_within_a_shop_or_region(row: dict[str, str], tmp_path: Path) -> None:
    """04 is published and stops; the others are known from memory and warn; 00 is in no table."""
    prefix = row["full"][:2]
    expected = {"04": ["KB325"], "00": []}.get(prefix, ["KB325w"])
    assert told(tmp_path, row["full"]) == expected


@pytest.mark.parametrize(
    ("gtin", "code"),
    [
        ("400000000015", "KB325"),
        ("200000000011", "KB325w"),
        ("036000291452", ""),
        ("10400000000012", "KB325"),
    ],
)
def test_shorter_and_longer_numbers_are_those_of_thirteen(gtin: str, code: str, tmp_path: Path) -> None:
    right = gtin[:-1] + calc_check_digit(gtin[:-1])
    assert told(tmp_path, right) == ([code] if code else [])


def test_only_what_was_read_stops_a_build() -> None:
    assert [prefix for prefix, (_, published) in RESTRICTED.items() if published] == ["04"]
    assert len(RESTRICTED) == 12


@given(st.text("0123456789", min_size=7, max_size=13).filter(lambda text: len(text) in (7, 11, 12, 13)))
def test_the_check_digit_weighs_three_and_one_from_the_right(body: str) -> None:
    """GS1 General Specifications, section 7.9, worked out by hand here."""
    total = sum(int(digit) * (3, 1)[index % 2] for index, digit in enumerate(reversed(body)))
    assert int(calc_check_digit(body)) == -total % 10


def test_the_number_stays_text_without_quotes_too(tmp_path: Path) -> None:
    assert case_kit(tmp_path, kit_text(more="gtin: 00012345678905")).gtin == "00012345678905"
    assert case_kit(tmp_path / "none", kit_text()).gtin == ""


def test_acceptances_come_with_their_reasons_and_places(tmp_path: Path) -> None:
    kit = case_kit(tmp_path, kit_text(more="accept: {KB506: hidden by the handle}"))
    assert dict(kit.accepted) == {"KB506": "hidden by the handle"}
    assert str(kit.accepted_at("KB506")) == "kits/case.yaml:27:10"


def test_a_colourway_accepts_for_itself(tmp_path: Path) -> None:
    text = (KITS / "tinband.yaml").read_text(encoding="utf-8")
    text = text.replace("  FERN:\n", "  FERN:\n    accept: {KB402: as on the moor}\n")
    found, problems = read_with(tmp_path, "tinband.yaml", f"{text}accept: {{KB506: hidden}}\n".encode())
    assert problems == ()
    assert found is not None
    accepted = {kit.code: dict(kit.accepted) for kit in found.kits if kit.code in ("FERN", "EMBER")}
    assert accepted == {"EMBER": {"KB506": "hidden"}, "FERN": {"KB506": "hidden", "KB402": "as on the moor"}}
    fern = next(kit for kit in found.kits if kit.code == "FERN")
    assert fern.accepted_at("KB402").line == 29
    assert fern.accepted_at("KB506").line == text.count("\n") + 1
