"""A file that was read: its bytes, and the place of every value in it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from kitbuild.base.problem import Place
from kitbuild.spec.marks import Path, Step


@dataclass(frozen=True, slots=True, eq=False)
class Source:
    """A parsed file; `keys` and `values` give (line, column) of each key and value by its path."""

    file: str
    content: bytes
    keys: Mapping[Path, tuple[int, int]]
    values: Mapping[Path, tuple[int, int]]


@dataclass(frozen=True, slots=True, eq=False)
class At:
    """A value's address: its file and the path that leads to it."""

    source: Source
    path: Path = ()

    def __call__(self, *steps: Step) -> Place:
        """The place of a value below this one, or of the nearest value above it that was written."""
        path = self.path + steps
        while path and path not in self.source.values:
            path = path[:-1]
        line, column = self.source.values.get(path, (1, 1))
        return Place(self.source.file, line, column)

    def key(self, *steps: Step) -> Place:
        """The place of a key itself."""
        path = self.path + steps
        mark = self.source.keys.get(path)
        return Place(self.source.file, *mark) if mark else self(*steps)

    def below(self, *steps: Step) -> At:
        """The address of a value below this one."""
        return At(self.source, self.path + steps)
