"""How many columns a piece has: whole repeats and the two ends, from whichever of them was written."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from kitbuild.spec.piece import Group
from kitbuild.spec.source import Path
from kitbuild.spec.words import counted

MOST: Final = 2000


@dataclass(frozen=True, slots=True)
class Misfit:
    """Why columns and repeats do not agree; `path` leads from the piece to the fault."""

    path: Path
    message: str
    cure: str


@dataclass(frozen=True, slots=True)
class Layout:
    """How wide a piece is, and the columns that stand before its first whole repeat and after its last."""

    columns: int
    left: int
    right: int


def layout_of(piece: Mapping[str, Any], groups: Sequence[Group]) -> Layout | Misfit:
    """Columns and ends of a piece whose line has these groups; none for four-way and charted work."""
    pattern = piece["pattern"]
    if pattern.get("family") in ("four-way", "charted"):
        if "columns" not in piece:
            return Misfit((), "nothing says how wide the piece is", "add `columns`")
        return Layout(piece["columns"], 0, 0)
    if "centre" in pattern:
        return _centred(piece, groups, pattern["centre"])
    found = columns_of(piece, sum(group.stitches for group in groups))
    if isinstance(found, Misfit):
        return found
    return Layout(found, pattern["ends"]["left"], pattern["ends"]["right"])


def _centred(piece: Mapping[str, Any], groups: Sequence[Group], centre: str) -> Layout | Misfit:
    """Ends such that a peak, a valley or the middle between them stands in the middle of the columns."""
    pattern, path = piece["pattern"], ("pattern", "centre")
    if "columns" not in piece:
        return Misfit(path, "a centre needs the columns that it is the centre of", "add `columns`")
    if pattern["ends"]["left"] or pattern["ends"]["right"] or "repeats" in pattern:
        return Misfit(path, "the centre already says the repeats and ends", "take `repeats` and `ends` out")
    repeat, columns = sum(group.stitches for group in groups), piece["columns"]
    middle = middle_of(groups, centre)
    if middle is None:
        return Misfit(path, "the line never turns: it has no peak and no valley", "take `centre` out")
    twice = columns - 1 - middle
    if twice % 2:
        near = " or ".join(str(count) for count in (columns + 1, columns - 1) if 2 <= count <= MOST)
        what = "slope" if centre == "between" else centre
        message = f"{columns} columns cannot have the middle of a {what} in their middle"
        return Misfit(path, message, f"use {near} columns")
    left = twice // 2 % repeat
    return Layout(columns, left, max(0, columns - left) % repeat)


def middle_of(groups: Sequence[Group], centre: str) -> int | None:
    """Twice the place, from 0, of the line's highest peak, its lowest valley, or the middle of a slope.

    Of several the first counts; the slope is the one from that peak to the next valley. None where the line
    goes one way only, or is level.
    """
    turns, repeat = list(_turns(groups)), sum(group.stitches for group in groups)
    if len(turns) < 2:
        return None
    peak = min((turn for turn in turns if turn[2]), key=lambda turn: turn[1])
    if centre == "peak":
        return peak[0]
    if centre == "valley":
        return max((turn for turn in turns if not turn[2]), key=lambda turn: turn[1])[0]
    at = turns.index(peak)
    after = turns[at + 1][0] if at + 1 < len(turns) else turns[0][0] + 2 * repeat
    return (peak[0] + after) // 2


def _turns(groups: Sequence[Group]) -> Iterator[tuple[int, int, bool]]:
    """Where the line turns within a repeat: twice the middle, the height, and whether it is a peak.

    A turn is a run of groups at one height; the last one may run on over the repeat's end.
    """
    many, height, start = len(groups), 0, 0
    begin, entered, way = 0, many, 0
    for at in range(2 * many):
        group = groups[at % many]
        if group.drop:
            if entered < many and (way < 0) != (group.drop < 0):
                yield begin + start - 1, height, way < 0
            begin, entered, way = start, at, group.drop
        height += group.drop if at else 0
        start += group.stitches


def columns_of(piece: Mapping[str, Any], repeat: int) -> int | Misfit:
    """The columns of a piece whose line's repeat has `repeat` columns, or why there is no such number."""
    pattern = piece["pattern"]
    left, right = pattern["ends"]["left"], pattern["ends"]["right"]
    for end, size in (("left", left), ("right", right)):
        if size >= repeat:
            cure = f"write 0 to {repeat - 1}, and count whole repeats as `repeats`"
            message = f"{size} columns at the {end} are no part repeat: a repeat has {repeat}"
            return Misfit(("pattern", "ends", end), message, cure)
    if "repeats" not in pattern:
        return _from_columns(piece.get("columns"), repeat, left, right)
    columns = repeat * pattern["repeats"] + left + right
    if piece.get("columns", columns) != columns:
        written = counted(piece["columns"], "column")
        message = f"{written} written, but {_sum(pattern['repeats'], repeat, left, right)} columns"
        return Misfit(("columns",), message, f"write {columns}, or leave `columns` out")
    if not 2 <= columns <= MOST:
        cure = f"a piece has 2 to {MOST} columns: change `repeats` or `ends`"
        return Misfit(("pattern", "repeats"), f"the repeats and ends make {counted(columns, 'column')}", cure)
    return columns


def _from_columns(columns: int | None, repeat: int, left: int, right: int) -> int | Misfit:
    if columns is None:
        return Misfit((), "nothing says how wide the piece is", "add `columns`, or `repeats` to its pattern")
    repeats, rest = divmod(columns - left - right, repeat)
    if repeats < 0:
        message = f"the ends alone are {counted(left + right, 'column')}, the piece has {columns}"
        return Misfit(("columns",), message, "write more columns or shorter ends")
    if not rest:
        return columns
    ends = f" with ends of {left} and {right}" if left or right else ""
    whole = f"{counted(repeats, 'repeat')} of {repeat}{ends}"
    message = f"{columns} columns is {whole} and {counted(rest, 'column')} more"
    return Misfit(("columns",), message, _cure(columns, rest, repeat, left, right))


def _cure(columns: int, rest: int, repeat: int, left: int, right: int) -> str:
    near = [count for count in (columns - rest, columns - rest + repeat) if 2 <= count <= MOST]
    spare = left + right + rest
    new_left, new_right = (left, right + rest) if left or right else (spare // 2, spare - spare // 2)
    if new_right >= repeat:
        spare %= repeat
        new_left, new_right = spare // 2, spare - spare // 2
    counts = " or ".join(map(str, near))
    return f"make it {counts} columns, or write `ends: {{left: {new_left}, right: {new_right}}}`"


def _sum(repeats: int, repeat: int, left: int, right: int) -> str:
    ends = f" with ends of {left} and {right}" if left or right else ""
    total = repeats * repeat + left + right
    return f"the pattern's {counted(repeats, 'repeat')} of {repeat}{ends} is {total}"
