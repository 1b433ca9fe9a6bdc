"""The command line: what to do, what went wrong, and the exit code."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final

from kitbuild.arguments import parser

if TYPE_CHECKING:
    from kitbuild.outcome import Outcome


USAGE, INTERRUPTED, UNREAD = 2, 130, 141
"""Exit codes; the last two as shells give them, when it was stopped or nobody reads its output any more."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; the exit code is 0 done, 1 problems in the input, 2 wrong usage, 3 could not write,
    4 orders wait for stock."""
    options = parser().parse_args(arguments)
    try:
        code = _COMMANDS[options.command](options)
        sys.stdout.flush()
        return code
    except KeyboardInterrupt:
        print("interrupted", file=sys.stderr)
        return INTERRUPTED
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return UNREAD


def _build(options: argparse.Namespace) -> int:
    if not options.watch:
        return _build_once(options)
    from kitbuild.watch import Lacking, changes

    try:
        return changes(lambda: _build_once(options), _teller(options.format))
    except Lacking as lacking:
        return _wrong_usage(str(lacking))


def _build_once(options: argparse.Namespace) -> int:
    from kitbuild.fresh import nothing_to_do, told_fresh

    tell, kits = _teller(options.format), Path("kits")
    if fresh := nothing_to_do(options.codes, kits, options.out):
        outcome, count = fresh
        tell(told_fresh(count))
        return _report(outcome, options.format) if outcome.problems or options.format == "json" else 0
    from kitbuild.commands import unknown_code
    from kitbuild.crew import cores
    from kitbuild.rebuild import build_kits

    unknown = unknown_code(options.codes)
    if unknown:
        return _wrong_usage(unknown)
    return _report(build_kits(options.codes, options.out, tell, options.jobs or cores()), options.format)


def _teller(form: str) -> Callable[[str], None]:
    """Tells what was done, at once: on standard output, unless that is for problems as JSON."""
    stream = sys.stderr if form == "json" else sys.stdout
    return lambda text: print(text, file=stream, flush=True)


def _check(options: argparse.Namespace) -> int:
    from kitbuild.commands import check_kits, not_a_spec

    stray = not_a_spec(options.files)
    return _wrong_usage(stray) if stray else _report(check_kits(options.files), options.format)


def _fit(options: argparse.Namespace) -> int:
    from kitbuild.fit_command import Question, Unfit, fit

    asked = {name: getattr(options, name) for name in Question.__dataclass_fields__}
    objects = [name for name in ("round", "circumference", "flat", "box") if asked[name]]
    if len(objects) > 1:
        return _wrong_usage(f"name one object: --{' or --'.join(objects)}")
    tell = _teller(options.format)
    try:
        return _report(fit(Question(**asked), tell), options.format)
    except Unfit as unfit:
        return _wrong_usage(str(unfit))


def _thread(options: argparse.Namespace) -> int:
    from kitbuild.commands import compare_thread, unknown_code

    unknown = unknown_code([options.code])
    if unknown:
        return _wrong_usage(unknown)
    tell = _teller(options.format)
    return _report(compare_thread(options.code, tell), options.format)


def _compare(options: argparse.Namespace) -> int:
    from kitbuild.commands import unknown_code
    from kitbuild.edition_commands import Asked, compare, is_released

    if len(options.what) > 2:
        return _wrong_usage("name two build folders, or one code")
    if options.packed is not None and options.packed < 0:
        return _wrong_usage("--packed is a number of boxes, 0 or more")
    asked = Asked(options.what, options.edition, options.again, options.packed)
    if len(asked.what) == 2 and (asked.again or asked.edition is not None):
        return _wrong_usage("--again and --edition go with a code")
    left = asked.again and is_released(asked.what[0])
    unknown = unknown_code(asked.what) if len(asked.what) == 1 and not left else ""
    if unknown:
        return _wrong_usage(unknown)
    return _report(compare(asked, options.out, _text_width(), _teller(options.format)), options.format)


def _release(options: argparse.Namespace) -> int:
    from kitbuild.commands import unknown_code
    from kitbuild.edition_commands import release_edition

    unknown = unknown_code([options.code])
    if unknown:
        return _wrong_usage(unknown)
    return _report(release_edition(options.code, _teller(options.format)), options.format)


def _replaced(options: argparse.Namespace) -> int:
    from kitbuild.replaced import replaced

    outcome = replaced(options.key, options.out, _text_width(), _teller(options.format))
    return _report(outcome, options.format)


def _text_width() -> int:
    """Columns for lines of text: those of the terminal within reason, 100 elsewhere."""
    return min(max(_terminal_width(), 60), 140) if _terminal_width() else 100


def _view(options: argparse.Namespace) -> int:
    from kitbuild.spec.folder import KITS

    if not KITS.is_dir():
        return _wrong_usage(f"there is no folder {KITS}/ here; run it from the folder that holds it")
    if not 0 <= options.port < 65536:
        return _wrong_usage(f"{options.port} is no port: name one from 1 to 65535, or 0 for any")
    try:
        from kitbuild.view.server import serve
    except ImportError as missing:
        return _wrong_usage(f"{missing.name} is not installed; get it with: pip install 'kitbuild[view]'")
    try:
        serve(KITS, options.port, lambda text: print(text, flush=True))
    except OSError as error:
        reason = (error.strerror or "it cannot be had").lower()
        return _wrong_usage(f"port {options.port}: {reason}; name another with --port")
    return 0


def _batch(options: argparse.Namespace) -> int:
    from kitbuild.batch import batch
    from kitbuild.run_steps import post_picked

    tell = _teller(options.format)
    if options.action == "print" and options.picked is None:
        from kitbuild.print_command import order_prints

        return _report(order_prints(options.name, options.out, tell), options.format)
    if options.picked is None:
        return _report(batch(options.name, options.action, options.out, tell), options.format)
    if options.action != "post":
        return _wrong_usage("--picked goes with post")
    return _report(post_picked(options.name, options.picked, options.out, tell), options.format)


def _class(options: argparse.Namespace) -> int:
    from kitbuild.class_command import take_class, unknown_class

    unknown = unknown_class(options.name)
    if unknown:
        return _wrong_usage(unknown)
    return _report(
        take_class(options.name, options.action, options.out, _teller(options.format)), options.format
    )


def _stock(options: argparse.Namespace) -> int:
    from kitbuild.stock_command import count_in, export, write_off

    tell, what = _teller(options.format), options.what
    off = options.action == "write-off"
    if (not what) if off else len(what) > 1:
        return _wrong_usage("name an item and its lot" if off else "name one list")
    if options.quantity is not None and not off:
        return _wrong_usage("--quantity goes with write-off")
    if off:
        return _report(write_off(what[0], " ".join(what[1:]), options.quantity, tell), options.format)
    file = Path(what[0]) if what else None
    if options.action == "count":
        return _report(count_in(file, options.whole, tell), options.format)
    return _report(export(file or Path("-"), tell), options.format)


def _spare(options: argparse.Namespace) -> int:
    from kitbuild.production.spares import MOST
    from kitbuild.spare_command import print_again, send

    if (options.again is None) == (options.colour is None) or (options.again and options.box):
        return _wrong_usage("name a box and a colour, or a slip with --again")
    if options.needlefuls > MOST:
        return _wrong_usage(f"--needlefuls is a number from 1 to {MOST}")
    tell = _teller(options.format)
    if options.again:
        return _report(print_again(options.again, options.out, tell), options.format)
    return _report(send(options.box, options.colour, options.needlefuls, options.out, tell), options.format)


def _bundle(options: argparse.Namespace) -> int:
    from kitbuild.bundle_command import MOST, plan, post
    from kitbuild.commands import unknown_code

    unknown = unknown_code([options.code])
    if unknown or options.what > MOST:
        return _wrong_usage(unknown or f"make at most {MOST} bundles at a time")
    tell = _teller(options.format)
    if not options.what:
        return _report(post(options.code, options.out, tell), options.format)
    return _report(plan(options.code, options.what, options.bin, options.out, tell), options.format)


def _explain(options: argparse.Namespace) -> int:
    from kitbuild.explain import explained, listed, unknown

    try:
        print(listed() if options.code is None else explained(options.code))
    except KeyError:
        return _wrong_usage(unknown(options.code))
    return 0


def _new(options: argparse.Namespace) -> int:
    from kitbuild.new import Refused, new_kit, new_range

    first, *rest = options.what
    if len(rest) > 1 or (rest and first != "kit") or (first == "kit" and not rest):
        return _wrong_usage("name a folder, or `kit` and a code: kitbuild new DIR, kitbuild new kit CODE")
    try:
        outcome = new_kit(rest[0], print) if rest else new_range(Path(first), print)
    except Refused as refused:
        return _wrong_usage(str(refused))
    return _report(outcome, "text")


def _wrong_usage(text: str) -> int:
    print(f"kitbuild: {text}", file=sys.stderr)
    return USAGE


def _report(outcome: Outcome, form: str) -> int:
    """Tell all problems, sorted; the exit code is that of the worst."""
    from kitbuild.report import as_json, lines

    if form == "json":
        print(as_json(outcome.problems))
        return outcome.exit_code
    for line in lines(outcome.problems, _terminal_width()):
        print(line, file=sys.stderr)
    return outcome.exit_code


def _terminal_width() -> int:
    """The columns of the terminal that problems are told on, 0 when it is none."""
    if not sys.stderr.isatty():
        return 0
    try:
        return os.get_terminal_size(sys.stderr.fileno()).columns or 80
    except OSError:
        return 80


_COMMANDS: Final[dict[str, Callable[[argparse.Namespace], int]]] = {
    "build": _build,
    "check": _check,
    "fit": _fit,
    "thread": _thread,
    "compare": _compare,
    "release": _release,
    "replaced": _replaced,
    "view": _view,
    "batch": _batch,
    "class": _class,
    "stock": _stock,
    "spare": _spare,
    "bundle": _bundle,
    "explain": _explain,
    "new": _new,
}
