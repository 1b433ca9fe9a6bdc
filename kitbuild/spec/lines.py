"""A pattern's line: from one of the three ways of writing it to groups with their drops.

Heights are bars below the first group (above: negative); `drift` is the height of the next repeat.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from kitbuild.spec.formats import read_drift, read_group, read_run
from kitbuild.spec.piece import Group, Line
from kitbuild.spec.source import Path


@dataclass(frozen=True, slots=True)
class Shape:
    """One repeat of a line."""

    groups: tuple[Group, ...]
    drift: int

    @property
    def columns(self) -> int:
        """Stitches, and so columns, of one repeat."""
        return sum(group.stitches for group in self.groups)


class LineFault(Exception):
    """The line cannot be worked; `path` leads from the line to the fault."""

    def __init__(self, path: Path, message: str, cure: str) -> None:
        super().__init__(message)
        self.path, self.message, self.cure = path, message, cure


def shape(line: Mapping[str, Any]) -> Shape:
    """The groups of one repeat of a line that the schema has passed; LineFault if it cannot be worked."""
    if "list" in line:
        return _listed(line["list"], line.get("drift", ""))
    if "groups" in line:
        return _scallop(line["groups"], line["step"], line["turns"] == "twice", line["towards"] == "up")
    return _zigzag(line, line["turns"] == "twice")


def zigzags(line: Line) -> Iterator[tuple[int, Line]]:
    """The same zigzag with one or two groups more or fewer each way; nothing for another line.

    Each comes with its groups down, which are its groups up too.
    """
    size, step = line.groups[0].stitches, max(abs(group.drop) for group in line.groups)
    for twice in (False, True):
        deep = len(line.groups) // 2 + (not twice)
        written = {"groups_of": size, "step": step, "down": deep, "up": deep}
        if step and deep > 1 and _zigzag(written, twice).groups == line.groups:
            for other in (deep - 1, deep + 1, deep - 2, deep + 2):
                if other > 1:
                    found = _zigzag({**written, "down": other, "up": other}, twice)
                    yield other, Line(found.groups, found.drift, line.at)


def _zigzag(line: Mapping[str, Any], twice: bool) -> Shape:
    """a groups down, b up, turning groups in both counts: a + b groups, or a + b - 2 when turned once."""
    down, up, step = line["down"], line["up"], line["step"]
    if not twice and min(down, up) < 2:
        key = "down" if down < 2 else "up"
        cure = "write 2 or more: both turning groups are counted"
        raise LineFault((key,), f"a line that turns once needs more than 1 group {key}", cure)
    drift = (down - up) * step
    falling = [number * step for number in range(down)]
    rising = [(down - 1 - number) * step for number in range(up)]
    heights = [*falling, *rising] if twice else [*falling, *rising[1:-1]]
    return _with_drops([line["groups_of"]] * len(heights), heights, drift)


def _scallop(runs: Sequence[str], step: int, twice: bool, upwards: bool) -> Shape:
    """Groups that step one by one to the middle of the list and back."""
    sizes = [size for count, size in map(read_run, runs) for _ in range(count)]
    if len(sizes) < 2:
        raise LineFault(("groups",), "one group makes no line", "write two groups or more")
    bars = -step if upwards else step
    heights = [min(index, len(sizes) - 1 - index) * bars for index in range(len(sizes))]
    return _with_drops(sizes, heights, 0) if twice else _with_drops(sizes[:-1], heights[:-1], 0)


def _listed(entries: Sequence[str], drift: str) -> Shape:
    """Groups one by one; the first closes the repeat."""
    groups = [read_group(entry) for entry in entries]
    heights = [0]
    for index, (_, drop) in enumerate(groups):
        if (drop is None) != (index == 0):
            raise _where(index)
        heights += [heights[-1] + drop] if drop is not None else []
    return _with_drops([stitches for stitches, _ in groups], heights, read_drift(drift) if drift else 0)


def _where(index: int) -> LineFault:
    path = ("list", index)
    if not index:
        return LineFault(path, "the first group has no group before it", "write its stitches alone")
    cure = "add `down 2`, `up 2` or the like; `down 0` is level"
    return LineFault(path, "this group does not say where it stands", cure)


def _with_drops(sizes: Sequence[int], heights: Sequence[int], drift: int) -> Shape:
    drops = [drift - heights[-1], *(after - before for before, after in pairwise(heights))]
    return Shape(tuple(Group(size, drop) for size, drop in zip(sizes, drops, strict=True)), drift)
