"""Figures of the trade and of the law with their sources and labels; none of the trade is from memory."""

from __future__ import annotations

import csv
from pathlib import Path

HERE = Path(__file__).parent


def rows(name: str) -> list[dict[str, str]]:
    """The rows of a file of figures; its first line says where they are from."""
    with (HERE / name).open(encoding="utf-8", newline="") as file:
        assert next(file).startswith("# ")
        return list(csv.DictReader(file))


def figure(id: str) -> tuple[float, float]:
    """Lowest and highest value of one figure of the trade."""
    row = next(row for row in rows("trade.csv") if row["id"] == id)
    assert row["label"] in ("published", "derived", "common_practice")
    assert row["source"]
    return float(row["value_low"]), float(row["value_high"])
