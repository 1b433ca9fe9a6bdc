"""The command line: what to do, what went wrong, and the exit code."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from kitbuild import __version__
from kitbuild.base.problem import Expected, Problem

if TYPE_CHECKING:
    from kitbuild.spec.records import Kit, Range

DONE, INPUT, USAGE = 0, 1, 2


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; the exit code is 0 done, 1 problems in the input, 2 wrong usage, 3 could not write."""
    options = _parser().parse_args(arguments)
    try:
        return options.run(options)
    except Expected as expected:
        _report(expected.problems)
        return expected.exit_code
    except KeyboardInterrupt:
        print("interrupted", file=sys.stderr)
        return 130


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="kitbuild",
        description="Turn the kit specs in kits/ into the booklets, sheets and lists that fill a box.",
        epilog="Run it from the folder that holds kits/. Example: kitbuild build",
    )
    parser.add_argument("--version", action="version", version=f"kitbuild {__version__}")
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")
    build = commands.add_parser(
        "build",
        help="make all documents and lists",
        description="Make all documents and lists of the named kits, or of all.",
        epilog="Example: kitbuild build WHIN --out build",
    )
    build.add_argument("codes", nargs="*", metavar="CODE", help="kits to build; all when none is named")
    build.add_argument(
        "--out", type=Path, default=Path("build"), metavar="DIR", help="where to write (build)"
    )
    build.set_defaults(run=_build)
    check = commands.add_parser(
        "check",
        help="find problems without writing anything",
        description="Find the problems of the kit specs, all of them or those of the named files.",
        epilog="Example: kitbuild check kits/whin.yaml",
    )
    check.add_argument(
        "files", nargs="*", type=Path, metavar="FILE", help="files of kits/; all when none is named"
    )
    check.set_defaults(run=_check)
    return parser


def _build(options: argparse.Namespace) -> int:
    from kitbuild.build import make, write

    kits, found = _read()
    unknown = _unknown_codes(options.codes, kits, found)
    if unknown:
        print(unknown, file=sys.stderr)
        return USAGE
    problems = list(found)
    chosen = [kit for kit in (kits.kits if kits else ()) if not options.codes or kit.code in options.codes]
    if options.codes:
        problems = [
            problem for problem in problems if not problem.warning or problem.place.file in _files(chosen)
        ]
    for kit in chosen:
        try:
            made = make(kit, _warnings_of(kit, found))
            folder = write(made, options.out)
            problems += made.warnings
            print(f"{kit.code}: edition {kit.edition}, {folder}")
        except Expected as expected:
            if expected.exit_code != INPUT:
                _report(problems)
                raise
            problems += expected.problems
    return _report(problems)


def _check(options: argparse.Namespace) -> int:
    from kitbuild.build import check

    kits, found = _read()
    problems = list(found)
    for kit in kits.kits if kits else ():
        try:
            problems += check(kit, _warnings_of(kit, found))
        except Expected as expected:
            problems += expected.problems
    if options.files:
        wanted = {path.name for path in options.files}
        missing = [path for path in options.files if not path.is_file()]
        if missing:
            print(f"kitbuild: no such file: {missing[0]}", file=sys.stderr)
            return USAGE
        problems = [problem for problem in problems if Path(problem.place.file).name in wanted]
    return _report(problems)


def _read() -> tuple[Range | None, tuple[Problem, ...]]:
    from kitbuild.spec.folder import read_range

    return read_range(Path("kits"))


def _unknown_codes(codes: Sequence[str], kits: Range | None, found: Sequence[Problem]) -> str:
    """A message for the first code that no kit has; "" when all are known or could not be read."""
    if any(not problem.warning for problem in found):
        return ""
    known = [kit.code for kit in kits.kits] if kits else []
    for code in codes:
        if code not in known:
            return f"kitbuild: no kit has the code {code} (the range has {', '.join(known)})"
    return ""


def _files(kits: Sequence[Kit]) -> set[str]:
    """The files that the kits were read from."""
    from kitbuild.build import sources

    return {file for kit in kits for file in sources(kit)}


def _warnings_of(kit: Kit, found: Sequence[Problem]) -> tuple[Problem, ...]:
    """The reading's warnings about the files of one kit."""
    files = _files([kit])
    return tuple(problem for problem in found if problem.warning and problem.place.file in files)


def _report(problems: Sequence[Problem]) -> int:
    """Print all problems, sorted, one a line; the exit code is 1 if one of them is an error."""
    for problem in sorted(set(problems)):
        print(problem, file=sys.stderr)
    return INPUT if any(not problem.warning for problem in problems) else DONE
