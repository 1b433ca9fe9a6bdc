"""Pictures of pages as light: colours at places, contrast, other ways of seeing, ink where none may be.

Pictures are (y, x, rgb); places on a page are mm from its upper left corner.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from kitbuild.base.document import Sheet
from tests.output.reading import POINTS_PER_MM

LUMINANCE = np.array([0.2126, 0.7152, 0.0722])
"""IEC 61966-2-1: what each linear channel of sRGB adds to the luminance."""


def at_spots(image: np.ndarray, scale: float, spots_mm: np.ndarray) -> np.ndarray:
    """The colours of a picture at places of a page."""
    pixels = np.floor(spots_mm * POINTS_PER_MM * scale).astype(int)
    high, wide = image.shape[:2]
    return image[np.clip(pixels[..., 1], 0, high - 1), np.clip(pixels[..., 0], 0, wide - 1)]


def contrast(one: np.ndarray, other: np.ndarray) -> float:
    """Contrast ratio of two sRGB colours (WCAG 2.2)."""
    low, high = sorted(float(linear(each) @ LUMINANCE) for each in (one, other))
    return (high + 0.05) / (low + 0.05)


def linear(image: np.ndarray) -> np.ndarray:
    """sRGB of 0 to 255 as linear light of 0 to 1 (IEC 61966-2-1)."""
    share = np.asarray(image, dtype=float) / 255
    return np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)


def seen_through(image: np.ndarray, matrix: np.ndarray) -> np.ndarray:
    """A picture as a 3 x 3 matrix over linear light shows it, clipped to the gamut."""
    packed = image @ np.array([1 << 16, 1 << 8, 1])
    used = np.zeros(1 << 24, dtype=bool)
    used[packed] = True
    colours = np.flatnonzero(used)
    light = np.clip(
        linear(np.stack([colours >> 16, colours >> 8 & 255, colours & 255], axis=1)) @ matrix.T, 0, 1
    )
    share = np.where(light <= 0.0031308, light * 12.92, 1.055 * light ** (1 / 2.4) - 0.055)
    table = np.zeros((1 << 24, 3), dtype=np.uint8)
    table[colours] = np.rint(share * 255)
    return table[packed]


def outside(image: np.ndarray, scale: float, sheet: Sheet, slack_mm: float = 0.3) -> list[str]:
    """The edges of a page whose printer-safe margin holds ink."""
    edge = int((sheet.margin_mm - slack_mm) * POINTS_PER_MM * scale)
    edges = {"left": image[:, :edge], "right": image[:, -edge:], "top": image[:edge], "bottom": image[-edge:]}
    return [name for name, strip in edges.items() if (strip < 235).any()]


def overlapping(boxes: Sequence[tuple[float, float, float, float]], slack_pt: float = 0.5) -> list[str]:
    """Pairs of text boxes (left, bottom, right, top in points) that share more than a hair of paper."""
    if not len(boxes):
        return []
    left, bottom, right, top = np.array(boxes).T
    wide = np.minimum(right[:, None], right) - np.maximum(left[:, None], left)
    high = np.minimum(top[:, None], top) - np.maximum(bottom[:, None], bottom)
    pairs = np.argwhere(np.triu((wide > slack_pt) & (high > slack_pt), 1))
    return [f"{boxes[one]} and {boxes[other]}" for one, other in pairs.tolist()]
