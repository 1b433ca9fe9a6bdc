"""The places of a file's values, kept small: they are looked up only where something is wrong."""

from __future__ import annotations

import marshal
from collections.abc import Iterator, Mapping
from functools import lru_cache
from typing import Final

Step = str | int
Path = tuple[Step, ...]
Mark = tuple[int, int]

_IN_USE: Final = 16
"""Files whose places are at hand at once."""


class PackedMarks(Mapping[Path, Mark]):
    """Line and column by path, packed into a fifth of the memory of a dict; equal packs are unpacked once."""

    __slots__ = ("_packed",)

    def __init__(self, marks: Mapping[Path, Mark]) -> None:
        self._packed = marshal.dumps(dict(marks))

    def __getitem__(self, path: Path) -> Mark:
        return _unpacked(self._packed)[path]

    def __contains__(self, path: object) -> bool:
        return path in _unpacked(self._packed)

    def __iter__(self) -> Iterator[Path]:
        return iter(_unpacked(self._packed))

    def __len__(self) -> int:
        return len(_unpacked(self._packed))


@lru_cache(_IN_USE)
def _unpacked(packed: bytes) -> dict[Path, Mark]:
    marks: dict[Path, Mark] = marshal.loads(packed)
    return marks
