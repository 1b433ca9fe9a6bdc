"""Charted work: stitches as a kit file writes them by column, or as a CSV file beside it lists them."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from kitbuild.base.problem import Place, Problem
from kitbuild.spec.formats import read_chart_columns
from kitbuild.spec.records import Chart
from kitbuild.spec.source import At, Path, Source
from kitbuild.spec.words import shown

HEADER: Final = ("x1", "y1", "x2", "y2", "colour")
_KEY: Final = re.compile(r"[a-z][a-z0-9-]{0,31}")
_HOLE: Final = re.compile(r"[1-9][0-9]{0,3}")
_MOST_TOLD: Final = 12

Stitch = tuple[int, int, int, int, str]


@dataclass(frozen=True, slots=True, eq=False)
class ChartFile:
    """A chart that was read from a CSV file: its stitches, each with its place, and what is wrong with it."""

    source: Source
    stitches: tuple[Stitch, ...]
    problems: tuple[Problem, ...]


def read_chart(file: str, content: bytes) -> ChartFile:
    """The stitches of a CSV file with the columns x1,y1,x2,y2,colour; a place for each fault."""
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        wrong = Problem(Place(file), "KB330", "the chart file is not UTF-8", "save it as CSV in UTF-8")
        return ChartFile(Source(file, content, {}, {}), (), (wrong,))
    rows = list(csv.reader(text.replace("\r\n", "\n").replace("\r", "\n").split("\n")))
    wrong_header = _header_fault(file, rows)
    if wrong_header:
        return ChartFile(Source(file, content, {}, {}), (), (wrong_header,))
    stitches: list[Stitch] = []
    marks: dict[Path, tuple[int, int]] = {}
    problems: list[Problem] = []
    for line, row in enumerate(rows[1:], 2):
        if not any(cell.strip() for cell in row):
            continue
        found = list(_row_faults(file, line, row))
        problems += found
        if not found:
            marks[len(stitches),] = (line, 1)
            x1, y1, x2, y2 = (int(cell) for cell in row[:4])
            stitches.append((x1, y1, x2, y2, row[4].strip()))
    told = tuple(problems[:_MOST_TOLD])
    return ChartFile(Source(file, content, {}, marks), tuple(stitches), told)


def _header_fault(file: str, rows: Sequence[Sequence[str]]) -> Problem | None:
    found = tuple(cell.strip() for cell in rows[0]) if rows else ()
    if found == HEADER:
        return None
    cure = f"begin with the line {','.join(HEADER)}"
    if len(found) == 1 and ";" in found[0]:
        cure = "save it with commas between the columns, not semicolons"
    return Problem(Place(file, 1, 1), "KB330", "the chart file has not the columns of a chart", cure)


def _row_faults(file: str, line: int, row: Sequence[str]) -> Iterator[Problem]:
    if len(row) != len(HEADER):
        cure = f"write {','.join(HEADER)}"
        yield Problem(Place(file, line, 1), "KB330", f"{len(row)} columns instead of {len(HEADER)}", cure)
        return
    for at, (name, cell) in enumerate(zip(HEADER, row, strict=True), 1):
        good = _KEY if name == "colour" else _HOLE
        if not good.fullmatch(cell.strip()):
            what = "a key of the palette" if name == "colour" else "a hole, a whole number from 1"
            yield Problem(Place(file, line, at), "KB330", f"{name} is {shown(cell)}", f"write {what}")


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
