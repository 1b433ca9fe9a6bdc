"""What the maker wrote, checked: frozen records whose every value knows its place in the file.

Lengths are millimetres, counts are holes, groups or bars as named, money is whole minor units of the
workshop's currency, weights are whole milligrams, None where none was said. `at` finds the place of a value:
`piece.at("finish", "border")`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from kitbuild.base.colour import Rgb
from kitbuild.base.problem import Place
from kitbuild.spec.house import House
from kitbuild.spec.lessons import Lesson
from kitbuild.spec.materials import Extra, Materials, Needle, Thread
from kitbuild.spec.packing import BoxType
from kitbuild.spec.piece import Join, Piece
from kitbuild.spec.source import At
from kitbuild.spec.trade import Licence

Policy = Literal["clean holes", "cover the back", "even", "save thread"]
Hand = Literal["right", "left"]


@dataclass(frozen=True, slots=True)
class Colour:
    """A palette entry: its thread, its name in print, and the character that stands for it on charts."""

    key: str
    name: str
    rgb: Rgb
    symbol: str
    symbol_name: str
    thread: Thread
    at: At = field(repr=False, compare=False)


@dataclass(frozen=True, slots=True)
class PackedExtra:
    """So many of one extra in each box."""

    extra: Extra
    quantity: int
    at: At = field(repr=False, compare=False)


@dataclass(frozen=True, slots=True)
class PackedNeedle:
    """So many needles of one size in each box."""

    needle: Needle
    quantity: int
    at: At = field(repr=False, compare=False)


@dataclass(frozen=True, slots=True)
class Answer:
    """What one colour took in a test stitch: `used_mm` lies in the work, tails and fastenings included.

    `starts` is how often it was begun anew, 0 where that was not counted.
    """

    colour: str
    stitches: int
    used_mm: float
    starts: int
    at: At = field(repr=False, compare=False)


@dataclass(frozen=True, slots=True)
class Trial:
    """The answers of a test-stitch sheet: one copy of a piece, worked without its seam and edge.

    `minutes` is 0 where the time was not taken.
    """

    edition: int
    piece: str
    date: str
    by: str
    hand: Hand
    minutes: int
    answers: tuple[Answer, ...]
    remarks: str
    at: At = field(repr=False, compare=False)


@dataclass(frozen=True, slots=True)
class Kit:
    """A kit as it is sold: one code, one edition, one box. A colourway is a kit of its own.

    `toy` says whether it is sold as a toy or game, None where the maker said nothing. `gtin` is the number in
    its bar code, "" when it has none. `accepted` gives the reason for each warning code that the maker knows
    and wants. `house` is the workshop with the kit's own handling of thread, where it states any. `joins` are
    the edges that its pieces are sewn together at, `trials` its test stitches. `untested` is the reason
    to release it without one, "" where none is stated. `prices_minor` are its own prices by channel, `box` is
    what it is packed into, where that is said. `tariff_code` is the
    number under which customs know it, as its maker found it.
    """

    code: str
    title: str
    edition: int
    date: str
    age_grade: str
    policy: Policy
    about: str
    care: str
    pieces: tuple[Piece, ...]
    palette: tuple[Colour, ...]
    needles: tuple[PackedNeedle, ...]
    extras: tuple[PackedExtra, ...]
    price_minor: int
    gtin: str
    accepted: Mapping[str, str]
    house: House
    at: At = field(repr=False, compare=False)
    joins: tuple[Join, ...] = ()
    trials: tuple[Trial, ...] = ()
    toy: bool | None = None
    untested: str = ""
    box: BoxType | None = None
    prices_minor: Mapping[str, int] = field(default_factory=dict)
    licence: Licence | None = None
    tariff_code: str = ""

    def accepted_at(self, code: str) -> Place:
        """Where a warning code is accepted: in the colourway, or in its file."""
        own = (*self.at.path, "accept", code) in self.at.source.keys
        return (self.at if own else self.file).key("accept", code)

    def thread_at(self, name: str) -> Place:
        """Where a rule for thread is stated: in the kit itself, or in the workshop file."""
        file = self.file
        return file(name) if (name,) in file.source.values else self.house.at("thread", name)

    @property
    def file(self) -> At:
        """The address of the kit's whole file."""
        return At(self.at.source)

    def colour_index(self, key: str) -> int:
        """Place of a palette key in the palette's order, from 0."""
        return [colour.key for colour in self.palette].index(key)


@dataclass(frozen=True, slots=True)
class Range:
    """Everything in kits/: the kits in order of their codes, the classes, and what was read to get them.

    `digests` is the SHA-256 of the bytes of every file that was parsed, charts included.
    """

    kits: tuple[Kit, ...]
    materials: Materials
    house: House
    digests: Mapping[str, str]
    lessons: tuple[Lesson, ...] = ()

    @property
    def files(self) -> tuple[str, ...]:
        """The spec files that were read."""
        return tuple(file for file in self.digests if not file.endswith(".csv"))
