"""Text forms that the schemas name by `format`, as people write them, and how to cure what does not fit."""

from __future__ import annotations

import datetime
import re
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from kitbuild.base.colour import parse_rgb
from kitbuild.base.units import FILM_MM_PER, MG_PER, MM_PER, exact_mm, length_mm

#: Longer than anything that a workshop handles: a kilometre of thread.
LONGEST_MM: Final = 1_000_000.0
#: Heavier than anything that one person lifts: 100 kg.
HEAVIEST_MG: Final = 100_000_000

_TIMES = re.compile(r"\s*[x×]\s*")
_UNIT = re.compile(r"\s*[A-Za-z]+$")
_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_SHARE = re.compile(r"([0-9]{1,3}(?:\.[0-9]{1,3})?) ?%")
_SHEET = re.compile(r"([1-9][0-9]{0,3}) ?[x×] ?([1-9][0-9]{0,3}) holes")
_TIME = re.compile(r"([01][0-9]|2[0-3]):([0-5][0-9])")
_RUN = re.compile(r"([1-9][0-9]{0,2}) ?[x×] ?([1-9][0-9]?)")
_GROUP = re.compile(r"([1-9][0-9]?)(?: (down|up) ([0-9]{1,3}))?")
_DRIFT = re.compile(r"(down|up) ([0-9]{1,3})")
_HOLES = re.compile(r"(0|[1-9][0-9]{0,3}) ?holes?")
_BARS = re.compile(r"[2-8](?: [2-8]){0,39}")
_SPAN = re.compile(r"([1-9][0-9]{0,3}) ?- ?([1-9][0-9]{0,3})")
_PIECE_EDGE = re.compile(r"([a-z][a-z0-9-]{0,31}) (top|right|bottom|left)")
_CSV_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,60}\.csv")
_PART = r"[1-9][0-9]{0,2} +[a-z][a-z0-9-]{0,31}"
_CHART_COLUMNS = re.compile(rf"([1-9][0-9]{{0,3}})(?: ?- ?([1-9][0-9]{{0,3}}))? ?: *({_PART}(?:, *{_PART})*)")
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


def read_exact_length(text: str) -> Fraction:
    """A written length in mm to the last digit, more than nothing; ValueError for anything else."""
    read_length_above_0(text)
    return exact_mm(text)


def read_film(text: str) -> Fraction:
    """The thickness of a film in mm to the last digit: `0.02 mm`, `1 mil`, `20 um`; else ValueError."""
    if not text.isascii() or len(text) > 40:
        raise ValueError(f"not a thickness: {text!r}")
    value = exact_mm(text, FILM_MM_PER)
    if not 0 < value <= 10:
        raise ValueError(f"no thickness of a film: {text!r}")
    return value


def read_weight(text: str) -> int:
    """A written weight in whole milligrams, more than nothing: `9.2 g`, `1/2 oz`; else ValueError."""
    if not text.isascii() or len(text) > 40:
        raise ValueError(f"not a weight: {text!r}")
    value = round(exact_mm(text, MG_PER))
    if not 0 < value <= HEAVIEST_MG:
        raise ValueError(f"no weight of a thing: {text!r}")
    return value


def read_measures(text: str) -> tuple[float, ...]:
    """Lengths in mm of `40 x 25 x 8 mm`; the last unit counts for those that have none; else ValueError."""
    parts = [part.strip() for part in _TIMES.split(text)]
    unit = _UNIT.search(parts[-1])
    if not unit:
        raise ValueError(f"no unit: {text!r}")
    return tuple(read_length_above_0(part if _UNIT.search(part) else part + unit[0]) for part in parts)


def read_rod(text: str) -> tuple[float, ...]:
    """A rod's length in mm, and its thickness where it is told; ValueError for anything else."""
    return _measures(text, (1, 2))


def read_sphere(text: str) -> tuple[float, ...]:
    """A ball's diameter in mm; ValueError for anything else."""
    return _measures(text, (1,))


def read_box(text: str) -> tuple[float, ...]:
    """A box's three edges in mm; ValueError for anything else."""
    return _measures(text, (3,))


def _measures(text: str, numbers: tuple[int, ...]) -> tuple[float, ...]:
    found = read_measures(text)
    if len(found) not in numbers:
        raise ValueError(f"too few or too many lengths: {text!r}")
    return found


def read_canvas_length(text: str, pitch_mm: float) -> float:
    """A length in mm, or holes of a canvas of this pitch: `20 holes`; ValueError for anything else."""
    if match := _HOLES.fullmatch(text):
        return int(match[1]) * pitch_mm
    return read_length(text)


def read_date(text: str) -> str:
    """A calendar date of ISO 8601, `2026-10-01`; ValueError for anything else."""
    if not _DATE.fullmatch(text):
        raise ValueError(f"not a date: {text!r}")
    return datetime.date.fromisoformat(text).isoformat()


def read_time(text: str) -> int:
    """Minutes since midnight of `14:00`; ValueError for anything else."""
    match = _fullmatch(_TIME, text)
    return 60 * int(match[1]) + int(match[2])


def read_share(text: str) -> float:
    """A percentage of 0 to 100 as a share of one; ValueError for anything else."""
    match = _fullmatch(_SHARE, text)
    share = round(float(match[1]) / 100, 8)
    if share > 1:
        raise ValueError(f"more than all: {text!r}")
    return share


