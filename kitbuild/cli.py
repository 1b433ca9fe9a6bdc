"""The command line: what to do, what went wrong, and the exit code."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from kitbuild import __version__

if TYPE_CHECKING:
    from kitbuild.commands import Outcome

USAGE, INTERRUPTED = 2, 130


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; the exit code is 0 done, 1 problems in the input, 2 wrong usage, 3 could not write."""
    options = _parser().parse_args(arguments)
    try:
        return options.run(options)
    except KeyboardInterrupt:
        print("interrupted", file=sys.stderr)
        return INTERRUPTED


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
    from kitbuild.commands import build_kits, unknown_code

    unknown = unknown_code(options.codes)
    if unknown:
        print(f"kitbuild: {unknown}", file=sys.stderr)
        return USAGE
    return _report(build_kits(options.codes, options.out, print))


def _check(options: argparse.Namespace) -> int:
    from kitbuild.commands import check_kits, not_a_spec

    stray = not_a_spec(options.files)
    if stray:
        print(f"kitbuild: {stray}", file=sys.stderr)
        return USAGE
    return _report(check_kits(options.files))


def _report(outcome: Outcome) -> int:
    """Print all problems, sorted, one a line; the exit code is that of the worst."""
    for problem in sorted(set(outcome.problems)):
        print(problem, file=sys.stderr)
    return outcome.exit_code
