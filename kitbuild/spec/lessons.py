"""A class in which a kit is taught, as the maker wrote it: a frozen record that knows its place."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from kitbuild.spec.check import Checked
from kitbuild.spec.formats import read_share, read_time
from kitbuild.spec.source import At

WallPaper = Literal["A2", "A3", "tiled"]


@dataclass(frozen=True, slots=True)
class Times:
    """Minutes for what is not stitching."""

    welcome: int
    threading: int
    start: int
    pause: int
    end: int

    @property
    def total(self) -> int:
        """All of them."""
        return self.welcome + self.threading + self.start + self.pause + self.end


@dataclass(frozen=True, slots=True)
class Lesson:
    """One class: `kit` is a code, `begins` minutes since midnight, `stitches_per_hour` 0 where unsaid.

    `piece` is "" for the kit's first. The shares are of what the kits hold, 0.15 for 15 %.
    """

    name: str
    title: str
    kit: str
    piece: str
    date: str
    begins: int
    minutes: int
    learners: int
    teachers: int
    stitches_per_hour: int
    spare_thread: float
    spare_needles: float
    times: Times
    wall_chart: WallPaper
    at: At = field(repr=False, compare=False)

    @property
    def kits(self) -> int:
        """How many kits go into the box."""
        return self.learners + self.teachers


def lesson_record(file: Checked) -> Lesson:
    """A class from a file that has no fault."""
    data, times = file.data, file.data["times"]
    return Lesson(
        name=data["name"],
        title=data["title"],
        kit=data["kit"],
        piece=data.get("piece", ""),
        date=data["date"],
        begins=read_time(data["begins"]),
        minutes=data["minutes"],
        learners=data["learners"],
        teachers=data["teachers"],
        stitches_per_hour=data.get("stitches_per_hour", 0),
        spare_thread=read_share(data["spare"]["thread"]),
        spare_needles=read_share(data["spare"]["needles"]),
        times=Times(times["welcome"], times["threading"], times["start"], times["break"], times["end"]),
        wall_chart=data["wall_chart"],
        at=file.at,
    )
