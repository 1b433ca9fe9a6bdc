"""Changing single values of a spec: everything else stays, to the last comment."""

from __future__ import annotations

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from kitbuild.spec.edit import with_values

TEXT = """# \N{BALL OF YARN} first
a: 1   # one
b:            # two
  left: 3
  right: 4    # four

# before c
c: {x: 1,     # ex
    y: [1, 2]}
d:
- 1
- 2
# at the end
e: "long
  text"   # e
"""


@pytest.mark.parametrize("text", [TEXT, TEXT.replace("\n", "\r\n"), TEXT.rstrip()])
def test_values_are_replaced_and_comments_kept(text: str) -> None:
    changes = {("a",): "2", ("b",): "{left: 5, right: 6}", ("c", "x"): "7", ("d",): "[8]", ("e",): "f"}
    changed = with_values(text, changes)
    read = yaml.safe_load(changed)
    assert read == {"a": 2, "b": {"left": 5, "right": 6}, "c": {"x": 7, "y": [1, 2]}, "d": [8], "e": "f"}
    for comment in (
        "# \N{BALL OF YARN} first",
        "# one",
        "# two",
        "# before c",
        "# ex",
        "# at the end",
        "# e",
    ):
        assert comment in changed


def test_a_new_key_is_added_in_the_style_of_its_neighbours() -> None:
    changed = with_values(TEXT, {("b", "up"): "1", ("c", "z"): "2", ("new",): "3"})
    read = yaml.safe_load(changed)
    assert (read["b"], read["c"], read["new"]) == (
        {"left": 3, "right": 4, "up": 1},
        {"x": 1, "y": [1, 2], "z": 2},
        3,
    )
    assert with_values("a: {}", {("a", "b"): "1"}) == "a: {b: 1}"
    assert with_values("a: {b: 1  # one\n  }", {("a", "c"): "2"}) == "a: {c: 2, b: 1  # one\n  }"


@pytest.mark.parametrize(
    "path", [("a",), ("b",), ("c",), ("d",), ("e",), ("b", "left"), ("c", "x"), ("c", "y")]
)
def test_a_key_is_taken_out(path: tuple[str, ...]) -> None:
    whole = yaml.safe_load(TEXT)
    place = whole
    for step in path[:-1]:
        place = place[step]
    del place[path[-1]]
    changed = with_values(TEXT, {path: None})
    assert yaml.safe_load(changed) == whole
    assert "# before c" in changed
    assert "# at the end" in changed


def test_a_key_that_is_not_there_is_taken_out_without_a_trace() -> None:
    assert with_values(TEXT, {("b", "up"): None}) == TEXT
    with pytest.raises(KeyError):
        with_values(TEXT, {("z", "up"): "1"})


KEYS = st.sampled_from(["a", "b", "c", "d"])
TREES = st.dictionaries(
    KEYS, st.integers(0, 9) | st.dictionaries(KEYS, st.integers(0, 9), min_size=1), min_size=1
)


@given(TREES, st.booleans(), KEYS, st.none() | KEYS, st.integers(10, 99))
def test_whatever_is_changed_is_all_that_changes(
    tree: dict, flow: bool, key: str, below: str | None, value: int
) -> None:
    path = (key,) if below is None else (key, below)
    if below is not None and not isinstance(tree.get(key), dict):
        return
    text = yaml.safe_dump(tree, default_flow_style=flow)
    changed = yaml.safe_load(with_values(text, {path: str(value)}))
    place = tree if below is None else tree[key]
    place[path[-1]] = value
    assert changed == tree
