"""Colour against published figures."""

from __future__ import annotations

import pytest

from kitbuild.base.colour import contrast, ink_on, luminance, parse_rgb
from kitbuild.base.likeness import SIGHTS, ciede2000, difference, seen
from tests.figures import rows


@pytest.mark.parametrize("row", rows("ciede2000.csv"), ids=lambda row: row["pair"])
def test_difference_of_the_published_pairs(row: dict[str, str]) -> None:
    """Sharma, Wu and Dalal (2005), table 1: published, to four decimals."""
    from coloraide import Color

    one, other = (Color("lab-d65", [float(row[f"{axis}{at}"]) for axis in "Lab"]) for at in (1, 2))
    assert ciede2000(one, other) == pytest.approx(float(row["dE00"]), abs=5e-5)
    assert ciede2000(other, one) == pytest.approx(float(row["dE00"]), abs=5e-5)


def _linear(channel: float) -> float:
    return channel / 12.92 if channel <= 0.04045 else ((channel + 0.055) / 1.055) ** 2.4


def _encoded(channel: float) -> float:
    return 12.92 * channel if channel <= 0.0031308 else 1.055 * channel ** (1 / 2.4) - 0.055


@pytest.mark.parametrize(
    "rgb", [(200, 60, 30), (30, 160, 90), (40, 70, 200), (120, 118, 60), (250, 240, 200)]
)
@pytest.mark.parametrize("sight", SIGHTS)
def test_colours_as_other_eyes_see_them(rgb: tuple[int, int, int], sight: str) -> None:
    """Machado, Oliveira and Fernandes (2009) at severity 1, on linear light by hand: published."""
    row = next(
        row for row in rows("colour_vision.csv") if (row["type"], float(row["severity"])) == (sight, 1)
    )
    light = [_linear(channel / 255) for channel in rgb]
    mixed = [sum(float(row[f"m{y}{x + 1}"]) * light[x] for x in range(3)) for y in (1, 2, 3)]
    expected = [255 * _encoded(min(max(channel, 0), 1)) for channel in mixed]
    assert seen(rgb, sight) == pytest.approx(expected, abs=1)  # type: ignore[arg-type]


def test_red_and_green_come_closer_to_eyes_without_green() -> None:
    assert difference((200, 60, 30), (110, 120, 30), "deutan") < difference((200, 60, 30), (110, 120, 30))


@pytest.mark.parametrize("row", rows("contrast.csv"), ids=lambda row: row["fg"] + row["bg"])
def test_contrast_by_the_published_formula(row: dict[str, str]) -> None:
    """WCAG 2.2: formula published, values derived."""
    one, other = parse_rgb(row["fg"]), parse_rgb(row["bg"])
    assert luminance(one) == pytest.approx(float(row["L_fg"]), abs=5e-7)
    assert contrast(one, other) == pytest.approx(float(row["ratio"]), abs=5e-5)


def test_the_ink_always_reads() -> None:
    """The better of black and white always reaches 4.58:1 (derived)."""
    levels = range(0, 256, 15)
    worst = min(contrast((r, g, b), ink_on((r, g, b))) for r in levels for g in levels for b in levels)
    assert worst >= 4.58
