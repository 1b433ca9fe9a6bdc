"""The catalogue of codes: what each problem means, with an example of the fault and of its cure."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Final, Literal

CATALOGUE: Final = Path(__file__).parent.parent / "codes.yaml"
IDLE: Final = "KB323"
UNACCEPTABLE: Final = (IDLE, "KB627", "KB631", "KB646", "KB901", "KB911")
"""Warnings that a kit cannot accept: an idle acceptance, a released edition that was changed, and those that
speak of a box, the stock, a class or an edition of before."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One code: a title of one line, a paragraph, and spec text that is wrong and right ("" where none is).

    Problems of the level `either` are warnings or errors, as their message says.
    """

    code: str
    title: str
    level: Literal["error", "warning", "either"]
    what: str
    wrong: str
    right: str


@cache
def catalogue() -> dict[str, Entry]:
    """All codes in their order."""
    import yaml

    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    found = yaml.load(CATALOGUE.read_text(encoding="utf-8"), Loader=loader)
    return {code: _entry(code, entry) for code, entry in sorted(found.items())}


def acceptable() -> tuple[str, ...]:
    """The codes of warnings that a kit can accept: all but those that would undo themselves."""
    found = catalogue().items()
    return tuple(code for code, entry in found if entry.level != "error" and code not in UNACCEPTABLE)


def _entry(code: str, data: dict[str, str]) -> Entry:
    level: Literal["error", "warning", "either"] = data.get("level", "error")  # type: ignore[assignment]
    what = " ".join(data["what"].split())
    return Entry(code, data["title"], level, what, data.get("wrong", ""), data.get("right", ""))
