"""The facts for a shop are the kit's own: every figure is one of the open data, in every language."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kitbuild.base.blocks import Table
from kitbuild.build import make
from tests.documents.demo import CODES, kits, made


def rows(code: str, name: str) -> list[dict[str, str]]:
    listing = next(each for each in made(code).listings if each.name == name)
    values = [[str(value) for value in column.values] for column in listing.columns]
    names = [column.name for column in listing.columns]
    return [dict(zip(names, row, strict=True)) for row in zip(*values, strict=True)]


def facts(code: str, language: str) -> dict[str, str]:
    found: dict[str, list[str]] = {}
    for row in rows(code, "shop-facts.csv"):
        if row["language"] == language:
            found.setdefault(row["field"], []).append(row["text"])
    return {field: "\n".join(entries) for field, entries in found.items()}


@pytest.mark.parametrize("code", CODES)
def test_the_sums_are_those_of_the_open_data(code: str) -> None:
    told, kit = facts(code, "en"), {row["fact"]: row["value"] for row in rows(code, "kit.csv")}
    cost = {row["what"]: row["amount"] for row in rows(code, "cost.csv")}
    assert told["price"] == f"{cost['price']} EUR"
    assert told["cost"] == f"{cost['total']} EUR"
    net = round(float(cost["price"]) - float(cost.get("tax", 0)), 2)
    assert told["net"] == f"{net:.2f} EUR"
    assert told["code"] == f"{code}, edition {kit['edition']}"
    weight = kit.get("packed_weight_g", "")
    assert bool(weight) == ("weight" in told)
    if weight:
        assert float(told["weight"].removesuffix("\u00a0g")) == pytest.approx(float(weight), abs=0.051)
    packed = rows(code, "pick-list.csv")
    assert len(told["contents"].splitlines()) == len(packed)
    assert len(told["sizes"].splitlines()) == len(rows(code, "pieces.csv"))


@pytest.mark.parametrize("code", CODES)
def test_every_language_has_the_same_fields(code: str) -> None:
    fields = {language: list(facts(code, language)) for language in ("en", "fr", "de")}
    assert fields["en"] == fields["fr"] == fields["de"]
    assert {"name", "sizes", "contents", "hours", "age", "fibre", "cautions", "maker"} <= set(fields["en"])


def test_number_and_origin_are_told_where_they_are_said() -> None:
    kit = kits()["FERN"]
    labels = replace(kit.house.labels, origin="Packed in Quillmere")
    kit = replace(kit, gtin="4006381333931", house=replace(kit.house, labels=labels))
    (page,) = (each for each in make(kit).screens if each.name == "shop-facts")
    told = dict(row for block in page.blocks if isinstance(block, Table) for row in block.rows)
    assert (told["GTIN"], told["Origin"]) == ("4006381333931", "Packed in Quillmere")


def test_the_signal_words_stand_as_the_language_sets_its_points() -> None:
    assert facts("HEATH", "en")["cautions"].startswith("WARNING: This")
    assert facts("HEATH", "fr")["cautions"].startswith("AVERTISSEMENT\u00a0: Ce")
    assert facts("HEATH", "de")["box"].startswith("Flache Schachtel, ")


def test_what_was_not_said_has_no_field() -> None:
    assert facts("WHIN", "en")["tariff_code"] == "6308.00"
    assert "tariff_code" not in facts("FERN", "en")
    assert facts("HEATH", "en")["credit"].startswith("Design: ")
