"""How problems are told: one a line, with the offending line below on a terminal, or as JSON."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator
from functools import cache
from pathlib import Path
from typing import Final

from kitbuild.base.problem import Place, Problem

_LINE_END: Final = re.compile("\r\n|\r|\n")
_INDENT: Final = "    "
LARGEST: Final = 1 << 20
"""Files beyond this many bytes are not read again to show a line of them."""


def lines(problems: Iterable[Problem], width: int = 0) -> Iterator[str]:
    """Each problem in one line; with a `width` in columns, the line that it stands in and a caret below."""
    read = cache(_source)
    for problem in sorted(set(problems)):
        yield str(problem)
        if width:
            yield from _shown(problem.place, read(problem.place.file), max(width, 24))


def as_json(problems: Iterable[Problem]) -> str:
    """All problems as one JSON document; line and column are null where the whole file is meant."""
    import json

    told = [record(problem) for problem in sorted(set(problems))]
    return json.dumps({"problems": told}, indent=1)


def record(problem: Problem) -> dict[str, str | int | None]:
    """A problem as plain values."""
    return {
        "file": problem.place.file,
        "line": problem.place.line or None,
        "column": problem.place.column or None,
        "code": problem.code,
        "severity": "warning" if problem.warning else "error",
        "message": problem.message,
        "cure": problem.cure,
    }


def _shown(place: Place, source: list[str], width: int) -> Iterator[str]:
    """The source line of a place, cut around its column, and a caret under that column."""
    if not 0 < place.line <= len(source) or not place.column:
        return
    text = source[place.line - 1]
    at = min(place.column - 1, len(text))
    before, after = [_cell(char) for char in text[:at]], [_cell(char) for char in text[at:]]
    room = width - len(_INDENT) - 1
    left = _last(before, room - min(_breadth(after), room // 2))
    right = _first(after, room - _breadth(left))
    yield (_INDENT + "".join([*left, *right])).rstrip()
    yield f"{_INDENT}{' ' * _breadth(left)}^"


def _cell(char: str) -> str:
    """A character as it can be shown: one that a terminal would act upon is replaced."""
    return " " if char == "\t" else char if char.isprintable() else "\N{REPLACEMENT CHARACTER}"


def _columns(char: str) -> int:
    """Columns that a terminal takes for a character: two for wide ones, none for marks upon another."""
    if unicodedata.combining(char):
        return 0
    return 2 if unicodedata.east_asian_width(char) in "WF" else 1


def _breadth(cells: Iterable[str]) -> int:
    return sum(map(_columns, cells))


def _first(cells: list[str], room: int) -> list[str]:
    """As many of the first cells as there is room for, with an ellipsis where some are cut off."""
    if _breadth(cells) <= room:
        return cells
    kept: list[str] = []
    for cell in cells:
        if _breadth(kept) + _columns(cell) > room - 1:
            break
        kept.append(cell)
    return [*kept, "…"]


def _last(cells: list[str], room: int) -> list[str]:
    """The same of the last cells."""
    return _first(cells[::-1], room)[::-1]


def _source(file: str) -> list[str]:
    """The lines of a file that a problem names, none when it cannot be read again."""
    path = Path(file)
    try:
        if not path.is_file() or path.stat().st_size > LARGEST:
            return []
        return _LINE_END.split(path.read_bytes().decode("utf-8-sig", "replace"))
    except OSError:
        return []
