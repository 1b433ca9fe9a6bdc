"""How many columns a piece has: whole repeats and the two ends, from whichever of them was written."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from kitbuild.spec.source import Path
from kitbuild.spec.words import counted

MOST: Final = 2000


@dataclass(frozen=True, slots=True)
class Misfit:
    """Why columns and repeats do not agree; `path` leads from the piece to the fault."""

    path: Path
    message: str
    cure: str


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
