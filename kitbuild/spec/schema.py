"""The JSON Schemas: where they lie, what they say about a path, and their defaults."""

from __future__ import annotations

import json
from collections.abc import Iterator
from decimal import Decimal
from functools import cache
from pathlib import Path as FilePath
from typing import Any, Final

from kitbuild.spec.source import Path

#: What a file holds: text, or what the schema makes of it.
Data = dict[str, Any] | list[Any] | str | int | bool | Decimal

KINDS: Final = ("class", "kit", "materials", "test", "wording", "workshop")


def schema_folder() -> FilePath:
    """Where the schemas lie: inside the installed package, or beside it in the sources."""
    package = FilePath(__file__).parent.parent
    inside = package / "schemas"
    return inside if inside.is_dir() else package.parent / "schemas"


@cache
def load_schema(kind: str) -> dict[str, Any]:
    """The schema of one of KINDS, read once."""
    text = (schema_folder() / f"{kind}.schema.json").read_text(encoding="utf-8")
    schema: dict[str, Any] = json.loads(text)
    return schema


def resolved(schema: object, root: dict[str, Any]) -> dict[str, Any]:
    """`schema` itself, or the definition that it refers to."""
    if not isinstance(schema, dict):
        return {}
    while "$ref" in schema:
        schema = root["$defs"][schema["$ref"].rpartition("/")[2]]
    return schema


def child(schema: dict[str, Any], step: str | int, root: dict[str, Any]) -> dict[str, Any]:
    """The schema of a value one step below, {} where none is named."""
    if isinstance(step, int):
        return resolved(schema.get("items"), root)
    named = schema.get("properties", {}).get(step)
    return resolved(schema.get("additionalProperties") if named is None else named, root)


def schema_at(path: Path, root: dict[str, Any]) -> dict[str, Any]:
    """The schema of the value at `path`, {} where none is named."""
    schema = root
    for step in path:
        schema = child(schema, step, root)
    return schema


def leaves(
    value: Data, schema: dict[str, Any], root: dict[str, Any], path: Path = ()
) -> Iterator[tuple[Path, Any, dict[str, Any]]]:
    """Every value that is neither mapping nor list, with its path and schema; None is passed over."""
    if isinstance(value, dict):
        for key, part in value.items():
            yield from leaves(part, child(schema, key, root), root, (*path, key))
    elif isinstance(value, list):
        for index, part in enumerate(value):
            yield from leaves(part, child(schema, index, root), root, (*path, index))
    elif value is not None:
        yield path, value, schema
