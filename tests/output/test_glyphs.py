"""The coverage that base knows is what the fonts really hold."""

from __future__ import annotations

from pathlib import Path

import pytest
from fontTools.ttLib import TTFont

from kitbuild.base.glyphs import SYMBOLS, covered, missing

FONTS = Path(__file__).parents[2] / "kitbuild" / "fonts"


@pytest.mark.parametrize("face", ["DejaVuSans", "DejaVuSans-Bold"])
def test_coverage_is_the_cmap_of_each_face(face: str) -> None:
    points = set(TTFont(FONTS / f"{face}-subset.ttf").getBestCmap())
    assert covered() - {"\n"} == set(map(chr, points))


def test_missing_names_each_character_once_in_order() -> None:
    assert missing("漢a字漢\n b\t") == "漢字\t"
    assert missing("Größe 3,5 × 7⅛ → „Ζωή“ Лес č ☐ ✓ 12 €") == ""
    assert missing("\u202e\u00ad\u200b") == "\u202e\u00ad\u200b"


def test_symbols_are_covered_and_differ() -> None:
    assert not missing("".join(SYMBOLS.values()))
    assert len(set(SYMBOLS.values())) == len(SYMBOLS) >= 16
    assert all(len(char) == 1 for char in SYMBOLS.values())


def test_licence_lies_beside_the_fonts() -> None:
    text = (FONTS / "LICENSE-DejaVu.txt").read_text(encoding="ascii")
    assert "Bitstream Vera Fonts Copyright" in text
    assert "Permission is hereby granted" in text
