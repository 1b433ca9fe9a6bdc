"""A pattern laid on its sheet: where each blank lies, the cuts in order, and what is left over."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from kitbuild.production.cut_patterns import Band, Pattern, Shape, Strip
from kitbuild.production.cut_records import Cut, Offcut

Box = tuple[int, int, int, int]
"""x, y, columns, rows."""


@dataclass(slots=True)
class Laid:
    """Everything on one sheet: blanks as (shape, box), cuts in order, everything left over."""

    columns: int
    rows: int
    kerf: int
    flipped: bool
    places: list[tuple[Shape, Box]] = field(default_factory=list)
    cuts: list[Cut] = field(default_factory=list)
    rests: list[Box] = field(default_factory=list)

    def box(self, x: int, y: int, wide: int, high: int) -> Box:
        """A rectangle, turned over the diagonal with its sheet."""
        return (y, x, high, wide) if self.flipped else (x, y, wide, high)

    def cut(self, stage: int, across: bool, at: int, begin: int, end: int) -> None:
        """A cut, turned over the diagonal with its sheet."""
        self.cuts.append(Cut(stage, across != self.flipped, at, begin, end))

    def rest(self, x: int, y: int, wide: int, high: int) -> None:
        """What is left over beside the blanks, where anything is."""
        if wide > 0 and high > 0:
            self.rests.append(self.box(x, y, wide, high))


def lay(pattern: Pattern, columns: int, rows: int, kerf: int) -> Laid:
    """The pattern on a sheet of so many holes: widest strips first, so that what is left is at the far side."""
    laid = Laid(columns, rows, kerf, pattern.flipped)
    wide, high = (rows, columns) if pattern.flipped else (columns, rows)
    strips = sorted(pattern.strips, key=lambda strip: (-strip.wide, [-band.high for band in strip.bands]))
    x = 0
    for strip in strips:
        size = strip.wide - kerf
        if x + size < wide:
            laid.cut(1, False, x + size, 0, high)
        x += strip.wide
    laid.rest(x, 0, wide - x, high)
    x = 0
    for strip in strips:
        _lay_strip(laid, strip, x, high)
        x += strip.wide
    return laid


def _lay_strip(laid: Laid, strip: Strip, x: int, high: int) -> None:
    """The bands of a strip one below the other, the cuts across first."""
    kerf, size = laid.kerf, strip.wide - laid.kerf
    bands = sorted(strip.bands, key=lambda band: (-band.high, _beside(band)))
    y = 0
    for band in bands:
        if y + band.high - kerf < high:
            laid.cut(2, True, y + band.high - kerf, x, x + size)
        y += band.high
    laid.rest(x, y, size, high - y)
    y = 0
    for band in bands:
        _lay_band(laid, band, x, y, size)
        y += band.high


def _beside(band: Band) -> list[tuple[int, int]]:
    return [(-shape.wide, -number) for shape, number in band.shapes]


def _lay_band(laid: Laid, band: Band, x: int, y: int, size: int) -> None:
    kerf, high = laid.kerf, band.high - laid.kerf
    at = x
    for shape in (shape for shape, number in band.shapes for _ in range(number)):
        wide = shape.wide - kerf
        laid.places.append((shape, laid.box(at, y, wide, high)))
        if at + wide < x + size:
            laid.cut(3, False, at + wide, y, y + high)
        at += shape.wide
    laid.rest(at, y, x + size - at, high)


def offcuts(rests: list[Box], least: tuple[int, int]) -> Iterator[Offcut]:
    """Those of the rests that are large enough to keep, the largest first."""
    short, long = min(least), max(least)
    for x, y, wide, high in sorted(rests, key=lambda box: (-box[2] * box[3], box)):
        if min(wide, high) >= short and max(wide, high) >= long:
            yield Offcut(x, y, wide, high)
