"""Colour as sRGB triples of 0 to 255, and the ink that can be read on it."""

from __future__ import annotations

import re

Rgb = tuple[int, int, int]

BLACK: Rgb = (0, 0, 0)
WHITE: Rgb = (255, 255, 255)


def parse_rgb(text: str) -> Rgb:
    """`#rrggbb` as a triple; ValueError for anything else."""
    if not re.fullmatch(r"#[0-9A-Fa-f]{6}", text):
        raise ValueError(f"not a colour: {text!r}")
    return (int(text[1:3], 16), int(text[3:5], 16), int(text[5:7], 16))


def luminance(rgb: Rgb) -> float:
    """Relative luminance, 0 to 1 (WCAG 2.2, threshold 0.04045)."""
    linear = [_linear(channel / 255) for channel in rgb]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def _linear(channel: float) -> float:
    return channel / 12.92 if channel <= 0.04045 else ((channel + 0.055) / 1.055) ** 2.4


def contrast(one: Rgb, other: Rgb) -> float:
    """Contrast ratio, 1 to 21 (WCAG 2.2)."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def ink_on(rgb: Rgb) -> Rgb:
    """Black or white, whichever reads better on `rgb`; the better one always reaches 4.58:1."""
    return BLACK if contrast(BLACK, rgb) >= contrast(WHITE, rgb) else WHITE


def mix(one: Rgb, other: Rgb, share: float) -> Rgb:
    """`one` with `share` (0 to 1) of `other` stirred in."""
    red, green, blue = (round(a + (b - a) * share) for a, b in zip(one, other, strict=True))
    return (red, green, blue)


def outline_of(rgb: Rgb) -> Rgb:
    """A line that shows the edge of `rgb` on white and on its own kind: darker, or lighter on the dark."""
    return mix(rgb, WHITE, 0.4) if luminance(rgb) < 0.06 else mix(rgb, BLACK, 0.45)
