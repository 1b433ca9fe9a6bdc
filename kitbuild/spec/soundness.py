"""Which parts of a file are sound when others are faulty, and the data that is left of them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from kitbuild.spec.marks import PackedMarks
from kitbuild.spec.schema import Data, child, resolved
from kitbuild.spec.source import Path, Source, Step


@dataclass(frozen=True, slots=True, eq=False)
class Marks:
    """Where a file is faulty, by paths under known names.

    `bad` values have their Problem and are left out of the data. `lacking` mappings are without a key that
    they need. Of `strange` ones something was written that could not be read, so that nothing can be
    concluded from what they lack. `touched` are all of these and every path that leads to one.
    """

    bad: frozenset[Path]
    lacking: frozenset[Path]
    strange: frozenset[Path]
    touched: frozenset[Path]


def marks(bad: Iterable[Path], lacking: Iterable[Path], strange: Iterable[Path]) -> Marks:
    """Marks from the paths of the three kinds of fault."""
    kinds = (frozenset(bad), frozenset(lacking), frozenset(strange))
    every = {path for kind in kinds for path in kind}
    touched = frozenset(path[:end] for path in every for end in range(len(path) + 1))
    return Marks(*kinds, touched)


def left(value: Data, schema: dict[str, Any], root: dict[str, Any], bad: frozenset[Path]) -> Data:
    """`value` without what is bad, and with the schema's defaults where nothing was written.

    Within lists None stands for what is left out, so that places stay right.
    """
    return _left(value, schema, root, bad, ())


def _left(
    value: Data, schema: dict[str, Any], root: dict[str, Any], bad: frozenset[Path], path: Path
) -> Data:
    if isinstance(value, list):
        item = child(schema, 0, root)
        return [
            None if (*path, index) in bad else _left(part, item, root, bad, (*path, index))  # type: ignore[misc]
            for index, part in enumerate(value)
        ]
    if not isinstance(value, dict):
        return value
    whole = {**_defaults(schema, root), **value}
    return {
        key: _left(part, child(schema, key, root), root, bad, (*path, key))
        for key, part in whole.items()
        if (*path, key) not in bad
    }


def _defaults(schema: dict[str, Any], root: dict[str, Any]) -> dict[str, Any]:
    named = {key: resolved(part, root) for key, part in schema.get("properties", {}).items()}
    return {key: part["default"] for key, part in named.items() if "default" in part}


def meant(renamed: Mapping[Path, Step]) -> Callable[[Path], Path]:
    """From a path as it is written to the one under known names; `renamed` leads the other way."""
    names = {(path[:-1], step): path[-1] for path, step in renamed.items()}

    def follow(written: Path) -> Path:
        path: Path = ()
        for step in written:
            path = (*path, names.get((path, step), step))
        return path

    return follow


def under_known_names(source: Source, renamed: Mapping[Path, Step]) -> Source:
    """The source with places by the names that were meant as well as by those that were written."""
    if not renamed:
        return source
    follow = meant(renamed)
    keys, values = (
        {**{follow(path): mark for path, mark in marked.items()}, **marked}
        for marked in (source.keys, source.values)
    )
    return Source(source.file, source.content, PackedMarks(keys), PackedMarks(values))
