"""What README.md and DEVELOPERS.md show: the reference is that of the schemas, and every example builds."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
import yaml

from kitbuild.build import make, sources
from kitbuild.spec.codes import catalogue
from kitbuild.spec.folder import read_range
from kitbuild.spec.schema import KINDS, load_schema
from tests.reference import README, reference, renewed
from tests.spec.ranges import ROOT, copy_kits

BLOCK = re.compile(r"^```ya?ml\n(.*?)^```", re.MULTILINE | re.DOTALL)
PART = re.compile(r"# part of kits/(\S+?)(?:: (\S+))?\n")
BLOCKS = [
    pytest.param(block, id=f"{name}-{number}")
    for name in ("README.md", "DEVELOPERS.md")
    for number, block in enumerate(BLOCK.findall((ROOT / name).read_text(encoding="utf-8")), 1)
]


def test_the_reference_is_that_of_the_schemas() -> None:
    """`make reference` writes it anew."""
    text = README.read_text(encoding="utf-8")
    assert text == renewed(text)
    assert text.count("<!-- reference -->") == text.count("<!-- end of reference -->") == 1


def keys(schema: object) -> set[str]:
    """Every key that a schema knows, at any depth."""
    if isinstance(schema, list):
        return {key for part in schema for key in keys(part)}
    if not isinstance(schema, dict):
        return set()
    named = schema["properties"].keys() if isinstance(schema.get("properties"), dict) else set()
    return set(named) | {key for part in schema.values() for key in keys(part)}


def test_the_reference_has_every_key_and_code() -> None:
    text = reference()
    for kind in KINDS:
        for key in keys(load_schema(kind)):
            assert f"`{key}`" in text
    for code in catalogue():
        assert f"| `{code}` |" in text


def merged(data: dict[str, Any], path: list[str], part: dict[str, Any]) -> None:
    """Put the keys of a part into a mapping of a spec; columns follow from the repeats then."""
    place = data
    for step in path:
        place = place[step]
    place |= part
    for piece in data.get("pieces", {}).values():
        piece.pop("columns", None)


@pytest.mark.parametrize("block", BLOCKS)
def test_every_example_builds(block: str, tmp_path: Path) -> None:
    """A whole file joins the demo range; a part replaces keys of the file that it names."""
    kits = copy_kits(tmp_path)
    data = yaml.load(block, Loader=yaml.BaseLoader)
    name = "example.yaml"
    if "kind" not in data:
        said = PART.match(block)
        assert said, "a block without `kind` says what it is a part of"
        name, path = said[1], said[2].split(".") if said[2] else []
        whole = yaml.load((kits / name).read_text(encoding="utf-8"), Loader=yaml.BaseLoader)
        merged(whole, path, data)
        text = plain(whole)
        (kits / name).write_text(text, encoding="utf-8")
    else:
        name = f"wording-{data['language']}.yaml" if data["kind"] == "wording" else name
        (kits / name).write_text(block, encoding="utf-8")
    found, problems = read_range(kits)
    assert problems == ()
    assert found is not None
    ours = [kit for kit in found.kits if f"kits/{name}" in sources(kit)]
    ours = ours[:1] if name == "workshop.yaml" else ours
    made = [make(kit) for kit in ours if data.get("kind") in ("kit", "test", "wording", None)]
    assert made or data.get("kind") in ("materials", "workshop")
    assert not any(each.warnings for each in made if data.get("kind") == "test")


def plain(value: object) -> str:
    """Data as a spec in one line, numbers without quotes and text in them."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key}: {plain(part)}" for key, part in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(plain, value)) + "]"
    bare = re.fullmatch(r"-?\d+(\.\d+)?|true|false", str(value))
    return str(value) if bare else '"' + str(value).replace("\\", "\\\\").replace('"', '\\"') + '"'


def test_there_are_examples() -> None:
    assert len(BLOCKS) >= 4
