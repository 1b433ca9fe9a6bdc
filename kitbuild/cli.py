"""The command line: what to do, what went wrong, and the exit code."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from kitbuild import __version__

if TYPE_CHECKING:
    from kitbuild.outcome import Outcome

    Commands = argparse._SubParsersAction[argparse.ArgumentParser]

USAGE, INTERRUPTED, UNREAD = 2, 130, 141
"""Exit codes; the last two as shells give them, when it was stopped or nobody reads its output any more."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; the exit code is 0 done, 1 problems in the input, 2 wrong usage, 3 could not write,
    4 orders wait for stock."""
    options = _parser().parse_args(arguments)
    try:
        code = options.run(options)
        sys.stdout.flush()
        return code
    except KeyboardInterrupt:
        print("interrupted", file=sys.stderr)
        return INTERRUPTED
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return UNREAD


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="kitbuild",
        description="Turn the kit specs in kits/ into the booklets, sheets and lists that fill a box.",
        epilog="Run it from the folder that holds kits/. Example: kitbuild build",
    )
    parser.add_argument("--version", action="version", version=f"kitbuild {__version__}")
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")
    for add in (
        _add_build,
        _add_check,
        _add_fit,
        _add_thread,
        _add_view,
        _add_compare,
        _add_release,
        _add_replaced,
        _add_batch,
        _add_class,
        _add_stock,
        _add_spare,
        _add_bundle,
        _add_explain,
        _add_new,
    ):
        add(commands)
    return parser


def _add_build(commands: Commands) -> None:
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
    build.add_argument(
        "--jobs",
        type=_jobs,
        default=0,
        metavar="N",
        help="how many kits at once (as many as there are cores)",
    )
    build.add_argument(
        "--watch", action="store_true", help="build again at each change of kits/, until Ctrl-C"
    )
    _add_format(build)
    build.set_defaults(run=_build)


def _add_check(commands: Commands) -> None:
    check = commands.add_parser(
        "check",
        help="find problems without writing anything",
        description="Find the problems of the kit specs, all of them or those of the named files.",
        epilog="Example: kitbuild check kits/whin.yaml",
    )
    check.add_argument(
        "files", nargs="*", type=Path, metavar="FILE", help="files of kits/; all when none is named"
    )
    _add_format(check)
    check.set_defaults(run=_check)


def _add_fit(commands: Commands) -> None:
    fit = commands.add_parser(
        "fit",
        help="find the sizes of a piece that fit an object",
        description="Find the columns, rows, repeats and ends with which a piece fits an object, best first.",
        epilog='Example: kitbuild fit FERN --round "73 mm" --height "10 cm" --write 1',
    )
    fit.add_argument("code", metavar="CODE", help="the kit whose pattern, canvas and finish are asked about")
    lengths = (
        ("--piece", "KEY", "which piece, where the kit has several"),
        ("--canvas", "KEY", "another canvas of the materials"),
        ("--round", "LENGTH", "a round object by its diameter"),
        ("--circumference", "LENGTH", "a round object by its way round"),
        ("--other-end", "LENGTH", "diameter of its other end, where it narrows a little"),
        ("--height", "LENGTH", "the height that must not be passed"),
        ("--flat", "SIZE", "a flat place: width x height"),
        ("--box", "SIZE", "a box: width x depth x height"),
        ("--ease", "LENGTH", "room to slide on (as in the spec)"),
        ("--tolerance", "LENGTH", "how much looser it may be (as in the spec)"),
    )
    for name, metavar, help in lengths:
        fit.add_argument(name, metavar=metavar, default="", help=help)
    fit.add_argument("--write", type=int, default=0, metavar="N", help="write choice N into the spec")
    _add_format(fit)
    fit.set_defaults(run=_fit)


def _add_thread(commands: Commands) -> None:
    thread = commands.add_parser(
        "thread",
        help="compare what a kit takes by each policy and needleful",
        description="Compare what a kit takes by each policy, for both hands, and with other needlefuls.",
        epilog="Example: kitbuild thread WHIN",
    )
    thread.add_argument("code", metavar="CODE", help="the kit")
    _add_format(thread)
    thread.set_defaults(run=_thread)


def _add_compare(commands: Commands) -> None:
    compare = commands.add_parser(
        "compare",
        usage="kitbuild compare [-h] [--packed N] [--out DIR] [--format FORMAT] OLD NEW | CODE",
        help="say what changed between two editions, and what it means",
        description="Compare two build folders of a kit, or its last released edition with today's spec and "
        "materials: what changed, what to print again, what becomes of packed boxes, what to buy.",
        epilog="Examples: kitbuild compare proofs/WHIN build/WHIN; kitbuild compare WHIN --packed 12",
    )
    compare.add_argument("what", nargs="+", metavar="OLD NEW | CODE", help="two build folders, or a code")
    compare.add_argument(
        "--packed", type=int, metavar="N", help="how many boxes of the earlier edition are packed"
    )
    compare.add_argument(
        "--out", type=Path, default=Path("build"), metavar="DIR", help="where to write the sheet (build)"
    )
    _add_format(compare)
    compare.set_defaults(run=_compare)


def _add_release(commands: Commands) -> None:
    release = commands.add_parser(
        "release",
        help="keep an edition as it is printed and packed",
        description="Keep the open data of a kit's edition in kits/released/, to tell later changes by. "
        "Refused while warnings are open, no test stitch counts, or the edition was not raised.",
        epilog="Example: kitbuild release WHIN",
    )
    release.add_argument("code", metavar="CODE", help="the kit")
    _add_format(release)
    release.set_defaults(run=_release)


def _add_replaced(commands: Commands) -> None:
    replaced = commands.add_parser(
        "replaced",
        help="say what it means that another thread or canvas takes the place of one",
        description="For each thread or canvas that the materials mark with replaced_by: the kits, papers "
        "and packed boxes that have it, need and cost with the new one, how colours differ, what is left.",
        epilog="Example: kitbuild replaced wool-0123",
    )
    replaced.add_argument("key", nargs="?", metavar="KEY", help="the old one; all when none is named")
    replaced.add_argument(
        "--out", type=Path, default=Path("build"), metavar="DIR", help="where to write the sheets (build)"
    )
    _add_format(replaced)
    replaced.set_defaults(run=_replaced)


def _add_view(commands: Commands) -> None:
    view = commands.add_parser(
        "view",
        help="show a kit in a browser while its spec is edited",
        description="Show the kits of this range in a browser of this machine, anew at each edit of kits/.",
        epilog="Example: kitbuild view --port 8137",
    )
    view.add_argument(
        "--port", type=int, default=8137, metavar="N", help="where it answers; 0 for any (8137)"
    )
    view.set_defaults(run=_view)


def _add_batch(commands: Commands) -> None:
    batch = commands.add_parser(
        "batch",
        help="plan a production run from kits/orders.csv, reserve, post or cancel it",
        description="Plan a production run of all orders in kits/orders.csv, with all its lists; "
        "then order its prints, reserve what it takes, and post it when it is packed, or cancel it. "
        "Exit code 4: orders wait.",
        epilog="Example: kitbuild batch 2026-w41; kitbuild batch 2026-w41 reserve",
    )
    batch.add_argument("name", metavar="RUN", help="the run's name: letters, digits and hyphens")
    actions = ("plan", "print", "reserve", "post", "cancel")
    batch.add_argument("action", nargs="?", choices=actions, default="plan", help="what to do (plan)")
    batch.add_argument(
        "--out", type=Path, default=Path("build"), metavar="DIR", help="where to write (build)"
    )
    batch.add_argument(
        "--picked",
        type=Path,
        metavar="FILE",
        help="with post: the pick list as it came back, column `picked`",
    )
    _add_format(batch)
    batch.set_defaults(run=_batch)


def _add_class(commands: Commands) -> None:
    lesson = commands.add_parser(
        "class",
        help="plan the box, the wall chart and the times of a class, reserve, post or cancel it",
        description="Make the papers of a class in kits/ and plan its one box from one lot of each colour; "
        "then reserve what it takes, and post it when it is packed, or cancel it. Exit code 4: it is short.",
        epilog="Example: kitbuild class saturday-whin",
    )
    lesson.add_argument("name", metavar="NAME", help="the `name` in the class's file")
    actions = ("plan", "reserve", "post", "cancel")
    lesson.add_argument("action", nargs="?", choices=actions, default="plan", help="what to do (plan)")
    lesson.add_argument(
        "--out", type=Path, default=Path("build"), metavar="DIR", help="where to write (build)"
    )
    _add_format(lesson)
    lesson.set_defaults(run=_class)


def _add_stock(commands: Commands) -> None:
    stock = commands.add_parser(
        "stock",
        help="count stock into the ledger, or write it as a list",
        usage="kitbuild stock [-h] count [FILE] [--whole] | export [FILE] | write-off ITEM [LOT]",
        description="Count a stock list into the ledger kits/stock.sqlite, write what that holds, or write "
        "off what is used no more, such as printed matter of an earlier edition.",
        epilog="Examples: kitbuild stock count; kitbuild stock export stock-now.csv; "
        "kitbuild stock write-off WHIN-booklet 'edition 1'",
    )
    stock.add_argument("action", choices=("count", "export", "write-off"), help="what to do")
    stock.add_argument(
        "what", nargs="*", metavar="FILE | ITEM LOT", help="the list (count: kits/stock.csv, export: shown)"
    )
    stock.add_argument("--quantity", type=_number, metavar="N", help="write off so many (all of the lot)")
    stock.add_argument("--whole", action="store_true", help="lots that the count does not name are gone")
    _add_format(stock)
    stock.set_defaults(run=_stock)


def _add_spare(commands: Commands) -> None:
    spare = commands.add_parser(
        "spare",
        usage="kitbuild spare [-h] BOX COLOUR [--needlefuls N] | --again SLIP",
        help="send thread after a packed box, of the same lot",
        description="Take needlefuls of a colour out of stock for a packed box, from the lot that lies in it "
        "where that is still there, and write the packing slip. Exit code 4: no lot holds so much.",
        epilog="Example: kitbuild spare 2026-w41-WHIN-007 bark --needlefuls 3",
    )
    spare.add_argument("box", nargs="?", metavar="BOX", help="the number on the box's label")
    spare.add_argument("colour", nargs="?", metavar="COLOUR", help="its key, name, symbol or thread")
    spare.add_argument("--needlefuls", type=_number, default=1, metavar="N", help="how many (1)")
    spare.add_argument("--again", type=_number, metavar="SLIP", help="write a slip again, book nothing")
    spare.add_argument(
        "--out", type=Path, default=Path("build"), metavar="DIR", help="where to write (build)"
    )
    _add_format(spare)
    spare.set_defaults(run=_spare)


def _add_bundle(commands: Commands) -> None:
    bundle = commands.add_parser(
        "bundle",
        usage="kitbuild bundle [-h] CODE NUMBER [--bin BIN] | CODE post",
        help="make thread bundles ahead, as stock",
        description="Plan so many bundles of all thread for a box, with their cards; post them when they are "
        "made. A run packs them before it takes thread. Exit code 4: thread is short.",
        epilog="Example: kitbuild bundle WHIN 20 --bin B-09; kitbuild bundle WHIN post",
    )
    bundle.add_argument("code", metavar="CODE", help="the kit")
    bundle.add_argument("what", type=_bundles, metavar="NUMBER | post", help="how many, or book them in")
    bundle.add_argument("--bin", default="", metavar="BIN", help="where they will lie")
    bundle.add_argument(
        "--out", type=Path, default=Path("build"), metavar="DIR", help="where to write (build)"
    )
    _add_format(bundle)
    bundle.set_defaults(run=_bundle)


def _add_explain(commands: Commands) -> None:
    explain = commands.add_parser(
        "explain",
        help="say what the code of a problem means",
        description="Say what the code of a problem means, with an example; all codes when none is named.",
        epilog="Example: kitbuild explain KB303",
    )
    explain.add_argument("code", nargs="?", metavar="CODE", help="a code such as KB303")
    explain.set_defaults(run=_explain)


def _add_new(commands: Commands) -> None:
    new = commands.add_parser(
        "new",
        usage="kitbuild new [-h] DIR | kit CODE",
        help="write a range or a kit to begin with",
        description="Write a small commented range into DIR/kits, or one more kit into kits/ of this range.",
        epilog="Examples: kitbuild new workshop; kitbuild new kit FERN",
    )
    new.add_argument("what", nargs="+", metavar="DIR | kit CODE", help="a new folder, or a new code")
    new.set_defaults(run=_new)


def _add_format(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--format",
        choices=("text", "json"),
        default="text",
        help="how problems are told: text, a line each on standard error, or json on standard output (text)",
    )


def _jobs(text: str) -> int:
    number = int(text) if text.isascii() and text.isdigit() else 0
    if not 1 <= number <= 256:
        raise argparse.ArgumentTypeError("write a whole number from 1 to 256")
    return number


def _number(text: str) -> int:
    number = int(text) if text.isascii() and text.isdigit() and len(text) < 10 else 0
    if not number:
        raise argparse.ArgumentTypeError("write a whole number from 1")
    return number


def _bundles(text: str) -> int:
    """How many bundles, 0 to post them."""
    return 0 if text == "post" else _number(text)


def _build(options: argparse.Namespace) -> int:
    if not options.watch:
        return _build_once(options)
    from kitbuild.watch import Lacking, changes

    try:
        return changes(lambda: _build_once(options), _progress(options))
    except Lacking as lacking:
        return _wrong_usage(str(lacking))


def _build_once(options: argparse.Namespace) -> int:
    from kitbuild.fresh import nothing_to_do, told_fresh

    tell, kits = _progress(options), Path("kits")
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


def _progress(options: argparse.Namespace) -> Callable[[str], None]:
    """Tell what is done: on standard output, unless that is for the JSON."""
    stream = sys.stderr if options.format == "json" else sys.stdout
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
    progress = sys.stderr if options.format == "json" else sys.stdout
    try:
        return _report(fit(Question(**asked), lambda text: print(text, file=progress)), options.format)
    except Unfit as unfit:
        return _wrong_usage(str(unfit))


def _thread(options: argparse.Namespace) -> int:
    from kitbuild.commands import compare_thread, unknown_code

    unknown = unknown_code([options.code])
    if unknown:
        return _wrong_usage(unknown)
    progress = sys.stderr if options.format == "json" else sys.stdout
    return _report(compare_thread(options.code, lambda text: print(text, file=progress)), options.format)


def _compare(options: argparse.Namespace) -> int:
    from kitbuild.commands import unknown_code
    from kitbuild.edition_commands import compare

    if len(options.what) > 2:
        return _wrong_usage("name two build folders, or one code")
    if options.packed is not None and options.packed < 0:
        return _wrong_usage("--packed is a number of boxes, 0 or more")
    unknown = unknown_code(options.what) if len(options.what) == 1 else ""
    if unknown:
        return _wrong_usage(unknown)
    tell = _teller(options.format)
    return _report(compare(options.what, options.out, options.packed, _text_width(), tell), options.format)


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


def _teller(form: str) -> Callable[[str], None]:
    """Tells what was done: on standard output, unless that is for problems as JSON."""
    progress = sys.stderr if form == "json" else sys.stdout
    return lambda text: print(text, file=progress)


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
    from kitbuild.batch import batch, post_picked

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
