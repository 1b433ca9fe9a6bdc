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
            return text[: node.start_mark.index] + value + text[node.end_mark.index :]
    return text if value is None else _with_key(text, parent, str(path[-1]), value)


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
    """A new first key in block style, a new last one in flow style."""
    if parent.flow_style:
        at = parent.end_mark.index - 1
        comma = ", " if parent.value else ""
        return f"{text[:at].rstrip()}{comma}{key}: {value}{text[at:]}"
    at = parent.value[0][0].start_mark
    return f"{text[: at.index]}{key}: {value}\n{' ' * at.column}{text[at.index :]}"


def _without(text: str, parent: MappingNode, key: Node, node: Node) -> str:
    if parent.flow_style:
        after = text[node.end_mark.index :]
        if after.lstrip().startswith(","):
            return text[: key.start_mark.index] + after.lstrip()[1:].lstrip()
        return text[: key.start_mark.index].rstrip().rstrip(",") + after
    start = text.rfind("\n", 0, key.start_mark.index) + 1
    end = text.find(
        "\n", node.end_mark.index if node.start_mark.line == node.end_mark.line else node.start_mark.index
    )
    if node.end_mark.line > node.start_mark.line:
        end = node.end_mark.index - 1
    return text[:start] + text[end + 1 :]
