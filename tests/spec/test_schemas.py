"""The schemas: valid, closed, described, tied to the records, and of one mind with an editor."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator

import jsonschema
import pytest
import yaml

from kitbuild.base.glyphs import SYMBOLS
from kitbuild.spec import house, materials, piece, records
from kitbuild.spec.faults import faults_of
from kitbuild.spec.formats import FORMATS
from kitbuild.spec.quick import WORDS, quick_test
from kitbuild.spec.schema import KINDS, load_schema, resolved, schema_folder
from kitbuild.spec.typed import read_types
from kitbuild.spec.yaml_text import read_text
from tests.spec.ranges import KITS, ROOT


def parts(schema: object) -> Iterator[dict[str, object]]:
    """Every mapping within a schema."""
    if isinstance(schema, dict):
        yield schema
        for part in schema.values():
            yield from parts(part)
    elif isinstance(schema, list):
        for part in schema:
            yield from parts(part)


def properties(kind: str) -> Iterator[tuple[str, dict[str, object]]]:
    root = load_schema(kind)
    for part in parts(root):
        if part.get("type") == "object" and isinstance(part.get("properties"), dict):
            yield from ((name, resolved(prop, root)) for name, prop in part["properties"].items())


@pytest.mark.parametrize("kind", KINDS)
def test_schemas_are_valid_and_closed(kind: str) -> None:
    root = load_schema(kind)
    jsonschema.Draft202012Validator.check_schema(root)
    for part in parts(root):
        if part.get("type") == "object":
            assert "additionalProperties" in part
            assert part["additionalProperties"] is False or isinstance(part["additionalProperties"], dict)
        assert "oneOf" not in part


@pytest.mark.parametrize("kind", KINDS)
def test_every_property_is_described_with_an_example(kind: str) -> None:
    for name, prop in properties(kind):
        assert prop.get("title"), name
        assert prop.get("description"), name
        assert prop.get("examples"), name


@pytest.mark.parametrize("kind", KINDS)
def test_every_part_has_an_example_for_its_cure(kind: str) -> None:
    for part in parts(load_schema(kind)):
        if isinstance(part.get("type"), str) and part is not load_schema(kind):
            assert part.get("examples") or part.get("default"), part


@pytest.mark.parametrize("kind", KINDS)
def test_formats_are_known(kind: str) -> None:
    named = {str(part["format"]) for part in parts(load_schema(kind)) if isinstance(part.get("format"), str)}
    assert named <= set(FORMATS) | {"money"}


@pytest.mark.parametrize("kind", KINDS)
def test_examples_and_defaults_fit(kind: str) -> None:
    for name, prop in properties(kind):
        form = FORMATS.get(str(prop.get("format")))
        for text in (*prop.get("examples", ()), *([prop["default"]] if "default" in prop else ())):
            if form:
                assert form.fits(str(text)), name
            if prop.get("type") != "object":
                whole = {"$defs": load_schema(kind).get("$defs", {}), **prop}
                jsonschema.Draft202012Validator(whole).validate(text)


#: Records and the part of a schema that they are made from, with the fields that are called otherwise there.
TIES = [
    (materials.Canvas, "materials", "canvas", {"pitch_mm": "measured_pitch", "measured": "measured_pitch"}),
    (
        materials.Thread,
        "materials",
        "thread",
        {"rgb": "colour", "put_up_mm": "put_up_length", "pull": "bend"},
    ),
    (materials.Needle, "materials", "needle", {}),
    (materials.Extra, "materials", "extra", {}),
    (materials.Stock, "materials", "stock", {"form": "sheet", "columns": "roll", "rows": "length"}),
    (piece.Piece, "kit", "piece", {}),
    (piece.Finish, "kit", "finish", {"colour": "edge"}),
    (piece.RoundObject, "kit", "goes_round", {"name": "object"}),
    (records.Answer, "test", "answer", {"colour": "stitches"}),
]


@pytest.mark.parametrize(("record", "kind", "part", "other"), TIES)
def test_records_and_schemas_name_the_same(record: type, kind: str, part: str, other: dict[str, str]) -> None:
    fields = [field.name for field in dataclasses.fields(record) if field.name not in ("at", "key")]
    plain = [
        other.get(name) or name.removesuffix("_mm").removesuffix("_minor").removesuffix("_mg")
        for name in fields
    ]
    assert set(plain) == set(load_schema(kind)["$defs"][part]["properties"])


def test_thread_rules_are_those_of_the_workshop() -> None:
    fields = dataclasses.fields(house.ThreadRules)
    names = {field.name.removesuffix("_mm").removesuffix("_share") for field in fields}
    assert names == set(load_schema("workshop")["properties"]["thread"]["properties"])


def test_symbols_are_those_of_the_fonts() -> None:
    kit = load_schema("kit")["$defs"]
    assert kit["colour"]["properties"]["symbol"]["enum"] == list(SYMBOLS)
    assert kit["palette"]["maxProperties"] == len(SYMBOLS)


def plain(value: object) -> object:
    """What an editor sees: YAML's own numbers, and dates as text."""
    if isinstance(value, dict):
        return {key: plain(part) for key, part in value.items()}
    if isinstance(value, list):
        return [plain(part) for part in value]
    return value if isinstance(value, str | int | float) else str(value)


@pytest.mark.parametrize("path", sorted(KITS.glob("*.yaml")), ids=lambda path: path.name)
def test_an_editor_finds_the_demo_range_right(path) -> None:
    text = path.read_text(encoding="utf-8")
    data = plain(yaml.safe_load(text))
    jsonschema.Draft202012Validator(load_schema(data["kind"])).validate(data)
    first = text.splitlines()[0]
    assert first == f"# yaml-language-server: $schema=../schemas/{data['kind']}.schema.json"
    assert (path.parent / first.partition("$schema=")[2]).resolve().parent == schema_folder().resolve()


def words(schema: object) -> Iterator[str]:
    """The words of a schema, without the names of properties and definitions, nor what examples say."""
    if not isinstance(schema, dict):
        return
    for word, part in schema.items():
        yield word
        if word in ("properties", "$defs"):
            yield from (each for below in part.values() for each in words(below))
        elif word in ("allOf",):
            yield from (each for below in part for each in words(below))
        elif word not in ("examples", "default"):
            yield from words(part)


@pytest.mark.parametrize("kind", KINDS)
def test_the_quick_test_knows_every_word(kind: str) -> None:
    assert set(words(load_schema(kind))) <= WORDS


@pytest.mark.parametrize(
    "case", sorted((ROOT / "tests/bad_specs").glob("*.yaml")), ids=lambda case: case.stem
)
def test_the_quick_test_agrees_with_the_validator(case) -> None:
    parsed, _ = read_text("x", case.read_bytes())
    kind = parsed.data.get("kind") if parsed else None
    if kind not in KINDS:
        return
    root = load_schema(kind)
    data = read_types(parsed, root).data
    assert quick_test(kind)(data) is not any(faults_of(data, root))
