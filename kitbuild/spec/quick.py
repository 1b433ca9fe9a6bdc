"""Whether data fits a schema, yes or no, and quickly: a schema becomes a few small tests.

The validator that says what is wrong, and where, is only asked when the answer is no. To a schema with a word
that is not known here nothing fits, so that the validator decides.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from decimal import Decimal
from functools import cache
from typing import Any, Final

from kitbuild.spec.formats import FORMATS
from kitbuild.spec.schema import load_schema

Test = Callable[[Any], bool]
Schema = Mapping[str, Any]

_ANNOTATIONS: Final = frozenset(
    ("title", "description", "examples", "default", "errorMessage", "$schema", "$defs", "$comment")
)
_SIZES: Final = {
    "minLength": str,
    "maxLength": str,
    "minItems": list,
    "maxItems": list,
    "minProperties": dict,
    "maxProperties": dict,
}
#: Words that are read together with another one.
_BESIDE: Final = frozenset(("then", "else"))


@cache
def quick_test(kind: str) -> Test:
    """The test of a kind of file."""
    root = load_schema(kind)
    made: dict[str, Test] = {}
    return _test(root, root, made)


def _test(schema: Schema | bool, root: Schema, made: dict[str, Test]) -> Test:
    """All tests of a schema as one."""
    if isinstance(schema, bool):
        return lambda value: schema
    tests = [_of_word(word, schema, root, made) for word in _words(schema)]
    if len(tests) == 1:
        return tests[0]
    return lambda value: all(test(value) for test in tests)


def _words(schema: Schema) -> Iterator[str]:
    """The words of a schema that say something, type first; `properties` speaks for its neighbours."""
    words = [word for word in schema if word not in _ANNOTATIONS and word not in _BESIDE]
    plain = [word for word in words if word not in _MAPPING]
    yield from sorted(plain, key=lambda word: word != "type")
    if len(plain) < len(words):
        yield "properties"


def _of_word(word: str, schema: Schema, root: Schema, made: dict[str, Test]) -> Test:
    limit = schema.get(word)
    if word in _SIZES:
        return _size(_SIZES[word], limit, word.startswith("min"))
    if word == "$ref":
        return _reference(str(limit), root, made)
    if word == "if":
        then, other = (_test(schema.get(branch, True), root, made) for branch in ("then", "else"))
        condition = _test(limit, root, made)
        return lambda value: then(value) if condition(value) else other(value)
    if word == "allOf":
        tests = [_test(part, root, made) for part in limit]
        return lambda value: all(test(value) for test in tests)
    if word == "not":
        refused = _test(limit, root, made)
        return lambda value: not refused(value)
    if word == "items":
        item = _test(limit, root, made)
        return lambda value: not isinstance(value, list) or all(map(item, value))
    if word == "properties":
        return _mapping(schema, root, made)
    simple = _SIMPLE.get(word)
    return simple(limit) if simple else lambda value: False


def _reference(name: str, root: Schema, made: dict[str, Test]) -> Test:
    """A definition, compiled once however often it is named."""
    if name not in made:
        made[name] = lambda value: made[name](value)
        made[name] = _test(root["$defs"][name.rpartition("/")[2]], root, made)
    return made[name]


def _mapping(schema: Schema, root: Schema, made: dict[str, Test]) -> Test:
    """Known keys by their own tests, others by that of additional ones."""
    known = {key: _test(part, root, made) for key, part in schema.get("properties", {}).items()}
    others = _test(schema.get("additionalProperties", True), root, made)
    names = _test(schema["propertyNames"], root, made) if "propertyNames" in schema else None

    def fits(value: Any) -> bool:  # noqa: ANN401 - whatever a file holds
        if not isinstance(value, dict):
            return True
        for key, part in value.items():
            if not known.get(key, others)(part) or (names and not names(key)):
                return False
        return True

    return fits


def _size(kind: type, limit: int, least: bool) -> Test:
    if least:
        return lambda value: not isinstance(value, kind) or len(value) >= limit
    return lambda value: not isinstance(value, kind) or len(value) <= limit


def _is_number(value: object) -> bool:
    return isinstance(value, int | float | Decimal) and not isinstance(value, bool)


_TYPES: Final[dict[str, Test]] = {
    "object": lambda value: isinstance(value, dict),
    "array": lambda value: isinstance(value, list),
    "string": lambda value: isinstance(value, str),
    "boolean": lambda value: isinstance(value, bool),
    "integer": lambda value: isinstance(value, int) and not isinstance(value, bool),
    "number": _is_number,
}


def _pattern(limit: str) -> Test:
    search = re.compile(limit).search
    return lambda value: not isinstance(value, str) or search(value) is not None


def _format(limit: str) -> Test:
    form = FORMATS.get(limit)
    return lambda value: form is None or not isinstance(value, str) or form.fits(value)


def _required(limit: list[str]) -> Test:
    return lambda value: not isinstance(value, dict) or all(name in value for name in limit)


def _enum(limit: list[str]) -> Test:
    return lambda value: isinstance(value, str) and value in limit


def _unique(limit: bool) -> Test:
    def unique(value: Any) -> bool:  # noqa: ANN401 - whatever a file holds
        return all(part not in value[:at] for at, part in enumerate(value))

    return lambda value: not limit or not isinstance(value, list) or unique(value)


_SIMPLE: Final[dict[str, Callable[[Any], Test]]] = {
    "type": lambda limit: _TYPES.get(str(limit), lambda value: False),
    "const": lambda limit: lambda value: value == limit,
    "enum": _enum,
    "pattern": _pattern,
    "format": _format,
    "minimum": lambda limit: lambda value: not _is_number(value) or value >= limit,
    "maximum": lambda limit: lambda value: not _is_number(value) or value <= limit,
    "required": _required,
    "uniqueItems": _unique,
}
_MAPPING: Final = ("properties", "additionalProperties", "propertyNames")
WORDS: Final = frozenset(
    (*_SIMPLE, *_SIZES, *_BESIDE, *_ANNOTATIONS, *_MAPPING, "$ref", "if", "allOf", "not", "items")
)
"""Every word of a schema that is known here."""