def read_exact_share(text: str) -> Fraction:
    """A percentage of 0 to 100 as an exact share of one, as written; ValueError for anything else."""
    read_share(text)
    return Fraction(_fullmatch(_SHARE, text)[1]) / 100


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


def read_bars(text: str) -> tuple[int, ...]:
    """Bars of the groups of a row in turn, each 2 to 8: `6 2 2`; ValueError for anything else."""
    _fullmatch(_BARS, text)
    return tuple(int(part) for part in text.split())


def read_span(text: str) -> tuple[int, int]:
    """First and last hole row of `5-12`; (0, 0) for `-`, a column without stitches; else ValueError."""
    if text.strip() == "-":
        return (0, 0)
    match = _fullmatch(_SPAN, text)
    if int(match[1]) >= int(match[2]):
        raise ValueError(f"the last hole row comes first: {text!r}")
    return int(match[1]), int(match[2])


def read_piece_edge(text: str) -> tuple[str, str]:
    """A piece's key and one of its edges, `side right`; ValueError for anything else."""
    match = _fullmatch(_PIECE_EDGE, text)
    return match[1], match[2]


def read_csv_name(text: str) -> str:
    """The plain name of a CSV file, without a folder; ValueError for anything else."""
    _fullmatch(_CSV_NAME, text)
    return text


def read_chart_columns(text: str) -> tuple[int, int, tuple[tuple[int, str], ...]]:
    """First and last column and the stitches from the top: `1-2: 4 bark, 4 moss`; ValueError otherwise."""
    match = _fullmatch(_CHART_COLUMNS, text)
    first, last = int(match[1]), int(match[2] or match[1])
    if first > last:
        raise ValueError(f"the last column comes first: {text!r}")
    parts = [part.split() for part in match[3].split(",")]
    return first, last, tuple((int(bars), key) for bars, key in parts)


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
    if match := _HOLES.fullmatch(text):
        units = ", ".join(MM_PER)
        return f"holes have no length here: measure it, and write it in one of {units}, as in `{match[1]} mm`"
    if _BARE_NUMBER.fullmatch(text) and len(text) < 12:
        return f"say the unit: write `{text} mm`"
    if re.fullmatch(r"[0-9]+,[0-9]+ ?[a-z]+", text) and len(text) < 16:
        return f"write a point for the decimals: `{text.replace(',', '.')}`"
    return f"write a number and one of {', '.join(MM_PER)}, as in `38 mm` or `1 1/2 in`"


def _weight_cure(text: str) -> str:
    if _BARE_NUMBER.fullmatch(text) and len(text) < 12:
        return f"say the unit: write `{text} g`"
    if re.fullmatch(r"[0-9]+,[0-9]+ ?[a-z]+", text) and len(text) < 16:
        return f"write a point for the decimals: `{text.replace(',', '.')}`"
    return f"write a number and one of {', '.join(MG_PER)}, as in `9.2 g` or `1/2 oz`"


def _film_cure(text: str) -> str:
    if _BARE_NUMBER.fullmatch(text) and len(text) < 12:
        return f"say the unit: write `{text} mm` or `{text} mil`"
    return f"write a number and one of {', '.join(FILM_MM_PER)}, 10 mm at most, as in `0.02 mm` or `0.8 mil`"


def _canvas_length_cure(text: str) -> str:
    cure = _length_cure(text)
    return f"{cure}, or holes of the canvas, as in `20 holes`" if cure.startswith("write a number") else cure


_WORDS = Format("text that says something", "Bark", read_words)

FORMATS: Final[dict[str, Format]] = {
    "length": Format("a length", "38 mm", read_length, _length_cure),
    "length-above-0": Format("a length above 0", "38 mm", read_length_above_0, _length_cure),
    "canvas-length": Format(
        "a length", "38 mm", lambda text: read_canvas_length(text, 1), _canvas_length_cure
    ),
    "weight": Format("a weight above 0", "9.2 g", read_weight, _weight_cure),
    "film": Format("the thickness of a film", "0.02 mm", read_film, _film_cure),
    "rod-size": Format("a rod's length, or length x thickness", "40 x 3 mm", read_rod),
    "disc-size": Format("a disc's diameter, or diameter x thickness", "25 x 3 mm", read_rod),
    "sphere-size": Format("a ball's diameter", "12 mm", read_sphere),
    "box-size": Format("a box's three edges", "40 x 25 x 8 mm", read_box),
    "date": Format("a calendar date", "2026-10-01", read_date),
    "time": Format("a time of day", '"14:00"', read_time),
    "rgb": Format("a colour", '"#5a4632"', parse_rgb),
    "share": Format("a percentage of 0 to 100", "10 %", read_share),
    "sheet": Format("a sheet's size", "70 x 90 holes", read_sheet),
    "run": Format("a run of groups", '"6x1"', read_run),
    "group": Format("a group of a line", '"2 down 2"', read_group),
    "drift": Format("a drift", "down 2", read_drift),
    "bars": Format("a row of bars", '"6 2"', read_bars),
    "span": Format("a span of hole rows", '"5-12"', read_span),
    "piece-edge": Format("a piece and one of its edges", "side right", read_piece_edge),
    "csv-name": Format("the name of a CSV file beside this one", "sampler.csv", read_csv_name),
    "chart-columns": Format("columns with their stitches", '"1-2: 4 bark, 4 moss"', read_chart_columns),
    "text": _WORDS,
    "line": _WORDS,
    "prose": _WORDS,
}
