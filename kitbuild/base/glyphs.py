"""The characters that our fonts can draw, and the symbols that stand for colours."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Final

#: Symbol name → character, in the order in which colours take them when nothing else is said.
#: Neighbours in this order differ in outline, weight and direction.
SYMBOLS: Final[dict[str, str]] = {
    "disc": "●",
    "box": "□",
    "triangle": "▲",
    "cross": "✖",
    "diamond": "◆",
    "ring": "○",
    "plus": "✚",
    "square": "■",
    "tent": "△",
    "star": "★",
    "half-disc": "◐",
    "bar": "▬",
    "kite": "◇",
    "heart": "♥",
    "pointer": "▶",
    "target": "◎",
    "funnel": "▽",
    "club": "♣",
    "half-box": "◧",
    "corner": "◤",
}

_COVERAGE: Final = Path(__file__).parent.parent / "fonts" / "coverage.txt"


def missing(text: str) -> str:
    """The distinct characters of `text` that no font of ours draws, in the order they occur.

    Spaces and new lines are never missing; tabs and other control characters always are.
    """
    wanting = set(text) - covered()
    return "".join(char for char in dict.fromkeys(text) if char in wanting)


@cache
def covered() -> frozenset[str]:
    """Every character that both faces draw, and the new line; read once from fonts/coverage.txt."""
    ranges = [line.split("-") for line in _COVERAGE.read_text(encoding="ascii").split()]
    points = (point for first, last in ranges for point in range(int(first, 16), int(last, 16) + 1))
    return frozenset(map(chr, points)) | {"\n"}
