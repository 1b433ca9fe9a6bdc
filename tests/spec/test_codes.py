"""The catalogue of codes: complete, readable, and each code met by a test."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest
import yaml

from kitbuild.spec.codes import CATALOGUE, Entry, acceptable, catalogue
from tests.spec.ranges import ROOT

CODE = re.compile(r"KB\d{3}")
SOURCES = [path for path in (ROOT / "kitbuild").rglob("*.py") if "__pycache__" not in path.parts]
TESTS = [path for path in (ROOT / "tests").rglob("*.py") if path.name != "test_codes.py"]
CASES = list((ROOT / "tests/bad_specs").glob("*.expected"))


def codes_in(paths: list) -> set[str]:
    return {code for path in paths for code in CODE.findall(path.read_text(encoding="utf-8"))}


def test_every_code_of_the_source_is_explained_and_no_other() -> None:
    assert codes_in(SOURCES) == set(catalogue())


def test_every_code_has_a_test() -> None:
    assert set(catalogue()) - codes_in([*TESTS, *CASES]) == set()


def test_every_code_of_the_spec_has_a_bad_spec() -> None:
    """KB323 is told by the build, where it is known which warnings there are; KB117 takes 500 faults."""
    of_specs = {code for code in catalogue() if code[2] in "123"} - {"KB117", "KB323"}
    assert of_specs - codes_in(CASES) == set()


@pytest.mark.parametrize("entry", catalogue().values(), ids=lambda entry: entry.code)
def test_an_entry_says_something(entry: Entry) -> None:
    assert 10 < len(entry.title) < 80
    assert entry.title[0].islower() or entry.title.split()[0].isupper() or entry.title.startswith("GTIN")
    assert not entry.title.endswith(".")
    assert entry.what.endswith(".")
    assert len(entry.what) > 50
    assert entry.wrong != entry.right or not entry.wrong
    assert entry.level in ("error", "warning", "either")


@pytest.mark.parametrize("entry", catalogue().values(), ids=lambda entry: entry.code)
def test_what_is_right_is_yaml(entry: Entry) -> None:
    for text in (entry.right, entry.wrong if entry.code > "KB116" else ""):
        assert text == "" or isinstance(yaml.safe_load(text), dict)


def test_entries_have_known_parts_only() -> None:
    for entry in yaml.safe_load(CATALOGUE.read_text(encoding="utf-8")).values():
        assert set(entry) <= {"title", "level", "what", "wrong", "right"}


def warned(path: Path) -> set[str]:
    """The codes of problems that a module makes with `warning=True`."""
    calls = (
        node for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))) if isinstance(node, ast.Call)
    )
    warning = ast.dump(ast.parse("f(warning=True)").body[0].value.keywords[0])
    made = [call for call in calls if warning in map(ast.dump, call.keywords)]
    return {code for call in made for code in CODE.findall(ast.unparse(call))}


def test_the_level_is_that_of_the_source() -> None:
    """What the source tells with `warning=True` is a warning in the catalogue, and nothing else is."""
    warnings = {code for code, entry in catalogue().items() if entry.level == "warning"}
    assert {code for path in SOURCES for code in warned(path)} == warnings


def test_all_warnings_but_those_that_would_undo_themselves_can_be_accepted() -> None:
    assert {code for code, entry in catalogue().items() if entry.level != "error"} - {
        "KB323",
        "KB627",
        "KB631",
        "KB646",
        "KB901",
        "KB911",
    } == set(acceptable())
