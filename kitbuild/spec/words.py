"""Small helpers for messages: names near a misspelt one, lists in words, text that is safe to print."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

_LONGEST: Final = 40


def shown(text: object) -> str:
    """`text` in backquotes, in one line, without characters that a terminal would act upon."""
    plain = "".join(char if char.isprintable() else "\N{REPLACEMENT CHARACTER}" for char in str(text))
    return f"`{plain[: _LONGEST - 1]}…`" if len(plain) > _LONGEST else f"`{plain}`"


def listed(names: Iterable[str], last: str = "or") -> str:
    """Names in backquotes as a list in words: `a`, `b` or `c`."""
    parts = [shown(name) for name in names]
    return f" {last} ".join(filter(None, (", ".join(parts[:-1]), parts[-1]))) if parts else "none"


def nearest(name: str, names: Iterable[str]) -> str:
    """The one of `names` that `name` was probably meant to be, or ""."""
    from difflib import get_close_matches

    known = sorted(names)
    folded = {known_name.lower(): known_name for known_name in reversed(known)}
    close = get_close_matches(name.lower(), list(folded), 1, 0.6)
    return folded[close[0]] if close else ""


def suggestion(name: str, names: Iterable[str], otherwise: str) -> str:
    """A cure for an unknown name: the nearest known one, else the list of them, else `otherwise`."""
    known = sorted(names)
    if close := nearest(name, known):
        return f"did you mean {shown(close)}?"
    if known:
        return f"use {listed(known)}" if len(known) <= 12 else f"use one of {listed(known[:12])} …"
    return otherwise


def counted(number: int, name: str) -> str:
    """A number with its noun: `1 column`, `2 columns`."""
    return f"{number} {name}" if abs(number) == 1 else f"{number} {name}s"
