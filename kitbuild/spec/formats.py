"""Text forms that the schemas name by `format`, as people write them, and how to cure what does not fit."""

from __future__ import annotations

import datetime
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from kitbuild.base.colour import parse_rgb
from kitbuild.base.units import MM_PER, length_mm

#: Longer than anything that a workshop handles: a kilometre of thread.
LONGEST_MM: Final = 1_000_000.0

_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_SHARE = re.compile(r"([0-9]{1,3}(?:\.[0-9]{1,3})?) ?%")
_SHEET = re.compile(r"([1-9][0-9]{0,3}) ?[x×] ?([1-9][0-9]{0,3}) holes")
_RUN = re.compile(r"([1-9][0-9]{0,2}) ?[x×] ?([1-9][0-9]?)")
_GROUP = re.compile(r"([1-9][0-9]?)(?: (down|up) ([0-9]{1,3}))?")
_DRIFT = re.compile(r"(down|up) ([0-9]{1,3})")
_BARE_NUMBER = re.compile(r"[0-9]+(?:\.[0-9]+)?|[0-9]+ [0-9]+/[0-9]+|[0-9]+/[0-9]+")


@dataclass(frozen=True, slots=True)
class Format:
    """A written form: what it is called, an example, and a reader that raises ValueError."""

    noun: str
    example: str
    read: Callable[[str], object]
    cure: Callable[[str], str] | None = None

    def fits(self, text: str) -> bool:
        """Whether `text` is written in this form."""
        try:
            self.read(text)
        except (ValueError, OverflowError):
            return False
        return True

    def cure_for(self, text: str) -> str:
        """How to write `text` in this form."""
        return (self.cure(text) if self.cure else "") or f"write it like `{self.example}`"


def read_length(text: str) -> float:
    """A written length in mm, 0 to a kilometre; ValueError for anything else."""
    if not text.isascii() or len(text) > 40:
        raise ValueError(f"not a length: {text!r}")
    value = length_mm(text)
    if value > LONGEST_MM:
        raise ValueError(f"longer than a kilometre: {text!r}")
    return value


def read_length_above_0(text: str) -> float:
    """A written length in mm that is more than nothing; ValueError for anything else."""
    value = read_length(text)
    if value <= 0:
        raise ValueError(f"not more than nothing: {text!r}")
    return value


def read_date(text: str) -> str:
    """A calendar date of ISO 8601, `2026-10-01`; ValueError for anything else."""
    if not _DATE.fullmatch(text):
        raise ValueError(f"not a date: {text!r}")
    return datetime.date.fromisoformat(text).isoformat()


def read_share(text: str) -> float:
    """A percentage of 0 to 100 as a share of one; ValueError for anything else."""
    match = _fullmatch(_SHARE, text)
    share = round(float(match[1]) / 100, 8)
    if share > 1:
        raise ValueError(f"more than all: {text!r}")
    return share


def read_sheet(text: str) -> tuple[int, int]:
    """Columns and rows of `70 x 90 holes`; ValueError for anything else."""
    match = _fullmatch(_SHEET, text)
    return int(match[1]), int(match[2])


def read_run(text: str) -> tuple[int, int]:
    """How many groups, of how many stitches: `6x1` is six groups of one; ValueError for anything else."""
    match = _fullmatch(_RUN, text)
    return int(match[1]), int(match[2])


def read_group(text: str) -> tuple[int, int | None]:
    """Stitches and bars down (up: negative) from the group before; None where nothing is said."""
    match = _fullmatch(_GROUP, text)
    return int(match[1]), _bars(match[2], match[3]) if match[2] else None


def read_drift(text: str) -> int:
    """Bars that the next repeat stands below this one (above: negative); ValueError for anything else."""
    match = _fullmatch(_DRIFT, text)
    return _bars(match[1], match[2])


def read_words(text: str) -> str:
    """Text that says something; ValueError for blank text."""
    if not text.strip():
        raise ValueError("blank text")
    return text


def _bars(way: str, bars: str) -> int:
    return int(bars) if way == "down" else -int(bars)


def _fullmatch(pattern: re.Pattern[str], text: str) -> re.Match[str]:
    if not (match := pattern.fullmatch(text)):
        raise ValueError(f"not in this form: {text!r}")
    return match


def _length_cure(text: str) -> str:
    if _BARE_NUMBER.fullmatch(text) and len(text) < 12:
        return f"say the unit: write `{text} mm`"
    if re.fullmatch(r"[0-9]+,[0-9]+ ?[a-z]+", text) and len(text) < 16:
        return f"write a point for the decimals: `{text.replace(',', '.')}`"
    return f"write a number and one of {', '.join(MM_PER)}, as in `38 mm` or `1 1/2 in`"


_WORDS = Format("text that says something", "Bark", read_words)

FORMATS: Final[dict[str, Format]] = {
    "length": Format("a length", "38 mm", read_length, _length_cure),
    "length-above-0": Format("a length above 0", "38 mm", read_length_above_0, _length_cure),
    "date": Format("a calendar date", "2026-10-01", read_date),
    "rgb": Format("a colour", '"#5a4632"', parse_rgb),
    "share": Format("a percentage of 0 to 100", "10 %", read_share),
    "sheet": Format("a sheet's size", "70 x 90 holes", read_sheet),
    "run": Format("a run of groups", '"6x1"', read_run),
    "group": Format("a group of a line", '"2 down 2"', read_group),
    "drift": Format("a drift", "down 2", read_drift),
    "text": _WORDS,
    "line": _WORDS,
    "prose": _WORDS,
}
