"""Every document of the demo range, complete, against the dump that is kept of it."""

from __future__ import annotations

import difflib

import pytest

from tests.documents.dump import dump
from tests.documents.golden import FOLDER, NAMES, kept, path_of


@pytest.mark.parametrize("name", sorted(NAMES))
def test_document_is_as_kept(name: str) -> None:
    path, text = path_of(name), dump(kept()[name])
    expected = path.read_text(encoding="utf-8") if path.exists() else ""
    if text != expected:
        lines = (part.splitlines() for part in (expected, text))
        shown = "\n".join(difflib.unified_diff(*lines, f"kept {name}", f"made {name}", lineterm="", n=1))
        pytest.fail(f"{shown}\nif this is meant: python -m tests.documents.renew", pytrace=False)


def test_every_document_is_kept_and_nothing_else() -> None:
    assert sorted(kept()) == sorted(NAMES)
    assert sorted(
        path.relative_to(FOLDER).with_suffix("").as_posix() for path in FOLDER.glob("*/*.txt")
    ) == sorted(NAMES)
