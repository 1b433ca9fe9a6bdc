"""The reference in README.md, written from the schemas and the catalogue of codes: `make reference`."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from kitbuild.base.units import FILM_MM_PER, MM_PER
from kitbuild.spec.codes import catalogue
from kitbuild.spec.schema import load_schema, resolved
from tests.spec.ranges import ROOT

README = ROOT / "README.md"
BEGIN, END = "<!-- reference -->", "<!-- end of reference -->"
KINDS = ("kit", "workshop", "materials", "wording", "test", "class")
FORMS = {
    "length": f"length ({', '.join(MM_PER)})",
    "length-above-0": f"length above 0 ({', '.join(MM_PER)})",
    "canvas-length": f"length ({', '.join(MM_PER)}) or holes",
    "film": f"thickness ({', '.join(FILM_MM_PER)})",
    "money": "amount in the currency",
    "share": "percentage",
    "date": "date",
    "rgb": "colour in quotes",
    "sheet": "holes across x down",
    "run": "groups x stitches",
    "group": "stitches, way and bars",
    "drift": "way and bars",
    "text": "text",
    "line": "text",
    "prose": "text, several lines",
}
PLAIN = {"integer": "whole number", "number": "number", "boolean": "`true` or `false`", "string": "word"}
ROOMS = {
    "1": "reading text",
    "2": "keys and values",
    "3": "names, lines and numbers",
    "4": "the pattern",
    "5": "quantities and fit",
    "6": "production",
    "7": "documents and wording",
    "8": "writing",
    "9": "editions",
}


def reference() -> str:
    """The section, with its markers."""
    parts = [BEGIN, "## Reference", *_keys(), *_codes(), END]
    return "\n\n".join(parts)


def renewed(text: str) -> str:
    """README text with the section as it must be."""
    before, _, rest = text.partition(BEGIN)
    return before + reference() + rest.partition(END)[2]


def _keys() -> Iterator[str]:
    yield (
        "Every key of every file. Keys in bold must be written, the others may be left out. "
        "`…` stands for a key of your own."
    )
    for kind in KINDS:
        root = load_schema(kind)
        yield f"### Files of `kind: {kind}`"
        yield str(root["description"])
        for path, schema in _mappings(root, root, ""):
            yield from _table(path, schema, root)


def _mappings(
    schema: dict[str, Any], root: dict[str, Any], path: str
) -> Iterator[tuple[str, dict[str, Any]]]:
    """Every mapping with known keys, with the way to it; what several keys refer to stands once."""
    seen: set[str] = set()
    queue = [(path, schema)]
    while queue:
        where, part = queue.pop(0)
        if part.get("properties"):
            yield where, part
        for key, child in part.get("properties", {}).items():
            queue += _below(f"{where}.{key}".lstrip("."), child, root, seen)
        if isinstance(part.get("additionalProperties"), dict):
            queue += _below(f"{where}.…", part["additionalProperties"], root, seen)


def _below(
    path: str, schema: dict[str, Any], root: dict[str, Any], seen: set[str]
) -> list[tuple[str, dict[str, Any]]]:
    name = schema.get("$ref", "")
    if name in seen:
        return []
    seen.update([name] if name else [])
    part = resolved(schema, root)
    return _below(f"{path}[]", part["items"], root, seen) if "items" in part else [(path, part)]


def _table(path: str, schema: dict[str, Any], root: dict[str, Any]) -> Iterator[str]:
    if path:
        yield f"#### `{path}`"
        yield str(schema["description"])
    lines = ["| key | what it says | type | default | example |", "|---|---|---|---|---|"]
    required = set(schema.get("required", ())) | {
        name for each in schema.get("allOf", ()) for name in _always(each)
    }
    for key, part in schema["properties"].items():
        one = resolved(part, root)
        name = f"**`{key}`**" if key in required else f"`{key}`"
        default = f"`{_yaml(one['default'])}`" if "default" in one else ""
        cells = [name, one["description"], _type(one, root), default, f"`{_example(one)}`"]
        lines.append(f"| {' | '.join(cell.replace('|', chr(92) + '|') for cell in cells)} |")
    yield "\n".join(lines)


def _always(branch: dict[str, Any]) -> list[str]:
    """The keys that a branch asks for when nothing else is written."""
    return list(branch.get("else", {}).get("required", ()))


def _type(schema: dict[str, Any], root: dict[str, Any]) -> str:
    if "const" in schema:
        return f"`{schema['const']}`"
    if "enum" in schema:
        return "one of " + ", ".join(f"`{word}`" for word in schema["enum"])
    if schema["type"] == "array":
        return f"list of: {_type(resolved(schema['items'], root), root)}"
    if schema["type"] == "object":
        return "keys with values"
    words = FORMS.get(schema.get("format", ""), PLAIN[schema["type"]])
    bounds = (
        f", {schema['minimum']} to {schema['maximum']}"
        if "minimum" in schema and words[-6:] == "number"
        else ""
    )
    return words + bounds


def _example(schema: dict[str, Any]) -> str:
    found = schema.get("examples") or [schema.get("default", {})]
    if schema.get("format") == "money":
        return f"{found[0]:.2f}"
    return _yaml(found[0])


def _yaml(value: object) -> str:
    """A value in one line as it stands in a spec."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key}: {_yaml(part)}" for key, part in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(_yaml, value)) + "]"
    if isinstance(value, str) and (value.startswith("#") or value.isdigit()):
        return json.dumps(value)
    return json.dumps(value) if isinstance(value, bool) else str(value)


def _codes() -> Iterator[str]:
    yield "### Codes of problems"
    yield "`kitbuild explain CODE` says more of each, with an example. Warnings stop nothing."
    for number, room in ROOMS.items():
        rows = [
            f"| `{code}` | {'' if entry.level == 'error' else entry.level} | {entry.title} |"
            for code, entry in catalogue().items()
            if code[2] == number
        ]
        yield "\n".join([f"| {room} | | |", "|---|---|---|", *rows])


if __name__ == "__main__":
    README.write_text(renewed(README.read_text(encoding="utf-8")), encoding="utf-8")
