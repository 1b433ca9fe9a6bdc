"""Why a pattern cannot be worked, before it has its place in a file."""

from __future__ import annotations

from dataclasses import dataclass

from kitbuild.spec.source import Path


@dataclass(frozen=True, slots=True)
class Wrong:
    """Why a pattern cannot be worked: a code, the path to it from the piece, and the cure."""

    code: str
    path: Path
    message: str
    cure: str
