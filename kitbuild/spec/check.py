"""A parsed file against the schema of its kind: what is faulty has its Problem, what is sound is kept."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice
from typing import Any

from kitbuild.base.problem import Problem
from kitbuild.spec.faults import Fault, faults_of, problems_of
from kitbuild.spec.quick import quick_test
from kitbuild.spec.schema import KINDS, load_schema
from kitbuild.spec.soundness import Marks, left, marks, meant, under_known_names
from kitbuild.spec.source import At, Path, Source, Step
from kitbuild.spec.typed import Read, TooMany, read_types
from kitbuild.spec.words import listed, nearest, shown, suggestion
from kitbuild.spec.yaml_text import MOST_TOLD, Parsed, too_many


@dataclass(frozen=True, slots=True, eq=False)
class Checked:
    """A file's typed data with defaults filled in, without the values that the schema finds faulty.

    `written` is the same before anything was left out or filled in.
    """

    source: Source
    kind: str
    data: dict[str, Any]
    written: dict[str, Any]
    marks: Marks

    @property
    def at(self) -> At:
        """The address of the whole file."""
        return At(self.source)

    @property
    def schema(self) -> dict[str, Any]:
        """The schema of the file's kind."""
        return load_schema(self.kind)

    def whole(self, *path: Step) -> bool:
        """Whether what stands at `path` was read to the last value: no fault in it."""
        return path not in self.marks.touched and self.value(path) is not None

    def told(self, *path: Step) -> bool:
        """Whether all keys of the mapping at `path` were read: one that is not there was not written."""
        return path not in self.marks.strange and not any(
            path[:end] in self.marks.bad for end in range(1, len(path) + 1)
        )

    def value(self, path: Path) -> Any:  # noqa: ANN401 - whatever the file holds there
        """What is left at `path`, None when nothing is."""
        value: Any = self.data
        for step in path:
            try:
                value = value[step]
            except (KeyError, IndexError, TypeError):
                return None
        return value

    def names(self, *path: Step) -> frozenset[str] | None:
        """The keys written in the mapping at `path`, faulty or not; None when they could not be read."""
        value: Any = self.written
        for step in path:
            value = value.get(step) if isinstance(value, dict) else None
        return frozenset(value) if isinstance(value, dict) and self.told(*path) else None


def check(parsed: Parsed) -> tuple[Checked | None, tuple[Problem, ...]]:
    """Check against the schema that `kind` names; None without a known kind, or with too many faults."""
    kind = parsed.data.get("kind")
    if kind not in KINDS:
        return None, tuple(_kind_problems(parsed, kind))
    if other := _looks_like(parsed, str(kind)):
        message = f"the kind is {shown(kind)}, the keys are those of `kind: {other}`"
        return None, (Problem(parsed.at("kind"), "KB201", message, f"write `kind: {other}`"),)
    root = load_schema(str(kind))
    try:
        read = read_types(parsed, root)
    except TooMany as unknown:
        return None, (*unknown.problems, too_many(parsed.source.file))
    every = iter(()) if quick_test(str(kind))(read.data) else faults_of(read.data, root)
    faults = tuple(islice(every, MOST_TOLD))
    problems = (*read.problems, *problems_of(parsed, read, root, faults))
    if next(every, None):
        return None, (*problems, too_many(parsed.source.file))
    found = _marks(parsed, read, faults)
    whole: Any = left(read.data, root, root, found.bad)
    source = under_known_names(parsed.source, read.renamed)
    return Checked(source, str(kind), whole, read.data, found), problems


def _looks_like(parsed: Parsed, kind: str) -> str:
    """The kind that a file's keys speak for when they speak against its own, else ""."""
    known = {each: len(parsed.data.keys() & load_schema(each)["properties"].keys()) for each in KINDS}
    best = max(KINDS, key=lambda each: known[each])
    unknown = len(parsed.data) - known[kind]
    return best if known[best] > known[kind] and unknown > len(parsed.data) - known[best] else ""


def _marks(parsed: Parsed, read: Read, faults: tuple[Fault, ...]) -> Marks:
    """The faulty places of a file, from what the reader blamed and what the schema found."""
    follow = meant(read.renamed)
    blamed = [follow(path) for path in parsed.blamed]
    merged = [path[:-1] for path in blamed if path and str(path[-1]).startswith(("<<", "*"))]
    doubled = [follow(path) for path in parsed.doubled]
    bad = [fault.path for fault in faults if fault.rule != "required"]
    lacking = [fault.path for fault in faults if fault.rule == "required"]
    return marks([*bad, *blamed], lacking, [*read.strange, *merged, *doubled])


def _kind_problems(parsed: Parsed, kind: object) -> Iterator[Problem]:
    cure = f"begin with `kind:` and {listed(KINDS)}"
    if ("kind",) in parsed.blamed:
        return
    if kind is None and (close := nearest("kind", parsed.data)):
        message = f"unknown key {shown(close)}"
        yield Problem(parsed.at.key(close), "KB202", message, "did you mean `kind`?")
    elif kind is None:
        yield Problem(parsed.at(), "KB201", "`kind` is missing", cure)
    else:
        name = shown(kind) if isinstance(kind, str) else "this"
        cure = suggestion(kind if isinstance(kind, str) else "", KINDS, cure)
        yield Problem(parsed.at("kind"), "KB201", f"{name} is no kind of file", cure)
