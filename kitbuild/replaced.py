"""`replaced`: what it means that another thread or canvas takes the place of one, as a sheet and a list."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from contextlib import closing
from pathlib import Path

from kitbuild.base.document import SCREEN, Document, Listing
from kitbuild.base.problem import Expected, InputProblems, Place, Problem, errors
from kitbuild.build import Made, judged, make, speaking
from kitbuild.commands import warnings_of
from kitbuild.documents.replacement_listing import replacement_listing
from kitbuild.documents.replacement_sheet import ReplacementJob, replacement_sheet
from kitbuild.editions import RELEASED, edition_folder, editions, open_build, open_made
from kitbuild.ledger import Ledger
from kitbuild.outcome import Outcome
from kitbuild.pattern.expand import panels
from kitbuild.production.canvas_left import boxes_cut
from kitbuild.production.changes import changes
from kitbuild.production.consequences import consequences
from kitbuild.production.cutting import blanks
from kitbuild.production.replacing import PackedBoxes, Replaced, Side, Touched, boxes_left
from kitbuild.production.stock import Lot, items, read_stock
from kitbuild.progress import Progress
from kitbuild.quantity.amounts import measure
from kitbuild.quantity.rules import before as before_measuring
from kitbuild.run_inputs import LEDGER, STOCK, content_of
from kitbuild.spec.folder import KITS, read_range
from kitbuild.spec.materials import Canvas, Materials, Thread
from kitbuild.spec.records import Kit, Range
from kitbuild.spec.trade import Replacement
from kitbuild.spec.words import shown, suggestion
from kitbuild.variants import for_the_house, printed

FOLDER = "replaced"
"""The folder, beside those of the kits, that replacement sheets are written to."""
Material = Thread | Canvas
_Packed = tuple[PackedBoxes, ...] | None


def replaced(key: str | None, out: Path, width: int, tell: Callable[[str], None]) -> Outcome:
    """Write a sheet for one replaced material, or for each that there is; and tell it in lines of `width`."""
    try:
        kits, found = read_range(KITS)
        if kits is None or errors(found):
            raise InputProblems(errors(found))
        for old, new in _wanted(kits, key):
            job = _job(kits, old, new, found)
            sheet = replacement_sheet(job)
            for line in _text(sheet, width):
                tell(line)
            tell(f"\n{_write(job, sheet, out).as_posix()}\n")
    except Expected as expected:
        return Outcome(expected.problems, expected.exit_code)
    return Outcome((), 0)


def _wanted(kits: Range, key: str | None) -> tuple[tuple[Material, Replacement], ...]:
    """The named material with what takes its place, or all that are replaced; InputProblems for none."""
    every = _every(kits.materials)
    if key is not None and key not in every:
        cure = suggestion(key, every, "name a thread or canvas of the materials")
        told = Problem(Place(KITS.as_posix()), "KB642", f"there is no thread or canvas {shown(key)}", cure)
        raise InputProblems([told])
    asked = [every[key]] if key is not None else list(every.values())
    wanted = tuple((each, each.replaced_by) for each in asked if each.replaced_by)
    if not wanted:
        place = every[key].at.key() if key is not None else Place(KITS.as_posix())
        message = f"{key} is not replaced by anything" if key else "nothing is replaced in the materials"
        cure = "write `replaced_by: {key: …, from: …}` to the old one"
        raise InputProblems([Problem(place, "KB642", message, cure)])
    return wanted


def _every(materials: Materials) -> dict[str, Material]:
    return {**materials.threads, **materials.canvases}


def _job(kits: Range, old: Material, by: Replacement, found: tuple[Problem, ...]) -> ReplacementJob:
    """All that one replacement touches, in the language and on the paper of the workshop."""
    new = _every(kits.materials)[by.key]
    after, _ = read_range(KITS, {old.key: new.key})
    if after is None:
        raise InputProblems(errors(found))
    lots = _lots(kits, old, new)
    touched = tuple(_all_touched(old, zip(kits.kits, after.kits, strict=True), found, lots))
    first = for_the_house(kits.house)[0]
    released = tuple(_released(old))
    packed = _packed(old, {*released, *((each.kit.code, each.kit.edition) for each in touched)})
    done = Replaced(old, new, by, touched, released, packed, lots)
    return ReplacementJob(done, kits.house, first.say, first.sheet)


def _has(kit: Kit, key: str) -> bool:
    return key in {colour.thread.key for colour in kit.palette} | {piece.canvas.key for piece in kit.pieces}


def _all_touched(
    old: Material, pairs: Iterable[tuple[Kit, Kit]], found: tuple[Problem, ...], lots: tuple[Lot, ...]
) -> Iterator[Touched]:
    """Each kit that has the old material; a terminal shows how far that is."""
    asked = [(kit, exchanged) for kit, exchanged in pairs if _has(kit, old.key)]
    progress = Progress(len(asked))
    try:
        for kit, exchanged in asked:
            progress.begun(kit.code)
            yield _touched(old, kit, exchanged, found, lots)
            progress.ended(kit.code)
    finally:
        progress.clear()


def _touched(
    old: Material, kit: Kit, exchanged: Kit, found: tuple[Problem, ...], lots: tuple[Lot, ...]
) -> Touched:
    """One kit, made as it is and with the new material; InputProblems where it cannot be made as it is."""
    warnings, say = warnings_of(kit, found), speaking(kit)
    today = _side(kit, warnings)
    boxes = _boxes_left(old, today, lots)
    faults = tuple(_same_thread(exchanged))
    try:
        if faults:
            raise InputProblems(faults)
        then = _side(exchanged, warnings)
        before, after = (make(each, (), say[0]) for each in (kit, exchanged))
    except InputProblems as fault:
        measured = (
            None if faults or errors(before_measuring(exchanged)) else measure(exchanged, panels(exchanged))
        )
        return Touched(old.key, kit, today, None, fault.problems, (), boxes, measured)
    return Touched(old.key, kit, today, then, (), _papers(before, after), boxes)


def _boxes_left(old: Material, today: Side, lots: tuple[Lot, ...]) -> int:
    """How many boxes the lots of the old material still make."""
    from kitbuild.production.cut_plan import cut

    if isinstance(old, Canvas):
        return boxes_cut(old, blanks(today.amounts), lots, cut)
    pick = next(pick for pick, _ in today.cost.lines if pick.item == old.key and pick.kind == "thread")
    return boxes_left(lots, pick)


def _side(kit: Kit, warnings: tuple[Problem, ...]) -> Side:
    job = judged(kit, warnings, speaking(kit)[:1])
    return Side(job.amounts, job.cost, job.judgement.warnings)


def _same_thread(kit: Kit) -> Iterator[Problem]:
    """Two colours that would be worked in one thread, or have one name in print."""
    for what in ("thread.key", "name"):
        seen: dict[str, str] = {}
        for colour in kit.palette:
            value = colour.thread.key if what == "thread.key" else colour.name.casefold()
            if value in seen:
                message = f"{seen[value]} and {colour.key} would both be {shown(value)}"
                cure = "give the kit another thread, or one colour less"
                yield Problem(colour.at(), "KB643", message, cure)
            seen.setdefault(value, colour.key)


def _papers(before: Made, after: Made) -> tuple[str, ...]:
    """The documents of the first language that show the difference."""
    papers = consequences(changes(open_made(before), open_made(after))).papers
    again = (paper.document for paper in papers if paper.again == "again" and not paper.screen)
    return tuple(dict.fromkeys(again))


def _released(old: Material) -> Iterator[tuple[str, int]]:
    """The kept editions that have the old material; InputProblems where one is damaged."""
    folder = KITS / RELEASED
    for code in sorted(path.name for path in folder.iterdir()) if folder.is_dir() else ():
        for number in editions(KITS, code):
            opened = open_build(edition_folder(KITS, code, number))
            threads = {row["thread"] for row in opened["palette.csv"]}
            if old.key in threads | {row["canvas"] for row in opened["pieces.csv"]}:
                yield code, number


def _lots(kits: Range, *materials: Material) -> tuple[Lot, ...]:
    """What is free of some materials, canvas by its sheets, rolls and offcuts."""
    keys = {each.key for each in materials}
    keys |= {stock.key for each in materials if isinstance(each, Canvas) for stock in each.stock}
    if LEDGER.exists():
        with closing(Ledger(LEDGER)) as ledger:
            if ledger.begun:
                return tuple(lot for lot in ledger.free("") if lot.item in keys and lot.quantity)
    if not STOCK.exists():
        return ()
    content = content_of(STOCK, "KB614", "write a row for each lot: item,lot,bin,quantity,received")
    lots, problems = read_stock(STOCK.as_posix(), content, items(kits.materials, kits.kits))
    if problems:
        raise InputProblems(problems)
    return tuple(lot for lot in lots if lot.item in keys and lot.quantity)


def _packed(old: Material, editions_with_it: set[tuple[str, int]]) -> _Packed:
    """The packed boxes that hold the old material; None where no ledger was begun."""
    if not LEDGER.exists():
        return None
    with closing(Ledger(LEDGER)) as ledger:
        if not ledger.begun:
            return None
        lots: dict[tuple[str, str], list[str]] = {}
        for run, kit, lot in ledger.lots_in_boxes(old.key):
            lots.setdefault((run, kit), []).append(lot)
        thread = isinstance(old, Thread)
        return tuple(
            PackedBoxes(run, kit, edition, boxes, tuple(lots.get((run, kit), ())))
            for run, kit, edition, boxes in ledger.packed_kits()
            if ((run, kit) in lots if thread else (kit, edition) in editions_with_it)
        )


def _text(sheet: Document, width: int) -> Iterator[str]:
    from kitbuild.output.plain_text import render_text

    return render_text(sheet, width)


def _write(job: ReplacementJob, sheet: Document, out: Path) -> Path:
    """Write the sheet on paper and for the screen, and its open data; the folder that they are in."""
    from kitbuild import __version__
    from kitbuild.output.csv_text import render_csv
    from kitbuild.output.files import manifest_for, write_outputs
    from kitbuild.output.html import render_html
    from kitbuild.output.pdf import render_pdf

    listing: Listing = replacement_listing(job.found)
    screen = replacement_sheet(job.on(SCREEN))
    papers = printed(for_the_house(job.house), lambda each: replacement_sheet(job.on(each.sheet)))
    files = {f"{paper.name}.pdf": render_pdf(paper) for paper in papers}
    files[f"{sheet.name}.html"] = render_html(screen)
    files[listing.name] = render_csv(listing)
    manifest = manifest_for(
        version=__version__, code=job.found.old.key, edition=0, warnings=[], files=files, inputs={}
    )
    folder = out / FOLDER / job.found.old.key
    write_outputs(folder, files, manifest)
    return folder
