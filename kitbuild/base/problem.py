"""A problem is a value: where it is, what is wrong, and how to cure it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, order=True, slots=True)
class Place:
    """A point in a file; line and column count from 1, 0 means the whole file."""

    file: str
    line: int = 0
    column: int = 0

    def __str__(self) -> str:
        if not self.line:
            return self.file
        return f"{self.file}:{self.line}:{self.column}"


@dataclass(frozen=True, order=True, slots=True)
class Problem:
    """One fault of the input. `warning` problems are printed but stop nothing."""

    place: Place
    code: str
    message: str
    cure: str
    warning: bool = False

    def __str__(self) -> str:
        kind = "warning: " if self.warning else ""
        return f"{self.place}: {self.code} {kind}{self.message} ({self.cure})"


class Expected(Exception):
    """An outcome the tool foresees; it ends the run with its exit code, never a traceback."""

    exit_code = 1

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(sorted(set(problems)))
        super().__init__("\n".join(str(problem) for problem in self.problems))


class InputProblems(Expected):
    """The spec cannot be built: exit code 1."""

    exit_code = 1


class WriteProblem(Expected):
    """An output could not be written: exit code 3."""

    exit_code = 3


def errors(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """Those of `problems` that stop a build."""
    return tuple(problem for problem in problems if not problem.warning)
