"""Bytes of a list to its lines and cells, as spreadsheets save them: encodings, line ends, quotes."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from contextlib import suppress
from typing import Final

from kitbuild.base.problem import Place, Problem

LARGEST_BYTES: Final = 16 << 20
FORMULA: Final = ("=", "+", "-", "@", "\t")
"""How a cell begins that a spreadsheet would run."""
_TALLEST: Final = 50
"""Lines of one cell, at most."""
_CELL: Final = {sep: re.compile(rf'(?:"((?:[^"]|"")*)"|([^{sep}]*))({sep}|$)') for sep in (",", ";", "\t")}


def text_of(file: str, content: bytes) -> str | Problem:
    """The text of a list in UTF-8 or UTF-16, or why it has none."""
    if len(content) > LARGEST_BYTES:
        message = f"the list is larger than {LARGEST_BYTES >> 20} MiB"
        return Problem(Place(file), "KB102", message, "divide it, or take out what is done")
    wide = content.startswith((b"\xff\xfe", b"\xfe\xff"))
    try:
        text = content.decode("utf-16" if wide else "utf-8-sig")
    except UnicodeDecodeError as error:
        before = content[: 0 if wide else error.start].decode("utf-8-sig")
        return Problem(_end(file, before), "KB610", "the list is not UTF-8", "save it as CSV in UTF-8")
    if "\0" in text:
        place = _end(file, text[: text.index("\0")])
        return Problem(place, "KB610", "the list is no text", "save it as CSV in UTF-8")
    return text


def _end(file: str, text: str) -> Place:
    """Where a file goes on that begins with this text."""
    lines = re.split("\r\n|\r|\n", text)
    return Place(file, len(lines), len(lines[-1]) + 1)


class Quote(ValueError):
    """A quote where none may stand: in the cell that begins at this place of its row."""

    def __init__(self, at: int, message: str, cure: str) -> None:
        super().__init__(message, cure)
        self.at, self.message, self.cure = at, message, cure

    def problem(self, file: str, line: int) -> Problem:
        """The problem of a row that begins in this line."""
        return Problem(Place(file, line, self.at + 1), "KB610", self.message, self.cure)


def split(text: str, sep: str) -> Iterator[tuple[int, str]]:
    """Where each cell begins in the text of its row, and its own; Quote for a quote that stands alone."""
    at, more = 0, True
    while more:
        match = _CELL[sep].match(text, at)
        if not match or (match[1] is None and '"' in match[2]):
            raise _stray(at, text[at:].lstrip())
        cell = match[1].replace('""', '"') if match[1] is not None else match[2]
        lead = len(cell) - len(cell.lstrip())
        yield at + lead, cell.strip()
        at, more = match.end(), bool(match[3])


def _stray(at: int, cell: str) -> Quote:
    if cell.startswith(FORMULA):
        return Quote(at, "the cell is a formula", "write what it shows")
    if cell.startswith('"'):
        return Quote(at, "a quote is not closed", "close it")
    return Quote(
        at, "a quote stands inside a cell", 'quote the whole cell, and write `""` for each `"` in it'
    )


def cells_at(lines: Sequence[tuple[int, str]], at: int, sep: str) -> tuple[list[tuple[int, str]], int]:
    """The cells of the row that begins at a line, and how many lines: a quoted cell may take several."""
    quotes, many = 0, 0
    for _, text in lines[at : at + _TALLEST]:
        quotes, many = quotes + text.count('"'), many + 1
        if quotes % 2 == 0:
            break
    if quotes % 2 == 0 and many > 1:
        with suppress(Quote):
            return list(split("\n".join(text for _, text in lines[at : at + many]), sep)), many
    return list(split(lines[at][1], sep)), 1


def place_in(lines: Sequence[str], line: int, at: int) -> tuple[int, int]:
    """The line and column of a place in lines that were joined, the first of which is `line`."""
    for more, text in enumerate(lines):
        if at <= len(text):
            return line + more, at + 1
        at -= len(text) + 1
    return line, 1
