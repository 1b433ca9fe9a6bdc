"""What a printed chart says, read from its pixels and compared with the stitches that it should show.

A function takes a picture of the page and the model, and returns what is wrong in words: an empty list is
good. Places on a page are mm from its upper left corner; pictures are (y, x, rgb).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from kitbuild.base.blocks import Ink
from kitbuild.base.colour import Rgb
from kitbuild.documents.window import Window
from kitbuild.pattern.panel import Stitches
from tests.documents.pixels import LUMINANCE, at_spots, contrast, linear, seen_through
from tests.output.reading import POINTS_PER_MM

FACE = Path(__file__).parents[2] / "kitbuild" / "fonts" / "DejaVuSans-subset.ttf"
SYMBOL_HOLES = 0.8 * 0.66
"""The larger side of a symbol's ink, in holes: two thirds of a bar that is four fifths of a hole broad."""
PHASES = 4
"""Where a symbol lies within its pixel is told to a quarter."""
NEAR = 6
"""How far a channel of a pixel may be from its colour's."""
LEAST_LIKENESS = 0.5
"""Hatching takes a third of a thin ring; another symbol is less like than the right one."""
LEAST_PLAIN = 0.6
"""Share of the spots on a bar, its symbol left out, that must have its colour: hatching may cross it."""
LEAST_CONTRAST = 4.5
"""WCAG 2.2, success criterion 1.4.3: text below 18 pt."""


@dataclass(frozen=True, eq=False)
class Shown:
    """A chart on a page: its grid's upper left corner in mm, the holes it shows, and the work they hold."""

    left_mm: float
    top_mm: float
    window: Window
    stitches: Stitches
    inks: tuple[Ink, ...]
    signs: tuple[Rgb, ...]
    """signs: black or white, what each ink's symbol is printed in."""

    def seen_through(self, matrix: np.ndarray) -> Shown:
        """The same chart in the colours that a 3 x 3 matrix over linear light makes of them."""
        rgbs = seen_through(np.array([ink.rgb for ink in self.inks], dtype=np.uint8), matrix).tolist()
        pairs = zip(self.inks, rgbs, strict=True)
        return replace(self, inks=tuple(replace(ink, rgb=tuple(rgb)) for ink, rgb in pairs))


@dataclass(frozen=True, eq=False)
class Visible:
    """The parts of stitches that a chart shows, on the page: ends, middles and colours; one row a stitch.

    `symbol` says which parts are long enough (a bar) to bear one; `at` are their rows in the work.
    """

    ends_mm: np.ndarray
    colour: np.ndarray
    symbol: np.ndarray
    at: np.ndarray

    @property
    def middle_mm(self) -> np.ndarray:
        """(n, 2): x, y."""
        return (self.ends_mm[:, :2] + self.ends_mm[:, 2:]) / 2


def visible(shown: Shown) -> Visible:
    """Stitches of which a column and a row lie in the window, cut off where its grid ends."""
    window, work = shown.window, shown.stitches
    at = {column: place for place, column in enumerate(window.columns.tolist())}
    rows, hole = window.bottom - window.top + 1, window.hole_mm
    found, kept = [], []
    for number, (x1, y1, x2, y2) in enumerate(
        zip(work.x1.tolist(), work.y1.tolist(), work.x2.tolist(), work.y2.tolist(), strict=True)
    ):
        if (x1 not in at and x2 not in at) or y2 < window.top or y1 > window.bottom:
            continue
        first = at[x1] + 0.5 if x1 in at else at[x2] + 0.5 - (x2 - x1)
        ends = [first, y1 - window.top + 0.5, first + x2 - x1, y2 - window.top + 0.5]
        kept.append(number)
        found.append([*np.clip(ends, 0, [len(at), rows, len(at), rows]).tolist()])
    holes = np.array(found).reshape(-1, 4)
    length = np.abs(holes[:, 2:] - holes[:, :2]).sum(axis=1)
    corner = np.array([shown.left_mm, shown.top_mm] * 2)
    return Visible(holes * hole + corner, work.colour[kept], length >= 1, np.array(kept, dtype=np.int64))


def grid_corner(left_mm: float, top_mm: float, window: Window) -> tuple[float, float]:
    """Where the grid begins on a page, from its figure's corner."""
    return left_mm + window.left_mm, top_mm + window.top_mm


def wrong_colours(image: np.ndarray, scale: float, shown: Shown) -> list[str]:
    """Stitches whose bar does not have its palette colour; `scale` is pixels a point."""
    parts = visible(shown)
    palette = np.array([ink.rgb for ink in shown.inks], dtype=int)
    spots, used = _bar_spots(parts, shown.window.hole_mm)
    seen = at_spots(image, scale, spots).astype(int)
    right = np.abs(seen - palette[parts.colour][:, None, :]).max(axis=2) <= NEAR
    counted = used.sum(axis=1)
    share = (right & used).sum(axis=1) / np.maximum(counted, 1)
    return [_told(shown, parts, at, "colour") for at in np.flatnonzero((share < LEAST_PLAIN) & (counted > 0))]


