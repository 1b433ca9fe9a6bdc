"""Charted work: stitches as a kit file writes them by column, or as a CSV file beside it lists them."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from kitbuild.base.problem import Place, Problem
from kitbuild.spec.formats import read_chart_columns
from kitbuild.spec.piece import Chart
from kitbuild.spec.source import At, Path, Source
from kitbuild.spec.words import counted, shown

HEADER: Final = ("x1", "y1", "x2", "y2", "colour")
_KEY: Final = re.compile(r"[a-z][a-z0-9-]{0,31}")
_HOLE: Final = re.compile(r"[1-9][0-9]{0,3}")
_MOST_TOLD: Final = 12
LARGEST_CHART_BYTES: Final = 8 << 20
"""Room for a stitch over 1 in each hole of the largest kit, and no more than is read in a second."""

Stitch = tuple[int, int, int, int, str]


@dataclass(frozen=True, slots=True, eq=False)
class ChartFile:
    """A chart that was read from a CSV file: its stitches, each with its place, and what is wrong with it."""

    source: Source
    stitches: tuple[Stitch, ...]
    problems: tuple[Problem, ...]


def read_chart(file: str, content: bytes) -> ChartFile:
    """The stitches of a CSV file with the columns x1,y1,x2,y2,colour; a place for each fault."""
    lines = _lines(file, content)
    wrong = lines if isinstance(lines, Problem) else _header_fault(file, lines)
    if wrong or isinstance(lines, Problem):
        return ChartFile(Source(file, content, {}, {}), (), (wrong,) if wrong else ())
    stitches: list[Stitch] = []
    marks: dict[Path, tuple[int, int]] = {}
    problems: list[Problem] = []
    for line, text in enumerate(lines[1:], 2):
        row = _cells(text)
        if not any(cell.strip() for cell in row):
            continue
        found = [] if _is_stitch(row) else list(_row_faults(file, line, text, row))
        problems += found
        if not found:
            marks[len(stitches),] = (line, 1)
            x1, y1, x2, y2 = (int(cell) for cell in row[:4])
            stitches.append((x1, y1, x2, y2, row[4].strip()))
    if not stitches and not problems:
        cure = "write a line for each stitch"
        problems.append(Problem(Place(file, 1, 1), "KB330", "the chart file has no stitches", cure))
    told = tuple(problems[:_MOST_TOLD])
    return ChartFile(Source(file, content, {}, marks), tuple(stitches), told)


def _lines(file: str, content: bytes) -> list[str] | Problem:
    """The lines of a chart file, or why it cannot be read."""
    if len(content) > LARGEST_CHART_BYTES:
        most = LARGEST_CHART_BYTES >> 20
        return Problem(
            Place(file), "KB102", f"the chart file is larger than {most} MiB", "make the piece smaller"
        )
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return Problem(Place(file), "KB330", "the chart file is not UTF-8", "save it as CSV in UTF-8")
    return text.replace("\r\n", "\n").replace("\r", "\n").split("\n")


def _cells(line: str) -> list[str]:
    """The cells of one line; none of them holds a line's end."""
    if '"' not in line:
        return line.split(",")
    try:
        return next(csv.reader([line]), [])
    except csv.Error:
        return [line]


def _is_stitch(row: Sequence[str]) -> bool:
    if len(row) != len(HEADER) or not _KEY.fullmatch(row[4].strip()):
        return False
    return all(_HOLE.fullmatch(cell.strip()) for cell in row[:4])


def _header_fault(file: str, lines: Sequence[str]) -> Problem | None:
    found = tuple(cell.strip() for cell in _cells(lines[0]))
    if found == HEADER:
        return None
    cure = f"begin with the line {','.join(HEADER)}"
    if len(found) == 1 and ";" in found[0]:
        cure = "save it with commas between the columns, not semicolons"
    return Problem(Place(file, 1, 1), "KB330", "the first line does not name the columns of a chart", cure)


def _row_faults(file: str, line: int, text: str, row: Sequence[str]) -> Iterator[Problem]:
    if len(row) != len(HEADER):
        cure = f"write {','.join(HEADER)}"
        yield Problem(
            Place(file, line, 1), "KB330", f"{counted(len(row), 'column')} instead of {len(HEADER)}", cure
        )
        return
    column = 1
    for name, cell in zip(HEADER, row, strict=True):
        good = _KEY if name == "colour" else _HOLE
        if not good.fullmatch(cell.strip()):
            what = "a key of the palette" if name == "colour" else "a hole, a whole number from 1"
            place = Place(file, line, 1 if '"' in text else column + len(cell) - len(cell.lstrip()))
            yield Problem(place, "KB330", f"{name} is {shown(cell.strip())}", f"write {what}")
        column += len(cell) + 1


def written_stitches(entries: Sequence[str], tops: Sequence[int]) -> tuple[tuple[Stitch, int], ...]:
    """Stitches of a chart in a kit file, each with the number of its entry.

    `tops` gives the hole row in which each column's stitches begin; a column beyond them begins in row 1.
    """
    stitches: list[tuple[Stitch, int]] = []
    for at, entry in enumerate(entries):
        first, last, parts = read_chart_columns(entry)
        for x in range(first, last + 1):
            y = tops[x - 1] if x <= len(tops) else 1
            for bars, colour in parts:
                stitches.append(((x, y, x, y + bars, colour), at))
                y += bars
    return tuple(stitches)


def chart_of_entries(entries: Sequence[str], tops: Sequence[int], at: At) -> tuple[Chart, tuple[str, ...]]:
    """The record of a chart in a kit file, and its colours in the order in which they come."""
    found = written_stitches(entries, tops)
    marks = {(number,): at.source.values[(*at.path, entry)] for number, (_, entry) in enumerate(found)}
    source = Source(at.source.file, at.source.content, {}, marks)
    return _record([stitch for stitch, _ in found], At(source))


def chart_of_file(chart: ChartFile) -> tuple[Chart, tuple[str, ...]]:
    """The record of a chart file, and its colours in the order in which they come."""
    return _record(chart.stitches, At(chart.source))


def _record(stitches: Sequence[Stitch], at: At) -> tuple[Chart, tuple[str, ...]]:
    colours = tuple(dict.fromkeys(stitch[4] for stitch in stitches))
    numbers: Mapping[str, int] = {key: number for number, key in enumerate(colours)}
    x1, y1, x2, y2, names = zip(*stitches, strict=True) if stitches else ((), (), (), (), ())
    return Chart(x1, y1, x2, y2, tuple(numbers[name] for name in names), at), colours
