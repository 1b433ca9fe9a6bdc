"""Colour as sRGB triples of 0 to 255, and the ink that can be read on it."""

from __future__ import annotations

import re
from collections.abc import Sequence

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


def grey(rgb: Rgb) -> Rgb:
    """The grey that is as light as `rgb`."""
    return _neutral(luminance(rgb))


def greys(colours: Sequence[Rgb]) -> tuple[Rgb, ...]:
    """A grey for each colour, as far apart as they can be, in the order of their luminance.

    Those between lightness 40 and 66 (CIE 1976) are left out: symbols are read worst on them.
    """
    order = sorted(range(len(colours)), key=lambda at: (luminance(colours[at]), at))
    room = (_DARK[1] - _DARK[0]) + (_LIGHT[1] - _LIGHT[0])
    found: dict[int, Rgb] = {}
    for rank, at in enumerate(order):
        light = _DARK[0] + (room * rank / (len(order) - 1) if len(order) > 1 else room)
        light += _LIGHT[0] - _DARK[1] if light > _DARK[1] else 0.0
        found[at] = _neutral(((light + 16) / 116) ** 3)
    return tuple(found[at] for at in range(len(colours)))


_DARK, _LIGHT = (22.0, 40.0), (66.0, 97.0)


def _neutral(light: float) -> Rgb:
    """The grey of a relative luminance (IEC 61966-2-1)."""
    share = light * 12.92 if light <= 0.0031308 else 1.055 * light ** (1 / 2.4) - 0.055
    level = round(255 * share)
    return (level, level, level)


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