def _bar_spots(parts: Visible, hole: float) -> tuple[np.ndarray, np.ndarray]:
    """Points on each bar (n, k, 2) in mm, and which lie away from its ends and its symbol."""
    along, across = (grid.ravel() for grid in np.meshgrid(np.linspace(0, 1, 25), np.linspace(-0.2, 0.2, 5)))
    start, run = parts.ends_mm[:, :2], parts.ends_mm[:, 2:] - parts.ends_mm[:, :2]
    length = np.maximum(np.hypot(*run.T), 1e-9)
    side = np.column_stack([-run[:, 1], run[:, 0]]) / length[:, None]
    spots = start[:, None] + run[:, None] * along[:, None] + side[:, None] * (across * hole)[:, None]
    ends = np.minimum(along, 1 - along) * length[:, None] >= 0.18 * hole
    off = np.hypot((along - 0.5) * length[:, None], across * hole) >= 0.38 * hole
    return spots, ends & (off | ~parts.symbol[:, None])


def wrong_symbols(image: np.ndarray, scale: float, shown: Shown) -> list[str]:
    """Stitches in whose middle another symbol than their colour's is recognised, or none."""
    parts = visible(shown)
    read, likeness = recognised(image, scale, shown, parts)
    bad = parts.symbol & ((read != parts.colour) | (likeness < LEAST_LIKENESS))
    return [
        f"{_told(shown, parts, at, 'symbol')}: {shown.inks[read[at]].symbol} at {likeness[at]:.2f}"
        for at in np.flatnonzero(bad)
    ]


def recognised(
    image: np.ndarray, scale: float, shown: Shown, parts: Visible
) -> tuple[np.ndarray, np.ndarray]:
    """Which ink's symbol stands in the middle of each stitch, and how like it is (0 to 1)."""
    cover = _cover(image, scale, shown, parts)
    size = SYMBOL_HOLES * shown.window.hole_mm * POINTS_PER_MM * scale
    phases = np.floor(parts.middle_mm * POINTS_PER_MM * scale % 1 * PHASES).astype(int)
    scores = np.zeros((len(shown.inks), len(parts.at)))
    for phase in np.unique(phases, axis=0).tolist():
        mine = np.flatnonzero((phases == phase).all(axis=1))
        dx, dy = ((step + 0.5) / PHASES - 0.5 for step in phase)
        for at, ink in enumerate(shown.inks):
            scores[at, mine] = _likeness(cover[mine], glyph(ink.symbol, size, cover.shape[1], dx, dy))
    return scores.argmax(axis=0), scores.max(axis=0)


def _likeness(cover: np.ndarray, mask: np.ndarray) -> np.ndarray:
    """1 where a patch covers what the mask covers, 0 where they have nothing in common."""
    off = np.abs(cover - mask).sum(axis=(1, 2))
    return 1 - off / (cover.sum(axis=(1, 2)) + mask.sum())


def _cover(image: np.ndarray, scale: float, shown: Shown, parts: Visible) -> np.ndarray:
    """How far each pixel about a middle has gone from the bar's colour to its ink: (n, side, side)."""
    size = SYMBOL_HOLES * shown.window.hole_mm * POINTS_PER_MM * scale
    reach = int(np.ceil(size / 2)) + 1
    centre = parts.middle_mm * POINTS_PER_MM * scale
    steps = np.arange(-reach, reach + 1)
    across = np.clip(np.floor(centre[:, 0]).astype(int)[:, None] + steps, 0, image.shape[1] - 1)
    below = np.clip(np.floor(centre[:, 1]).astype(int)[:, None] + steps, 0, image.shape[0] - 1)
    seen = image[below[:, :, None], across[:, None, :]].astype(float)
    bars = np.array([ink.rgb for ink in shown.inks], dtype=float)
    way = np.array(shown.signs, dtype=float) - bars
    bars, way = bars[parts.colour][:, None, None], way[parts.colour][:, None, None]
    return np.clip(((seen - bars) * way).sum(axis=3) / (way**2).sum(axis=3), 0, 1)


@cache
def glyph(char: str, size: float, side: int, dx: float = 0, dy: float = 0) -> np.ndarray:
    """A symbol's coverage (0 to 1) with the middle of its ink in the middle of `side` pixels, moved a little.

    The larger side of its ink is `size` pixels, a firm line round the type included.
    """
    fine, pen = 8, 0.05 * size
    left, top, right, bottom = _ink_box(char)
    em = min((size - pen) / max(right - left, bottom - top), 1.6 * (size - pen) / 1000) * 1000 * fine
    canvas = Image.new("L", (side * fine, side * fine), 0)
    middle = side * fine / 2
    x = middle + dx * fine - (left + right) / 2 / 1000 * em
    y = middle + dy * fine - (top + bottom) / 2 / 1000 * em
    font, stroke = ImageFont.truetype(str(FACE), em), round(pen / 2 * fine)
    ImageDraw.Draw(canvas).text((x, y), char, font=font, fill=255, anchor="ls", stroke_width=stroke)
    return np.asarray(canvas, dtype=float).reshape(side, fine, side, fine).mean(axis=(1, 3)) / 255


