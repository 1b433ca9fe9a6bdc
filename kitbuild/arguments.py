"""What may be written on the command line: each command with its options, its help and an example."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from kitbuild import __version__

if TYPE_CHECKING:
    Commands = argparse._SubParsersAction[argparse.ArgumentParser]


def parser() -> argparse.ArgumentParser:
    """The parser of the command line; the options' `command` is the word of the command."""
    made = argparse.ArgumentParser(
        prog="kitbuild",
        description="Turn the kit specs in kits/ into the booklets, sheets and lists that fill a box.",
        epilog="Run it from the folder that holds kits/. Example: kitbuild build",
    )
    made.add_argument("--version", action="version", version=f"kitbuild {__version__}")
    commands = made.add_subparsers(dest="command", required=True, metavar="COMMAND")
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
    return made


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


def _add_thread(commands: Commands) -> None:
    thread = commands.add_parser(
        "thread",
        help="compare what a kit takes by each policy and needleful",
        description="Compare what a kit takes by each policy, for both hands, and with other needlefuls.",
        epilog="Example: kitbuild thread WHIN",
    )
    thread.add_argument("code", metavar="CODE", help="the kit")
    _add_format(thread)


def _add_compare(commands: Commands) -> None:
    compare = commands.add_parser(
        "compare",
        usage="kitbuild compare [-h] [--edition N] [--again] [--packed N] [--out DIR] [--format FORMAT] "
        "OLD NEW | CODE",
        help="say what changed between two editions, and what it means",
        description="Compare two build folders of a kit, or its last released edition with today's spec and "
        "materials: what changed, what to print again, what becomes of packed boxes, what to buy.",
        epilog="Examples: kitbuild compare proofs/WHIN build/WHIN; kitbuild compare WHIN --packed 12; "
        "kitbuild compare WHIN --again",
    )
    compare.add_argument("what", nargs="+", metavar="OLD NEW | CODE", help="two build folders, or a code")
    compare.add_argument("--edition", type=int, metavar="N", help="this released edition, and not the last")
    compare.add_argument(
        "--again", action="store_true", help="make it from its own spec as released, not from today's"
    )
    compare.add_argument(
        "--packed", type=int, metavar="N", help="how many boxes of the earlier edition are packed"
    )
    compare.add_argument(
        "--out", type=Path, default=Path("build"), metavar="DIR", help="where to write the sheet (build)"
    )
    _add_format(compare)


def _add_release(commands: Commands) -> None:
    release = commands.add_parser(
        "release",
        help="keep an edition as it is printed and packed",
        description="Keep the open data and the spec of a kit's edition in kits/released/, to tell later "
        "changes by. Refused while warnings are open, no test stitch counts, or the edition was not raised.",
        epilog="Example: kitbuild release WHIN",
    )
    release.add_argument("code", metavar="CODE", help="the kit")
    _add_format(release)


def _add_replaced(commands: Commands) -> None:
    replaced = commands.add_parser(
        "replaced",
        help="say what it means that another thread or canvas takes the place of one",
        description="For each thread or canvas that the materials mark with replaced_by: the kits, papers "
        "and packed boxes that have it, need and cost with the new one, how colours differ, what is left.",
        epilog="Example: kitbuild replaced wool-0664",
    )
    replaced.add_argument("key", nargs="?", metavar="KEY", help="the old one; all when none is named")
    replaced.add_argument(
        "--out", type=Path, default=Path("build"), metavar="DIR", help="where to write the sheets (build)"
    )
    _add_format(replaced)


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


def _add_explain(commands: Commands) -> None:
    explain = commands.add_parser(
        "explain",
        help="say what the code of a problem means",
        description="Say what the code of a problem means, with an example; all codes when none is named.",
        epilog="Example: kitbuild explain KB303",
    )
    explain.add_argument("code", nargs="?", metavar="CODE", help="a code such as KB303")


def _add_new(commands: Commands) -> None:
    new = commands.add_parser(
        "new",
        usage="kitbuild new [-h] DIR | kit CODE",
        help="write a range or a kit to begin with",
        description="Write a small commented range into DIR/kits, or one more kit into kits/ of this range.",
        epilog="Examples: kitbuild new workshop; kitbuild new kit FERN",
    )
    new.add_argument("what", nargs="+", metavar="DIR | kit CODE", help="a new folder, or a new code")


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
