"""Text read by the types that the schema names; unknown keys are told here, once."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any, Final

from kitbuild.base.problem import Problem
from kitbuild.spec.schema import Data, child
from kitbuild.spec.source import Path, Step
from kitbuild.spec.words import listed, nearest, shown
from kitbuild.spec.yaml_text import MOST_TOLD, Parsed

_WHOLE = re.compile(r"-?(0|[1-9][0-9]{0,11})")
_NUMBER = re.compile(r"-?(0|[1-9][0-9]{0,11})(\.[0-9]{1,12})?")
_FLAGS: Final = {"true": True, "false": False}


class TooMany(Exception):
    """There are more unknown keys than can be told; carries the problems of the first ones."""

    def __init__(self, problems: list[Problem]) -> None:
        super().__init__(f"{len(problems)} problems")
        self.problems = tuple(problems)


@dataclass(frozen=True, slots=True, eq=False)
class Read:
    """Typed data under the names that the schema knows.

    A misspelt key stands under the name that was probably meant, so that it is told only once; `renamed`
    leads from such a path to the step that was written. `strange` are the mappings with a key that is left
    out, since it is near no known name.
    """

    data: dict[str, Any]
    problems: tuple[Problem, ...]
    renamed: dict[Path, Step]
    strange: frozenset[Path]

    def written(self, path: Path) -> Path:
        """The path as it stands in the file."""
        return tuple(self.renamed.get(path[: index + 1], step) for index, step in enumerate(path))


def read_types(parsed: Parsed, root: dict[str, Any]) -> Read:
    """Plain text as whole numbers, decimals, true or false where the schema asks for them.

    Text that does not fit stays text, so that the schema's check finds it. TooMany for too many unknown keys.
    """
    reader = _Reader(parsed, root)
    data = reader.walk(parsed.data, root, (), ())
    return Read(data, tuple(reader.problems), reader.renamed, frozenset(reader.strange))


@dataclass(slots=True)
class _Reader:
    parsed: Parsed
    root: dict[str, Any]
    problems: list[Problem] = field(default_factory=list)
    renamed: dict[Path, Step] = field(default_factory=dict)
    strange: set[Path] = field(default_factory=set)

    def walk(self, value: Data, schema: dict[str, Any], path: Path, written: Path) -> Data:
        """The typed value; `written` is its path in the file, `path` the one under known names."""
        if isinstance(value, list):
            item = child(schema, 0, self.root)
            return [self.walk(part, item, (*path, i), (*written, i)) for i, part in enumerate(value)]
        if not isinstance(value, dict):
            return _scalar(value, schema.get("type")) if written in self.parsed.plain else value
        names = self._names(value, schema, path, written)
        return {
            name: self.walk(value[key], child(schema, name, self.root), (*path, name), (*written, key))
            for key, name in names.items()
        }

    def _names(
        self, value: dict[str, Any], schema: dict[str, Any], path: Path, written: Path
    ) -> dict[str, str]:
        """Written key to known name; what is unknown and near nothing is left out."""
        known = schema.get("properties")
        if known is None or schema.get("additionalProperties") is not False:
            return {key: key for key in value}
        names = {key: key for key in value if key in known}
        for key in value:
            if key in known or (*written, key) in self.parsed.blamed:
                continue
            free = [name for name in known if name not in names.values()]
            wanted = [name for name in schema.get("required", ()) if name in free]
            close = nearest(key, wanted) or nearest(key, free)
            if close:
                names[key] = close
                self.renamed[(*path, close)] = key
            else:
                self.strange.add(path)
            others = f"take it out, or use {listed(sorted(free)[:9])}" if free else "take it out"
            cure = f"did you mean {shown(close)}?" if close else others
            place = self.parsed.at.key(*written, key)
            self.problems.append(Problem(place, "KB202", f"unknown key {shown(key)}", cure))
            if len(self.problems) > MOST_TOLD:
                raise TooMany(self.problems[:-1])
        return names


def _scalar(text: str, kind: str | None) -> Data:
    if kind == "integer" and _WHOLE.fullmatch(text):
        return int(text)
    if kind == "number" and _NUMBER.fullmatch(text):
        return Decimal(text)
    return _FLAGS.get(text, text) if kind == "boolean" else text
