"""How a command ended."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from kitbuild.base.problem import Problem


class Outcome(NamedTuple):
    """All problems of a command, and the exit code that they lead to."""

    problems: tuple[Problem, ...]
    exit_code: int
