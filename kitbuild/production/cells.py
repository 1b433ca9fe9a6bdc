"""Lists that come from spreadsheets: every cell with its place, however the spreadsheet saved it.

Commas, semicolons or tabs between cells, UTF-8 or UTF-16, a byte-order mark, any line ends, cells of several
lines, and a first line `sep=;` are read alike. What could be meant in two ways is a problem, never a guess.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from kitbuild.base.glyphs import missing
from kitbuild.base.problem import Place, Problem
from kitbuild.production.list_text import FORMULA, Quote, cells_at, place_in, split, text_of
from kitbuild.spec.words import counted, listed, shown

MOST: Final = 1_000_000
"""No list asks for, or holds, more of a thing."""
_LONGEST: Final = 40
_WHOLE: Final = re.compile(r"([0-9]{1,9})(?:[.,]0{1,2})?")
_DECIMAL: Final = re.compile(r"([0-9]{1,6})(?:[.,]([0-9]{1,2}))?")
YEARS: Final = range(2000, 2100)
"""The years that dates of orders and lots lie in."""
_SHORTENED: Final = re.compile(r"[0-9](?:[.,][0-9]+)?E\+[0-9]{2,}", re.IGNORECASE)
_YEAR_FIRST: Final = re.compile(r"([0-9]{4})([-/.])([0-9]{1,2})\2([0-9]{1,2})(?:[ T]00:00(?::00)?)?")
_DAY_FIRST: Final = re.compile(r"([0-9]{1,2})\.([0-9]{1,2})\.([0-9]{4})")


class Wrong(ValueError):
    """A cell that cannot be read: what is wrong, and the cure."""

    def __init__(self, message: str, cure: str) -> None:
        super().__init__(message)
        self.message, self.cure = message, cure


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a list: the text of each named column, and the line and column where it begins."""

    file: str
    line: int
    texts: Mapping[str, str]
    places: Mapping[str, tuple[int, int]]

    def place(self, name: str = "") -> Place:
        """Where a cell begins, or the row."""
        return Place(self.file, *self.places.get(name, (self.line, 1)))


@dataclass(frozen=True, slots=True)
class Cells:
    """The rows of a list that have any text, or why there are none."""

    rows: tuple[Row, ...]
    problems: tuple[Problem, ...]


def read_cells(file: str, content: bytes, names: Sequence[str]) -> Cells:
    """All rows of a list whose first line has `names` among its columns; further columns are passed over."""
    text = text_of(file, content)
    if isinstance(text, Problem):
        return Cells((), (text,))
    lines = list(enumerate(re.split("\r\n|\r|\n", text), 1))
    sep = ""
    if told := re.fullmatch(r'"?sep=([,;\t])"?', lines[0][1].strip(" ")):
        sep, lines = told[1], lines[1:]
    if not lines or not lines[0][1].strip():
        cure = f"begin with the line {','.join(names)}"
        return Cells((), (Problem(Place(file, 1, 1), "KB610", "the list has no line of column names", cure),))
    sep = sep or max(",;\t", key=lines[0][1].count)
    header = _header(file, *lines[0], sep, names)
    if isinstance(header, Problem):
        return Cells((), (header,))
    rows: list[Row] = []
    problems: list[Problem] = []
    at = 1
    while at < len(lines):
        line, many = lines[at][0], 1
        found: Row | Problem | None
        try:
            cells, many = cells_at(lines, at, sep)
            found = _row(file, line, cells, [text for _, text in lines[at : at + many]], header)
        except Quote as error:
            found = error.problem(file, line)
        if isinstance(found, Problem):
            problems.append(found)
        elif found:
            rows.append(found)
        at += many
    return Cells(tuple(rows), tuple(problems))


def whole(text: str, least: int) -> int:
    """A count from `least`, told as `12`, `12,0` or `12.00`; Wrong for anything else."""
    if match := _WHOLE.fullmatch(text):
        count = int(match[1])
        if least <= count <= MOST:
            return count
        raise Wrong(f"it must be {least} to {MOST}", f"write a number from {least} to {MOST}")
    raise Wrong(*_not_whole(text))


def hundredths(text: str) -> int:
    """A measure of up to two decimals in hundredths: `2,5` is 250; Wrong for anything else."""
    if match := _DECIMAL.fullmatch(text):
        return int(match[1]) * 100 + int((match[2] or "0").ljust(2, "0"))
    if re.fullmatch(r"[0-9]+[.,][0-9]{3,}", text):
        raise Wrong("it could be thousands or decimals", "write at most two decimals, and no thousands sign")
    message, cure = _not_whole(text)
    raise Wrong(
        message.replace("whole number", "measure"),
        cure.replace("a whole number, such as 12", "metres, such as 7.35"),
    )


