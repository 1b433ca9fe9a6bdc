"""What the commands do: read the range in kits/, check its kits, gather every problem."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from pathlib import Path

from kitbuild.base.problem import Expected, Problem, errors
from kitbuild.build import Made, amounts_of, make, sources
from kitbuild.editions import since_release
from kitbuild.outcome import Outcome
from kitbuild.spec.folder import KITS, codes, read_range
from kitbuild.spec.records import Kit


def unknown_code(wanted: Sequence[str]) -> str:
    """What to say of the first code that no file of the range names; "" when all are known."""
    known = codes(KITS) if wanted and KITS.is_dir() else frozenset(wanted)
    lacking = [code for code in wanted if code not in known]
    return f"no kit has the code {lacking[0]} (the range has {', '.join(sorted(known))})" if lacking else ""


def not_a_spec(files: Sequence[Path]) -> str:
    """What to say of the first file that is no spec of the range; "" when all are."""
    for file in files:
        if not file.is_file():
            return f"no such file: {file}"
        if file.resolve().parent != KITS.resolve() or file.suffix not in (".yaml", ".yml"):
            return f"not a spec of this range: {file} (name files of {KITS}/)"
    return ""


def compare_thread(code: str, tell: Callable[[str], None]) -> Outcome:
    """A table of what a kit takes by each policy; its problems where it cannot be measured."""
    from kitbuild.compare_thread import rows, table

    kits, found = read_range(KITS)
    kit = next((kit for kit in (kits.kits if kits else ()) if kit.code == code), None)
    if kit is None:
        return Outcome(errors(found), 1)
    try:
        amounts_of(kit)
        for line in table(kit, tuple(rows(kit))):
            tell(line)
    except Expected as expected:
        return Outcome(expected.problems, expected.exit_code)
    return Outcome((), 0)


def check_kits(files: Sequence[Path]) -> Outcome:
    """The problems of the whole range, or of the named files and of what is built from them."""
    kits, found = read_range(KITS)
    named = {f"{KITS.resolve().name}/{file.name}" for file in files}
    problems = [each for each in found if not named or _concerns(each, named, readable=kits is not None)]
    for kit in kits.kits if kits else ():
        if named.isdisjoint(sources(kit)) and named:
            continue
        try:
            made = since_release(make(kit, warnings_of(kit, found)), KITS)
            problems = _with_warnings(problems, made)
        except Expected as expected:
            problems += expected.problems
    return Outcome(tuple(problems), 1 if errors(problems) else 0)


def _concerns(problem: Problem, named: set[str], *, readable: bool) -> bool:
    """Whether a problem is to be told to who asks about the named files.

    Those of the files themselves are, those of charts, which kits are drawn from, and where the workshop or
    the materials could not be read all that keeps the range from being built.
    """
    file = problem.place.file
    return file in named or file.endswith(".csv") or (not readable and not problem.warning)


def _with_warnings(problems: list[Problem], made: Made) -> list[Problem]:
    """The problems with the warnings of a kit that was made, less those that its spec accepts."""
    return [each for each in (*problems, *made.warnings) if each not in made.accepted]


def _files(kits: Iterable[Kit]) -> set[str]:
    """The files that the kits were read from."""
    return {file for kit in kits for file in sources(kit)}


def warnings_of(kit: Kit, found: Sequence[Problem]) -> tuple[Problem, ...]:
    """The reading's warnings about the files of one kit."""
    files = _files([kit])
    return tuple(problem for problem in found if problem.warning and problem.place.file in files)
