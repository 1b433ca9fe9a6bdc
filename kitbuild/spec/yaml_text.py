"""Strict YAML: plain keys, values and lists, every value kept as the text that was written.

The file is read as a stream of events, never as objects, so that `NO`, `010` and `12:30` stay text and
nothing in it can be run, repeated or nested without end. What YAML offers beyond that is a Problem.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Final

from kitbuild.base.problem import Place, Problem
from kitbuild.spec.marks import PackedMarks
from kitbuild.spec.source import At, Path, Source, Step
from kitbuild.spec.words import shown

if TYPE_CHECKING:
    from yaml.error import Mark, MarkedYAMLError
    from yaml.events import Event

LARGEST_BYTES: Final = 1 << 20
DEEPEST: Final = 30
MOST_TOLD: Final = 500
"""Faults of one file that are told: nobody reads more of them at once."""

_REFUSED = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\ufeff\ufffe\uffff]")
_LINE_END = re.compile("\r\n|\r|\n")
_COLOUR = re.compile(r"^[^#\n]*[:\[,] +(#[0-9A-Fa-f]{6})\b", re.MULTILINE)
_COMMENT = re.compile(r" +(#[0-9A-Fa-f]{6})\b")
_YAML_CURE = "check the indentation, colons, quotes and brackets up to here"


@dataclass(frozen=True, slots=True, eq=False)
class Parsed:
    """A file as nested dicts and lists of text.

    `plain` holds the paths of values written without quotes, `blamed` those that have their Problem
    already: no second one is due there. `doubled` keys were written twice, and only the first was read.
    """

    source: Source
    data: dict[str, Any]
    plain: frozenset[Path]
    blamed: frozenset[Path]
    doubled: frozenset[Path]

    @property
    def at(self) -> At:
        """The address of the whole file."""
        return At(self.source)


class _Stop(Exception):
    """Reading cannot go on; carries the Problem."""

    def __init__(self, problem: Problem) -> None:
        super().__init__(str(problem))
        self.problem = problem


def read_text(file: str, content: bytes) -> tuple[Parsed | None, tuple[Problem, ...]]:
    """Read a spec file's bytes; None when nothing can be made of it, and all problems met on the way."""
    reader = _Reader(file)
    try:
        reader.read(_text(file, content))
    except _Stop as stop:
        return None, (*reader.problems, stop.problem)
    source = Source(file, content, PackedMarks(reader.keys), PackedMarks(reader.values))
    sets = (frozenset(reader.plain), frozenset(reader.blamed), frozenset(reader.doubled))
    parsed = Parsed(source, reader.root[0], *sets)
    return parsed, tuple(reader.problems)


def too_many(file: str) -> Problem:
    """The problem that ends the reading of a file with more faults than can be told."""
    message = f"more than {MOST_TOLD} faults stand in this file, and no more of them are told"
    return Problem(Place(file), "KB117", message, "mend what is told, then check it again")


def _text(file: str, content: bytes) -> str:
    if len(content) > LARGEST_BYTES:
        cure = "spec files are text that people write; split this one"
        raise _Stop(Problem(Place(file), "KB102", "the file is larger than 1 MiB", cure))
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = content[: error.start].decode("utf-8-sig", "replace")
        place = _place(file, before, len(before))
        raise _Stop(Problem(place, "KB103", "the text is not UTF-8", "save the file as UTF-8")) from None
    for problem in _refused_characters(file, text):
        raise _Stop(problem)
    return text


def _refused_characters(file: str, text: str) -> Iterator[Problem]:
    if match := _REFUSED.search(text):
        message = f"the control character U+{ord(match[0]):04X} stands here"
        yield Problem(_place(file, text, match.start()), "KB104", message, "take it out")
    if (first := text.find("\t")) >= 0:
        lines = sum("\t" in line for line in _LINE_END.split(text)) - 1
        more = f", and in {lines} more line{'s' * (lines > 1)}" if lines else ""
        yield Problem(_place(file, text, first), "KB105", f"a tab stands here{more}", "use spaces")


