"""The best pattern for given worths of the blanks: an exact knapsack over everything that hands can cut.

A pattern is made of *strips* that run down the whole sheet, a strip of *bands* that run across it, a band of
blanks side by side that are all as high as it: three stages, trimming counted. With two stages a band is one
blank as wide as its strip. Patterns whose first cuts run across are found on the sheet turned over its
diagonal. Every size here holds its kerf: a blank of w holes is w + kerf, a sheet of W holes W + kerf.

Worths are whole numbers, so that the best worth is exact and can prove a bound.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Shape:
    """One way in which the blanks of a size may lie: `size` counts the job's different sizes from 0."""

    size: int
    wide: int
    high: int
    turned: bool
    most: int


@dataclass(frozen=True, slots=True)
class Band:
    """Blanks side by side, all as high as the band: (shape, how many)."""

    high: int
    shapes: tuple[tuple[Shape, int], ...]


@dataclass(frozen=True, slots=True)
class Strip:
    """Bands one below the other."""

    wide: int
    bands: tuple[Band, ...]


@dataclass(frozen=True, slots=True)
class Pattern:
    """Strips side by side; `flipped` is a pattern of the sheet turned over its diagonal."""

    flipped: bool
    strips: tuple[Strip, ...]

    def yields(self, sizes: int) -> Ints:
        """How many blanks of each size come out of it."""
        counts = np.zeros(sizes, dtype=np.int64)
        for strip in self.strips:
            for band in strip.bands:
                for shape, number in band.shapes:
                    counts[shape.size] += number
        return counts

    @property
    def wide(self) -> int:
        """How much of the sheet its strips take, kerfs in."""
        return sum(strip.wide for strip in self.strips)


def closed(pattern: Pattern) -> Pattern:
    """The pattern with each strip as narrow as its blanks allow."""
    strips = (
        Strip(max(sum(s.wide * n for s, n in band.shapes) for band in strip.bands), strip.bands)
        for strip in pattern.strips
    )
    return Pattern(pattern.flipped, tuple(strips))


def without(pattern: Pattern, drop: Ints) -> Pattern:
    """The pattern without so many blanks of each size; empty bands and strips close up."""
    left, strips = drop.copy(), []
    for strip in reversed(pattern.strips):
        bands = []
        for band in reversed(strip.bands):
            shapes = []
            for shape, number in band.shapes:
                less = min(number, int(left[shape.size]))
                left[shape.size] -= less
                if number > less:
                    shapes.append((shape, number - less))
            if shapes:
                bands.append(Band(band.high, tuple(shapes)))
        if bands:
            strips.append(Strip(strip.wide, tuple(reversed(bands))))
    return closed(Pattern(pattern.flipped, tuple(reversed(strips))))


def flip(shapes: Iterable[Shape]) -> tuple[Shape, ...]:
    """The shapes on the sheet turned over its diagonal."""
    return tuple(Shape(each.size, each.high, each.wide, each.turned, each.most) for each in shapes)


class Grid:
    """What can be cut from one kind of sheet, first cuts downwards: the sums of sizes, ready to be priced."""

    def __init__(self, shapes: Sequence[Shape], wide: int, high: int, stages: int, flipped: bool) -> None:
        self.wide, self.high, self.stages, self.flipped = wide, high, stages, flipped
        self.shapes = [each for each in shapes if each.wide <= wide and each.high <= high]
        self.heights = sorted({each.high for each in self.shapes})
        self.by_height = [[each for each in self.shapes if each.high == high] for high in self.heights]
        self.xs = sums([each.wide for each in self.shapes], wide)
        self.ys = sums(self.heights, high)
        self.x_floor, self.y_floor = _floors(self.xs, wide), _floors(self.ys, high)

    @cached_property
    def narrow(self) -> Ints:
        """The widths of strips that are looked at first: few of one blank side by side."""
        widths = {each.wide * times for each in self.shapes for times in range(1, 7)}
        return np.array(sorted(each for each in widths if each <= self.wide), dtype=np.int64)

    def priced(self, worths: Ints, few: bool) -> Priced:
        """The tables for these worths, of all strips or of the few that are looked at first."""
        xs = self.narrow if few else self.xs[1:]
        return Priced(self, worths, xs)


