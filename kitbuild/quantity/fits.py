"""What fits an object: how many holes, which repeats and ends, how much slack. The sums behind `fit`."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from kitbuild.base.units import down, up

Meeting = Literal["closed", "unbroken", "broken", "open"]


@dataclass(frozen=True, slots=True)
class Shape:
    """What a choice is made for: columns of a repeat, the line's depth by column, and the length over.

    `depth` is bars below the highest column, one entry a column of the repeat; `over` the stitch's bars.
    """

    depth: tuple[int, ...]
    over: int

    @property
    def columns(self) -> int:
        """Columns in one repeat."""
        return len(self.depth)


@dataclass(frozen=True, slots=True)
class Room:
    """The span in which a size fits, in mm: at least `least_mm`, at most `most_mm`; `aim_mm` is best."""

    least_mm: float
    most_mm: float
    aim_mm: float


@dataclass(frozen=True, slots=True)
class Choice:
    """One way to fill a room across: `columns` are the stitched area, `around` with the overlap.

    `size_mm` is what comes out (inside diameter, or finished width), `slack_mm` what it has over the least.
    """

    columns: int
    around: int
    repeats: int
    left: int
    right: int
    size_mm: float
    slack_mm: float
    meeting: Meeting


def round_room(diameter_mm: float, ease_mm: float, tolerance_mm: float) -> Room:
    """The inside diameters with which a sleeve goes on and does not hang loose."""
    least = diameter_mm + ease_mm
    return Room(least, least + tolerance_mm, least + tolerance_mm / 2)


def taper_room(
    top_mm: float, bottom_mm: float, ease_mm: float, tolerance_mm: float, most_taper_mm: float
) -> Room | None:
    """The room for an object that narrows: the wider end must go through; None beyond the limit of taper."""
    if abs(top_mm - bottom_mm) > most_taper_mm:
        return None
    return round_room(max(top_mm, bottom_mm), ease_mm, tolerance_mm)


def sleeve_choices(shape: Shape, room: Room, pitch_mm: float, walls_mm: float, overlap: int) -> list[Choice]:
    """Every number of columns whose ring fits; inside = circumference / pi less the walls (derived)."""
    fewest = up((room.least_mm + walls_mm) * math.pi / pitch_mm)
    most = down((room.most_mm + walls_mm) * math.pi / pitch_mm)
    return [
        _choice(shape, around - overlap, overlap, around * pitch_mm / math.pi - walls_mm, room)
        for around in range(max(fewest, overlap + 2), most + 1)
    ]


def nearest_sleeve(shape: Shape, room: Room, pitch_mm: float, walls_mm: float, overlap: int) -> Choice:
    """The ring nearest to the room where none fits."""
    around = max(overlap + 2, round((room.aim_mm + walls_mm) * math.pi / pitch_mm))
    return _choice(shape, around - overlap, overlap, around * pitch_mm / math.pi - walls_mm, room)


def flat_choices(shape: Shape, room: Room, pitch_mm: float, extra_mm: float) -> list[Choice]:
    """Every number of columns whose finished width, `extra_mm` of bar and edge included, is in the room."""
    fewest, most = up((room.least_mm - extra_mm) / pitch_mm), down((room.most_mm - extra_mm) / pitch_mm)
    return [
        _choice(shape, columns, 0, columns * pitch_mm + extra_mm, room)
        for columns in range(max(2, fewest), most + 1)
    ]


def row_choices(least_mm: float, most_mm: float, pitch_mm: float, extra_mm: float) -> list[int]:
    """Every number of hole rows whose finished height lies between two limits."""
    fewest, most = up((least_mm - extra_mm) / pitch_mm), down((most_mm - extra_mm) / pitch_mm)
    return list(range(max(3, fewest), most + 1))


def _choice(shape: Shape, columns: int, overlap: int, size_mm: float, room: Room) -> Choice:
    """Repeats and ends of a number of columns: ends as even as can be, the odd column to the right."""
    wide = shape.columns
    repeats, rest = divmod(columns, wide)
    left = rest // 2
    meeting = _meeting(shape, columns, overlap, left) if overlap else "open"
    return Choice(
        columns, columns + overlap, repeats, left, rest - left, size_mm, size_mm - room.least_mm, meeting
    )


def _meeting(shape: Shape, columns: int, overlap: int, left: int) -> Meeting:
    around, wide = columns + overlap, shape.columns
    if around % wide == 0:
        return "closed"
    return "unbroken" if shape.depth[-left % wide] == shape.depth[(around - left) % wide] else "broken"
