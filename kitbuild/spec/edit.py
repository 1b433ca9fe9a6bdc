"""Changing single values of a spec's text: comments, order and everything else stay as they were written."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from kitbuild.spec.source import Path

if TYPE_CHECKING:
    from yaml import MappingNode, Node


def with_values(text: str, changes: Mapping[Path, str | None]) -> str:
    """`text` with the value at each path replaced by plain YAML; a new key is added, None takes a key out.

    The mapping that a path leads through must be there; KeyError when it is not.
    """
    for path, value in changes.items():
        text = _changed(text, path, value)
    return text


def _changed(text: str, path: Path, value: str | None) -> str:
    parent = _mapping(text, path[:-1])
    for key, node in parent.value:
        if key.value == path[-1]:
            if value is None:
                return _without(text, parent, key, node)
            return _with_value(text, key, node, value)
    return text if value is None else _with_key(text, parent, str(path[-1]), value)


def _with_value(text: str, key: Node, node: Node, value: str) -> str:
    """Another value in the old one's place; in that of lines below the key, on the key's own line."""
    start, end = node.start_mark.index, _end(text, node)
    if isinstance(node.value, str) or getattr(node, "flow_style", True):
        return text[:start] + value + text[end:]
    colon = text.index(":", key.end_mark.index) + 1
    return f"{text[:colon]} {value}{text[colon:start]}{text[end:]}"


def _end(text: str, node: Node) -> int:
    """Where a value ends: a mapping or list of lines is read as far as the next key, comments included."""
    while not isinstance(node.value, str) and not getattr(node, "flow_style", True) and node.value:
        last = node.value[-1]
        node = last[1] if isinstance(last, tuple) else last
    written = text[node.start_mark.index : node.end_mark.index]
    return node.start_mark.index + len(written.rstrip())


def _mapping(text: str, path: Path) -> MappingNode:
    import yaml

    node: Node | None = yaml.compose(text, getattr(yaml, "CSafeLoader", yaml.SafeLoader))
    for step in path:
        found = {key.value: child for key, child in node.value} if isinstance(node, yaml.MappingNode) else {}
        node = found[step]
    if not isinstance(node, yaml.MappingNode):
        raise KeyError(path)
    return node


def _with_key(text: str, parent: MappingNode, key: str, value: str) -> str:
    """The text with a new first key."""
    if parent.flow_style:
        at = parent.start_mark.index + 1
        comma = ", " if parent.value else ""
        return f"{text[:at]}{key}: {value}{comma}{text[at:].lstrip(' ')}"
    at = parent.value[0][0].start_mark
    return f"{text[: at.index]}{key}: {value}\n{' ' * at.column}{text[at.index :]}"


def _without(text: str, parent: MappingNode, key: Node, node: Node) -> str:
    if parent.flow_style:
        after = text[_end(text, node) :]
        if after.lstrip().startswith(","):
            return text[: key.start_mark.index] + after.lstrip()[1:].lstrip()
        before = text[: key.start_mark.index]
        return (before.rstrip()[:-1] if before.rstrip().endswith(",") else before) + after
    start = text.rfind("\n", 0, key.start_mark.index) + 1
    end = text.find("\n", _end(text, node))
    return text[:start] + (text[end + 1 :] if end >= 0 else "")