class Priced:
    """Worths of every band, strip and sheet: `bands[height, x]`, `strips[y, x]`, `sheet[x]`."""

    def __init__(self, grid: Grid, worths: Ints, xs: Ints) -> None:
        self.grid, self.worths, self.xs = grid, worths, xs
        self.bands = np.stack([self._band(shapes) for shapes in grid.by_height])
        self.strips = self._strips()

    @property
    def steps(self) -> float:
        """What these tables took, in the steps of `Effort`: a step a row, and one for 20,000 cells."""
        return len(self.grid.ys) * (1 + len(self.grid.heights) * len(self.xs) / 20_000)

    def _band(self, shapes: Sequence[Shape]) -> Ints:
        if self.grid.stages == 2:
            worth = np.zeros(len(self.xs), dtype=np.int64)
            for each in shapes:
                worth[self.xs == each.wide] = self.worths[each.size]
            return worth
        if len(shapes) == 1:
            (one,) = shapes
            return np.minimum(self.xs // one.wide, one.most) * self.worths[one.size]
        return knapsack([each.wide for each in shapes], self._worths(shapes), self.grid.wide)[self.xs]

    def _worths(self, shapes: Sequence[Shape]) -> Ints:
        return self.worths[[each.size for each in shapes]]

    def _strips(self) -> Ints:
        grid = self.grid
        used = np.flatnonzero(self.bands.any(axis=1))
        heights, bands = np.array(grid.heights, dtype=np.int64)[used], self.bands[used]
        table = np.zeros((len(grid.ys), len(self.xs)), dtype=np.int64)
        counts = np.searchsorted(heights, grid.ys, side="right")
        for at in range(1, len(grid.ys)):
            table[at] = table[at - 1]
            if count := counts[at]:
                below = grid.y_floor[grid.ys[at] - heights[:count]]
                np.maximum(table[at], (table[below] + bands[:count]).max(axis=0), out=table[at])
        return table

    @cached_property
    def _offers(self) -> Ints:
        """The strips that are worth more than every narrower one, as places in `xs`."""
        last = self.strips[-1]
        before = np.maximum.accumulate(np.concatenate(([0], last[:-1])))
        return np.flatnonzero(last > before)

    @cached_property
    def _sheet(self) -> Ints:
        offers = self._offers
        return choice(self.xs[offers], self.strips[-1][offers], self.grid.wide)

    def best(self) -> tuple[int, Pattern]:
        """The worthiest pattern of a whole sheet, and its worth."""
        worth, left = self._sheet, self.grid.wide
        strips = []
        offers = self._offers
        widths, worths = self.xs[offers], self.strips[-1][offers]
        while worth[left] > 0:
            fits = np.flatnonzero(widths <= left)
            took = worth[left - widths[fits]] + worths[fits] == worth[left]
            if not took.any():
                left -= 1
                continue
            at = fits[np.flatnonzero(took)[-1]]
            strips.append(self._strip(int(offers[at])))
            left -= int(widths[at])
        return int(worth[self.grid.wide]), Pattern(self.grid.flipped, tuple(strips))

    def lengths(self) -> tuple[Ints, Ints]:
        """Each strip that could be cut off a roll: its width, kerf in, and its worth."""
        offers = self._offers
        return self.xs[offers], self.strips[-1][offers]

    def one(self, at: int) -> Pattern:
        """The pattern of the strip `at` in `lengths`, by itself."""
        return Pattern(self.grid.flipped, (self._strip(int(self._offers[at])),))

    def _strip(self, x: int) -> Strip:
        grid, column = self.grid, self.strips[:, x]
        heights = np.array(grid.heights, dtype=np.int64)
        at, bands = len(grid.ys) - 1, []
        while column[at] > 0:
            if column[at] == column[at - 1]:
                at -= 1
                continue
            fits = np.flatnonzero(heights <= grid.ys[at])
            below = grid.y_floor[grid.ys[at] - heights[fits]]
            chosen = int(np.flatnonzero(column[below] + self.bands[fits, x] == column[at])[-1])
            bands.append(self._one_band(int(fits[chosen]), int(self.xs[x])))
            at = int(below[chosen])
        return Strip(int(self.xs[x]), tuple(bands))

    def _one_band(self, height: int, wide: int) -> Band:
        shapes, high = self.grid.by_height[height], self.grid.heights[height]
        if self.grid.stages == 2:
            fits = [each for each in shapes if each.wide == wide]
            return Band(high, ((max(fits, key=lambda each: self.worths[each.size]), 1),))
        if len(shapes) == 1:
            return Band(high, ((shapes[0], min(wide // shapes[0].wide, shapes[0].most)),))
        worths = self._worths(shapes)
        table = knapsack([each.wide for each in shapes], worths, wide)
        counts = [0] * len(shapes)
        while table[wide] > 0:
            for at, each in enumerate(shapes):
                if each.wide <= wide and table[wide - each.wide] + worths[at] == table[wide]:
                    counts[at] += 1
                    wide -= each.wide
                    break
            else:
                wide -= 1
        return Band(high, tuple((each, n) for each, n in zip(shapes, counts, strict=True) if n))


def knapsack(sizes: Sequence[int] | Ints, worths: Ints, room: int) -> Ints:
    """The most worth that fits into each length up to `room`, everything as often as wanted."""
    best = np.zeros(room + 1, dtype=np.int64)
    for size, worth in zip(map(int, sizes), map(int, worths), strict=True):
        while size <= room and worth:
            np.maximum(best[size:], best[:-size] + worth, out=best[size:])
            size, worth = 2 * size, 2 * worth
    return best


def choice(sizes: Ints, worths: Ints, room: int) -> Ints:
    """As `knapsack`, quicker where there are many sizes; they come smallest first."""
    best = np.zeros(room + 1, dtype=np.int64)
    counts = np.searchsorted(sizes, np.arange(room + 1), side="right")
    for at in range(1, room + 1):
        if count := counts[at]:
            best[at] = max(best[at - 1], (best[at - sizes[:count]] + worths[:count]).max())
    return best


def sums(sizes: Iterable[int], room: int) -> Ints:
    """Every length up to `room` that some of the sizes make together, 0 first, `room` last."""
    reached = 1
    for size in set(sizes):
        step = size
        while step <= room:
            reached |= reached << step
            step *= 2
        reached &= (1 << (room + 1)) - 1
    bits = np.array([at for at in range(room + 1) if reached >> at & 1], dtype=np.int64)
    return bits if bits[-1] == room else np.append(bits, room)


def _floors(points: Ints, room: int) -> Ints:
    """For each length up to `room` the place of the largest point that is no larger."""
    return np.searchsorted(points, np.arange(room + 1), side="right") - 1