def _place(file: str, text: str, index: int) -> Place:
    lines = _LINE_END.split(text[:index])
    return Place(file, len(lines), len(lines[-1]) + 1)


@dataclass(slots=True)
class _Frame:
    """A mapping or list that is being filled; `key` is the key that waits for its value."""

    into: dict[str, Any] | list[Any]
    path: Path
    key: Step | None = None
    dropped: bool = False


@dataclass(slots=True)
class _Reader:
    """Builds plain data from YAML events, without recursion."""

    file: str
    problems: list[Problem] = field(default_factory=list)
    keys: dict[Path, tuple[int, int]] = field(default_factory=dict)
    values: dict[Path, tuple[int, int]] = field(default_factory=dict)
    plain: set[Path] = field(default_factory=set)
    blamed: set[Path] = field(default_factory=set)
    doubled: set[Path] = field(default_factory=set)
    root: list[Any] = field(default_factory=list)
    stack: list[_Frame] = field(default_factory=list)
    documents: int = 0
    text: str = ""

    def read(self, text: str) -> None:
        """Take all events of `text`; _Stop at what cannot be passed over."""
        import yaml

        self.text = text
        try:
            for event in yaml.parse(text, Loader=getattr(yaml, "CLoader", yaml.Loader)):
                self._take(event)
        except yaml.MarkedYAMLError as error:
            raise _Stop(self._syntax(text, error)) from None
        except yaml.YAMLError as error:
            reason = str(error).splitlines()[0]
            raise _Stop(Problem(Place(self.file), "KB106", f"not YAML: {reason}", _YAML_CURE)) from None
        if not self.documents:
            cure = "begin with `kind: kit`, `kind: materials`, `kind: test` or `kind: workshop`"
            raise _Stop(Problem(Place(self.file), "KB107", "the file is empty", cure))

    def _syntax(self, text: str, error: MarkedYAMLError) -> Problem:
        """Where YAML gave up; an unquoted colour before that is a comment to YAML, and the likely reason."""
        mark, start = error.problem_mark or error.context_mark, error.context_mark
        if match := _COLOUR.search(text, 0, mark.index):
            place = _place(self.file, text, match.start(1))
            cure = f'write it in quotes: "{match[1]}"'
            return Problem(place, "KB106", f"{shown(match[1])} is read as a comment", cure)
        began = f", in what began at {start.line + 1}:{start.column + 1}" if start else ""
        return self._problem(mark, "KB106", f"not YAML: {error.problem}{began}", _YAML_CURE)

    def _take(self, event: Event) -> None:
        name = type(event).__name__
        if name == "DocumentStartEvent":
            self._document(event)
        elif name in ("MappingStartEvent", "SequenceStartEvent"):
            self._open(event, {} if name == "MappingStartEvent" else [])
        elif name in ("MappingEndEvent", "SequenceEndEvent"):
            self.stack.pop()
        elif name == "AliasEvent":
            self._alias(event)
        elif name == "ScalarEvent":
            self._scalar(event)

    def _document(self, event: Event) -> None:
        self.documents += 1
        if self.documents > 1:
            cure = "keep one document in a file: take `---` out or make two files"
            raise _Stop(self._problem(event.start_mark, "KB108", "a second document begins here", cure))

    def _open(self, event: Event, into: dict[str, Any] | list[Any]) -> None:
        if self._expects_key():
            message = "a key is a list or a mapping"
            cure = "write a plain word as the key; quote text that begins with `{` or `[`"
            raise _Stop(self._problem(event.start_mark, "KB110", message, cure))
        if not self.stack and isinstance(into, list):
            self._not_a_mapping(event.start_mark)
        if len(self.stack) >= DEEPEST:
            message = f"more than {DEEPEST} levels are nested here"
            raise _Stop(self._problem(event.start_mark, "KB115", message, "a spec needs six at most"))
        path = self._add(into, event.start_mark)
        self._refuse_extras(event, path)
        self.stack.append(_Frame(into, path))

    def _alias(self, event: Event) -> None:
        if self._expects_key():
            self._key(f"*{event.anchor}", event)
            path = (*self.stack[-1].path, f"*{event.anchor}")
        elif not self.stack:
            self._not_a_mapping(event.start_mark)
        else:
            path = self._add("", event.start_mark)
        self._blame_anchor(event, path)

    def _scalar(self, event: Event) -> None:
        if self._expects_key():
            self._key(event.value, event)
            return
        if not self.stack:
            self._not_a_mapping(event.start_mark)
        path = self._add(event.value, event.start_mark)
        self._refuse_extras(event, path)
        if event.style:
            return
        self.plain.add(path)
        if not event.value:
            colour = _COMMENT.match(self.text, event.start_mark.index)
            cure = f'write it in quotes: "{colour[1]}"' if colour else "write the value or take the key out"
            self._blame(event.start_mark, path, "KB116", "a value is missing", cure)

    def _key(self, name: str, event: Event) -> None:
        frame = self.stack[-1]
        path = (*frame.path, name)
        mark = (event.start_mark.line + 1, event.start_mark.column + 1)
        frame.key, frame.dropped = name, path in self.keys
        if frame.dropped:
            self.doubled.add(path)
            line, column = self.keys[path]
            message = f"{shown(name)} stands twice, first at {self.file}:{line}:{column}"
            self._tell(self._problem(event.start_mark, "KB111", message, "keep one of the two"))
            return
        self.keys[path] = mark
        if name == "<<" and not getattr(event, "style", "'"):
            cure = "write the values out where they belong"
            self._blame(event.start_mark, path, "KB114", "merge keys are not used here", cure)
        if getattr(event, "tag", None) or (event.anchor and hasattr(event, "tag")):
            self._refuse_extras(event, path)

    def _expects_key(self) -> bool:
        return bool(self.stack) and isinstance(self.stack[-1].into, dict) and self.stack[-1].key is None

    def _add(self, value: str | dict[str, Any] | list[Any], mark: Mark) -> Path:
        """Put a value where it belongs; a second value of one key goes nowhere."""
        if not self.stack:
            self.root.append(value)
            path: Path = ()
        else:
            frame = self.stack[-1]
            if isinstance(frame.into, list):
                path = (*frame.path, len(frame.into))
                frame.into.append(value)
            else:
                step = str(frame.key)
                path = (*frame.path, f"{step}\0{mark.index}" if frame.dropped else step)
                if not frame.dropped:
                    frame.into[step] = value
                frame.key = None
        self.values[path] = (mark.line + 1, mark.column + 1)
        return path

    def _refuse_extras(self, event: Event, path: Path) -> None:
        if event.anchor:
            self._blame_anchor(event, path)
        if event.tag:
            cure = "write the value alone, in quotes if it begins with `!`"
            message = f"the tag {shown(event.tag.replace('tag:yaml.org,2002:', '!!'))} is not used here"
            self._blame(event.start_mark, path, "KB113", message, cure)

    def _blame_anchor(self, event: Event, path: Path) -> None:
        cure = "write the value out; put text that begins with `&` or `*` in quotes"
        self._blame(event.start_mark, path, "KB112", "anchors and aliases are not used here", cure)

    def _blame(self, mark: Mark, path: Path, code: str, message: str, cure: str) -> None:
        if path not in self.blamed:
            self._tell(self._problem(mark, code, message, cure))
        self.blamed.add(path)

    def _tell(self, problem: Problem) -> None:
        """Keep a problem; _Stop where there are too many of them."""
        if len(self.problems) >= MOST_TOLD:
            raise _Stop(too_many(self.file))
        self.problems.append(problem)

    def _not_a_mapping(self, mark: Mark) -> None:
        cure = "begin with `kind:` and write `key: value` lines"
        raise _Stop(self._problem(mark, "KB109", "the file is not made of keys and values", cure))

    def _problem(self, mark: Mark, code: str, message: str, cure: str) -> Problem:
        return Problem(Place(self.file, mark.line + 1, mark.column + 1), code, message, cure)
