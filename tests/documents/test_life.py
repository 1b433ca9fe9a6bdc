"""Papers of classes, spares, bundles, prints and replacements, complete, against the dumps kept of them."""

from __future__ import annotations

import difflib

import pytest

from tests.documents.life import FOLDER, texts


def test_each_paper_is_as_kept() -> None:
    told = []
    for name, text in texts().items():
        path = FOLDER / name
        expected = path.read_text(encoding="utf-8") if path.exists() else ""
        lines = (part.splitlines() for part in (expected, text))
        told += difflib.unified_diff(*lines, f"kept {name}", f"made {name}", lineterm="", n=1)
    if told:
        pytest.fail("\n".join([*told, "if this is meant: python -m tests.documents.renew"]), pytrace=False)


def test_nothing_else_is_kept() -> None:
    assert {path.name for path in FOLDER.glob("*.txt")} == set(texts())
