"""From the validator's errors to Problems: every fault once, at its place, in plain words."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final

from kitbuild.base.problem import Place, Problem
from kitbuild.spec.formats import FORMATS
from kitbuild.spec.schema import schema_at
from kitbuild.spec.source import Path
from kitbuild.spec.typed import Read
from kitbuild.spec.words import listed, shown, suggestion
from kitbuild.spec.yaml_text import Parsed

_NOUNS: Final = {
    "string": "text",
    "integer": "a whole number",
    "number": "a number",
    "boolean": "`true` or `false`",
    "object": "keys with values",
    "array": "a list",
}
#: A key that a branch refuses, and the one that it asks for instead: together they are one fault.
_INSTEAD: Final = {"colours": "rings", "rings": "colours", "length": "sheet"}
#: Of several faults of one value, the first of these is told.
_ORDER: Final = ("type", "const", "enum", "minLength", "maxLength", "pattern", "format")


@dataclass(frozen=True, slots=True, eq=False)
class Fault:
    """One error of the validator: the rule that was broken, its schema and the value."""

    path: Path
    rule: str
    schema: dict[str, Any]
    limit: Any
    value: Any
    of_key: bool


def faults_of(data: dict[str, Any], root: dict[str, Any]) -> Iterator[Fault]:
    """Every error of the validator in typed data."""
    from jsonschema import Draft202012Validator, FormatChecker

    checker = FormatChecker(())
    for name, form in FORMATS.items():
        checker.checks(name)(lambda value, form=form: not isinstance(value, str) or form.fits(value))
    for error in Draft202012Validator(root, format_checker=checker).iter_errors(data):
        path = tuple(error.absolute_path)
        of_key = "propertyNames" in error.absolute_schema_path
        schema = error.schema if isinstance(error.schema, dict) else {}
        rule = str(error.validator)
        if of_key:
            path = (*path, error.instance)
        yield Fault(path, rule, schema, error.validator_value, error.instance, of_key)


def problems_of(
    parsed: Parsed, read: Read, root: dict[str, Any], faults: tuple[Fault, ...]
) -> Iterator[Problem]:
    """One Problem for each fault; what is blamed already, or follows from another fault, is left out."""
    missing: dict[Path, list[str]] = defaultdict(list)
    refused: dict[Path, list[Fault]] = defaultdict(list)
    faults = _without_refused_parts(faults)
    for fault in faults:
        if fault.rule == "required":
            missing[fault.path] += [name for name in fault.limit if name not in fault.value]
        elif fault.rule == "not" and fault.path not in read.renamed:
            refused[fault.path[:-1]].append(fault)
    for path, group in refused.items():
        yield _refused_keys(parsed, read.written(path), group, missing[path])
    for path, names in missing.items():
        schema = schema_at(path, root)
        yield from _missing_keys(parsed, read.written(path), names, schema.get("properties", {}))
    yield from _value_problems(parsed, read, faults)


def _without_refused_parts(faults: tuple[Fault, ...]) -> tuple[Fault, ...]:
    """What a refused key holds does not matter any more."""
    refused = {fault.path for fault in faults if fault.rule == "not"}
    return tuple(
        fault
        for fault in faults
        if fault.rule == "not"
        or not any(fault.path[:end] in refused for end in range(1, len(fault.path) + 1))
    )


def _refused_keys(parsed: Parsed, path: Path, group: list[Fault], missing: list[str]) -> Problem:
    """Keys that this branch does not have; the key that was meant is then not missing as well."""
    names = list(dict.fromkeys(str(fault.path[-1]) for fault in group))
    asked = [_INSTEAD[name] for name in names if _INSTEAD.get(name) in missing]
    missing[:] = [name for name in missing if name not in asked]
    subject = group[0].schema["title"]
    first = min(parsed.at.key(*path, name) for name in names)
    cure = f"write {listed(asked, 'and')} instead" if asked else _take_out(names)
    return Problem(first, "KB210", f"{subject} has no {listed(names)}", cure)


def _take_out(names: list[str]) -> str:
    return "take it out" if len(names) == 1 else "take them out"


def _missing_keys(
    parsed: Parsed, path: Path, names: list[str], schemas: dict[str, dict[str, Any]]
) -> Iterator[Problem]:
    unique = [name for name in dict.fromkeys(names) if (*path, name) not in parsed.blamed]
    if not unique or path in parsed.blamed or (*path, "<<") in parsed.blamed:
        return
    message = f"{listed(unique, 'and')} {'is' if len(unique) == 1 else 'are'} missing"
    where = f"in {shown('.'.join(map(str, path)))}" if path else "at the top level"
    cure = f"add {'it' if len(unique) == 1 else 'them'} {where}"
    example = schemas.get(unique[0], {}).get("examples", [None])[0]
    if len(unique) == 1 and isinstance(example, str | int):
        cure += f", as in `{unique[0]}: {example}`"
    yield Problem(parsed.at(*path), "KB203", message, cure)


def _value_problems(parsed: Parsed, read: Read, faults: tuple[Fault, ...]) -> Iterator[Problem]:
    by_path: dict[Path, list[Fault]] = defaultdict(list)
    for fault in faults:
        if fault.rule not in ("required", "not"):
            by_path[read.written(fault.path)].append(fault)
    for path, group in by_path.items():
        if path in parsed.blamed:
            continue
        fault = min(group, key=lambda one: _ORDER.index(one.rule) if one.rule in _ORDER else len(_ORDER))
        place = parsed.at.key(*path) if fault.of_key else parsed.at(*path)
        yield _value_problem(place, fault, path in parsed.plain)


def _value_problem(place: Place, fault: Fault, plain: bool) -> Problem:
    """The Problem of one value: what was expected there, with an example from the schema."""
    value, limit = fault.value, fault.limit
    text = {dict: "keys", list: "a list"}.get(type(value)) or shown(value)
    if fault.rule == "type":
        quoted = isinstance(value, str) and not plain and limit in ("integer", "number", "boolean")
        cure = "take the quotes away" if quoted and value else _number_alone(fault) or _like(fault)
        text = f"{text} in quotes" if quoted else text
        return Problem(place, "KB204", f"expected {_NOUNS[limit]}, found {text}", cure)
    if fault.rule == "enum":
        why = f": {fault.schema['errorMessage']}" if "errorMessage" in fault.schema else " is not known here"
        return Problem(place, "KB205", f"{text}{why}", suggestion(str(value), limit, ""))
    if fault.rule in ("minimum", "maximum"):
        cure = f"write a number from {fault.schema['minimum']} to {fault.schema['maximum']}"
        size = "small" if fault.rule == "minimum" else "large"
        return Problem(place, "KB206", f"{text} is too {size}", cure)
    if fault.rule == "uniqueItems":
        return Problem(place, "KB211", "the list says something twice", "keep one of the two")
    if fault.rule == "pattern":
        title = fault.schema.get("title", "")
        noun = "key" if fault.of_key else title if title.isupper() else title.lower()
        article = "an" if noun[0] in "aeiou" else "a"
        return Problem(place, "KB208", f"{text} cannot be {article} {noun}", _pattern_cure(fault))
    if fault.rule == "format":
        form = FORMATS[limit]
        return Problem(place, "KB209", f"{text} is not {form.noun}", form.cure_for(str(value)))
    return Problem(place, "KB207", *_amount(fault))


def _number_alone(fault: Fault) -> str:
    """The cure for a count that was written with a unit: `27 holes`."""
    match = re.fullmatch(r"([0-9]{1,9}) [a-z]+", str(fault.value))
    return f"write the number alone: `{match[1]}`" if match and fault.limit == "integer" else ""


def _like(fault: Fault) -> str:
    example = fault.schema.get("examples", [""])[0]
    if isinstance(example, dict):
        example = next(iter(example), "")
        return f"write keys with values below it, such as `{example}: …`"
    if isinstance(example, list):
        return f"write it like `[{', '.join(map(str, example))}]`"
    if fault.schema.get("type") == "boolean":
        return "one of these two words, small, without quotes"
    if fault.schema.get("format") == "money":
        return f"write it like `{example:.2f}`"
    return f"write it like `{example}`"


def _pattern_cure(fault: Fault) -> str:
    example = fault.schema["examples"][0]
    if fault.limit.startswith("^[a-z][a-z0-9-]"):
        return f"use a small letter, then small letters, digits and hyphens, 32 at most, as in `{example}`"
    if fault.limit.startswith("^([0-9]{8}"):
        return f'write its 8, 12, 13 or 14 digits without spaces, as in `"{example}"`'
    if fault.limit.startswith("^[A-Z][A-Z0-9]"):
        return f"use 2 to 12 capital letters and digits, a letter first, as in `{example}`"
    return f"write it like {listed(map(str, fault.schema['examples']))}"


def _amount(fault: Fault) -> tuple[str, str]:
    """Message and cure for too few or too many items, keys or characters."""
    fewer = fault.rule.startswith("min")
    unit = {"Items": "items", "Properties": "keys", "Length": "characters"}[fault.rule[3:]]
    if fewer:
        return ("nothing is written here", _like(fault))
    return f"{len(fault.value)} {unit} are too many", f"write {fault.limit} at most"