def date(text: str) -> str:
    """A date as year-month-day; written `2026-10-01`, `2026/10/01` or `1.10.2026`, Wrong otherwise."""
    first, last = _YEAR_FIRST.fullmatch(text), _DAY_FIRST.fullmatch(text)
    if first:
        parts = int(first[1]), int(first[3]), int(first[4])
    elif last:
        parts = int(last[3]), int(last[2]), int(last[1])
    else:
        raise Wrong(_no_date(text), "write year-month-day, such as 2026-10-01")
    if parts[0] not in YEARS:
        raise Wrong(f"the year is none from {YEARS[0]} to {YEARS[-1]}", "check its year")
    try:
        return datetime.date(*parts).isoformat()
    except ValueError:
        raise Wrong(
            "no such day is on the calendar", "write a day that there is, such as 2026-10-01"
        ) from None


def _no_date(text: str) -> str:
    if text.count("/") == 2:
        return "it could be read with the day or the month first"
    if re.fullmatch(r"[0-9]{5}(?:[.,][0-9]+)?", text):
        return "it is the number that a spreadsheet has for a day"
    return "no date"


def name(text: str) -> str:
    """A name that lists can show and spreadsheets keep as text; Wrong for a formula or for signs unknown."""
    if text.startswith(FORMULA):
        raise Wrong("a spreadsheet would run it as a formula", f"begin it with none of {listed('=+-@')}")
    if _SHORTENED.fullmatch(text):
        raise Wrong(
            "a spreadsheet has made a number of it, and digits are lost",
            "format its column as text, and write it anew",
        )
    if len(text) > _LONGEST:
        raise Wrong(f"it is longer than {_LONGEST} letters", "shorten it")
    if strange := missing(text):
        raise Wrong(f"{shown(strange)} cannot be printed", "use other letters")
    return text


def wrong(row: Row, column: str, code: str, told: Wrong) -> Problem:
    """The problem of one cell."""
    text = row.texts[column]
    message = f"{column} is {shown(text)}: {told.message}" if text else f"{column} is empty"
    return Problem(row.place(column), code, message, told.cure)


def _not_whole(text: str) -> tuple[str, str]:
    cure = "write a whole number, such as 12"
    if re.fullmatch(r"[-−]\s*[0-9.,]+", text):
        return "it is negative", cure
    if text.startswith(FORMULA):
        return "it is a formula", "write the number itself"
    if re.fullmatch(r"[0-9]{1,3}([.,' \u00a0\u202f][0-9]{3})+", text):
        return "it could be thousands or decimals", "write the number without a sign for thousands"
    if re.fullmatch(r"[0-9]*[.,][0-9]+", text):
        return "it is a fraction", cure
    return "it is no whole number", cure


def _header(
    file: str, line: int, text: str, sep: str, names: Sequence[str]
) -> tuple[tuple[str, ...], Sequence[str]] | Problem:
    cure = f"begin with the line {','.join(names)}"
    try:
        found = [(column, cell.lower()) for column, cell in split(text, sep)]
    except Quote as error:
        return error.problem(file, line)
    cells = tuple(cell for _, cell in found)
    for at, cell in found:
        if cell in names and cells.count(cell) > 1:
            return Problem(Place(file, line, at + 1), "KB610", f"two columns are called {shown(cell)}", cure)
    if lacking := [each for each in names if each not in cells]:
        message = f"the first line does not name the column {listed(lacking, 'and')}"
        return Problem(Place(file, line, 1), "KB610", message, cure)
    return cells, names


def _row(
    file: str,
    line: int,
    found: Sequence[tuple[int, str]],
    lines: Sequence[str],
    header: tuple[tuple[str, ...], Sequence[str]],
) -> Row | Problem | None:
    """The row of these cells, in `lines` from `line` on; None where it is empty."""
    cells, names = header
    if not any(cell for _, cell in found):
        return None
    needed = max(cells.index(each) for each in names) + 1
    beyond = any(cell for _, cell in found[len(cells) :])
    if len(found) < needed or beyond:
        cure = "write a cell for each column, and quote a cell that holds the sign between cells"
        message = f"{counted(len(found), 'cell')} instead of {len(cells)}"
        return Problem(Place(file, line, 1), "KB610", message, cure)
    at = {each: found[cells.index(each)] for each in names}
    places = {each: place_in(lines, line, begin) for each, (begin, _) in at.items()}
    return Row(file, line, {each: text for each, (_, text) in at.items()}, places)