@cache
def _ink_box(char: str) -> tuple[int, int, int, int]:
    """Left, top, right, bottom of a glyph's ink in thousandths of its type size, from its base point."""
    canvas = Image.new("L", (3000, 3000), 0)
    font = ImageFont.truetype(str(FACE), 1000)
    ImageDraw.Draw(canvas).text((1000, 1500), char, font=font, fill=255, anchor="ls")
    left, top, right, bottom = canvas.getbbox() or (1000, 1500, 1001, 1501)
    return left - 1000, top - 1500, right - 1000, bottom - 1500


def unreadable(image: np.ndarray, scale: float, shown: Shown, least: float = LEAST_CONTRAST) -> list[str]:
    """Colours whose symbol is below `least` to 1 on its own bar, as the picture shows them."""
    parts = visible(shown)
    spots, used = _bar_spots(parts, shown.window.hole_mm)
    found = []
    for colour in np.unique(parts.colour[parts.symbol]).tolist():
        mine = np.flatnonzero((parts.colour == colour) & parts.symbol)
        bar = np.median(at_spots(image, scale, spots[mine])[used[mine]], axis=0)
        symbol = _boldest(image, scale, parts.middle_mm[mine], shown.window.hole_mm, bar)
        ratio = contrast(bar, symbol)
        if ratio < least:
            found.append(f"{shown.inks[colour].symbol} on {shown.inks[colour].rgb}: {ratio:.2f} to 1")
    return found


def _boldest(
    image: np.ndarray, scale: float, middles: np.ndarray, hole: float, bar: np.ndarray
) -> np.ndarray:
    """The pixel of symbols that contrasts most with their bar."""
    reach = np.linspace(-SYMBOL_HOLES / 2, SYMBOL_HOLES / 2, 25) * hole
    x, y = (grid.ravel() for grid in np.meshgrid(reach, reach))
    seen = at_spots(image, scale, middles[:, None] + np.column_stack([x, y])).reshape(-1, 3)
    light = linear(np.arange(256))[seen.astype(int)] @ LUMINANCE
    ends = [seen[light.argmin()], seen[light.argmax()]]
    return max(ends, key=lambda pixel: contrast(bar, pixel))


def same_beside(image: np.ndarray, scale: float, shown: Shown, pairs: Sequence[tuple[int, int]]) -> list[str]:
    """Pairs of stitches in different colours in which the same symbol is recognised."""
    parts = visible(shown)
    read, _ = recognised(image, scale, shown, parts)
    symbols = [ink.symbol for ink in shown.inks]
    found = []
    for one, other in pairs:
        if parts.symbol[[one, other]].all() and parts.colour[one] != parts.colour[other]:
            first, second = symbols[read[one]], symbols[read[other]]
            if first == second:
                found.append(f"{_told(shown, parts, one, 'neighbour')} shows {first} too")
    return found


def beside(shown: Shown) -> list[tuple[int, int]]:
    """Pairs of stitches whose bars pass, or meet, at most a hole apart."""
    holes = visible(shown).ends_mm / shown.window.hole_mm
    spots, owners = [], []
    for number, (x1, y1, x2, y2) in enumerate(holes.tolist()):
        steps = max(round(max(abs(x2 - x1), abs(y2 - y1)) * 2), 1)
        for step in range(steps + 1):
            spots.append((x1 + (x2 - x1) * step / steps, y1 + (y2 - y1) * step / steps))
            owners.append(number)
    cells: dict[tuple[int, int], set[int]] = {}
    for (x, y), owner in zip(spots, owners, strict=True):
        cells.setdefault((round(x), round(y)), set()).add(owner)
    pairs = set()
    for (x, y), mine in cells.items():
        near = [cells.get((x + dx, y + dy), set()) for dx, dy in ((0, 0), (1, 0), (0, 1), (1, 1), (1, -1))]
        pairs |= {(min(a, b), max(a, b)) for a in mine for others in near for b in others if a != b}
    return sorted(pairs)


def _told(shown: Shown, parts: Visible, at: int, what: str) -> str:
    work, number = shown.stitches, parts.at[at]
    ends = [int(each[number]) for each in (work.x1, work.y1, work.x2, work.y2)]
    return f"{what} of the stitch {ends}, {shown.inks[parts.colour[at]].symbol}"
