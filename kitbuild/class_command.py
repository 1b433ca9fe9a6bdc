"""A class from its file to its papers and its box: plan, then reserve, post or cancel, as a run is."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

from kitbuild.base.document import WALLS, Document, DoesNotFit, Listing
from kitbuild.base.problem import Expected, InputProblems, Problem, errors
from kitbuild.batch import measured, run_job
from kitbuild.build import sources, speaking_of
from kitbuild.documents.class_job import ClassJob
from kitbuild.documents.class_packing import needs_listing, packing_list, packing_listing
from kitbuild.documents.class_times import teacher_sheet
from kitbuild.documents.class_wall import wall_chart
from kitbuild.documents.edition import LARGE_FOOT_MM
from kitbuild.documents.own_texts import not_said
from kitbuild.documents.run_cut_sheet import run_cut_sheet
from kitbuild.documents.run_labels import run_labels
from kitbuild.documents.run_listings import cuts, offcuts
from kitbuild.outcome import Outcome
from kitbuild.plan_file import PLAN, plan_bytes
from kitbuild.production.class_box import class_lines, stock_for, taken
from kitbuild.production.licences import licence_faults
from kitbuild.production.orders import Order
from kitbuild.production.run import plan_run
from kitbuild.production.run_records import Run
from kitbuild.production.stock import Lot, items
from kitbuild.run_inputs import SHORT, stock_of
from kitbuild.run_names import class_run
from kitbuild.run_steps import cancel, post, reserve
from kitbuild.spec.folder import KITS, read_range
from kitbuild.spec.records import Range
from kitbuild.spec.words import listed
from kitbuild.variants import Variant, for_all, for_the_house, printed

Tell = Callable[[str], None]
FOLDER: Final = "class"
_IS_CLASS: Final = re.compile(rb"^kind:\s*['\"]?class\b", re.MULTILINE)


@dataclass(frozen=True, slots=True, eq=False)
class Planned:
    """A class ready to be written: its papers' job, the run of its kits, and what both were read from."""

    made: ClassJob
    kits: Range
    run: Run
    lots: tuple[Lot, ...]
    read: Mapping[str, bytes]


def unknown_class(name: str) -> str:
    """What to say of a name that no class file has; "" when it is known, or a class file cannot be read."""
    kits, found = read_range(KITS)
    known = [lesson.name for lesson in kits.lessons] if kits else [name]
    if name in known or any(_of_a_class(problem.place.file) for problem in errors(found)):
        return ""
    told = f"the range has {', '.join(known)}" if known else "no file of kits/ is of `kind: class`"
    return f"no class is called {name} ({told})"


def _of_a_class(file: str) -> bool:
    """Whether a file says that it is of a class, whatever else is wrong with it."""
    try:
        return _IS_CLASS.search(Path(file).read_bytes()) is not None
    except OSError:
        return False


def take_class(name: str, action: str, out: Path, tell: Tell) -> Outcome:
    """Plan a class into `out`/class/`name`, or take a step with it; the exit code is 4 where it is short."""
    steps = {"reserve": reserve, "post": post, "cancel": cancel}
    try:
        folder = out / FOLDER / name
        if action in steps:
            return steps[action](class_run(name), folder, tell)
        return _plan(name, folder, tell)
    except Expected as expected:
        return Outcome(expected.problems, expected.exit_code)


def _plan(name: str, folder: Path, tell: Tell) -> Outcome:
    planned = _planned(name)
    lesson, lines = planned.made.lesson, planned.made.lines
    short = [line.pick.item for line in lines if line.short] + [
        item for each in planned.run.served for item in each.lacks
    ]
    told = tuple(_notes(planned.made, list(dict.fromkeys(short))))
    _write(planned, folder, told, whole=not short)
    tell(f"{name}: {lesson.kits} kits and what is spare planned, {folder}")
    return Outcome(told, SHORT if short else 0)


def _planned(name: str) -> Planned:
    """A class with its kit and stock; InputProblems with everything that is wrong with them."""
    from kitbuild.production.cut_plan import cut

    kits, found = read_range(KITS)
    lesson = next((each for each in (kits.lessons if kits else ()) if each.name == name), None)
    if kits is None or lesson is None or lesson.kit not in {kit.code for kit in kits.kits}:
        raise InputProblems(errors(found))
    order = Order(name, lesson.kit, lesson.kits, lesson.date, lesson.at("learners"))
    lots, packed, problems, counted = stock_of(kits, class_run(name))
    if told := (*problems, *licence_faults(kits.kits, [order], packed)):
        raise InputProblems(told)
    boxed, job = measured(kits, lesson.kit)
    lines = class_lines(boxed, lesson, lots)
    run = plan_run(class_run(name), [order], {lesson.kit: boxed}, stock_for(lines, lots), cut)
    run = replace(run, taken=taken(lines, run.taken))
    read = sources(job.kit) | {lesson.at.source.file: lesson.at.source.content} | counted
    return Planned(ClassJob(lesson, job, lines, class_run(name)), kits, run, lots, read)


def _notes(made: ClassJob, short: list[str]) -> list[Problem]:
    """What is short, a line that is longer than the class, and a title that is not said in every language."""
    lesson, times, found = made.lesson, made.times, []
    if short:
        message = f"class {lesson.name} is short of {listed(short, 'and')}"
        cure = "see needs.csv and the packing list; nothing is reserved before all of it is there"
        found.append(Problem(lesson.at("learners"), "KB645", message, cure))
    if times.line_minutes > times.stitching_minutes:
        message = (
            f"the line takes {times.line_minutes} minutes at {made.pace:g} stitches an hour, "
            f"{times.stitching_minutes} are left to stitch"
        )
        cure = "plan more minutes, or teach a piece with a shorter line"
        found.append(Problem(lesson.at("minutes"), "KB646", message, cure, warning=True))
    house = made.job.kit.house
    return [*found, *not_said(f"class {lesson.name}", [lesson.title], speaking_of(house), house)]


def documents_of(planned: Planned) -> tuple[Document, ...]:
    """All papers of a class: those of its box for the house, those of the room in each language."""
    made, kit = planned.made, planned.made.job.kit
    job = run_job(planned.kits, planned.run, {kit.code: made.job})
    house, room = for_the_house(kit.house), for_all(kit.house)
    papers = [
        *printed(house, lambda each: packing_list(made.on(each.sheet))),
        *printed(room, lambda each: teacher_sheet(made.on(each.sheet, each.say))),
        *_wall_charts(made, room),
    ]
    if planned.run.kits:
        papers += printed(house, lambda each: run_cut_sheet(replace(job, sheet=each.sheet)))
        papers.append(run_labels(job))
    return tuple(papers)


def _wall_charts(made: ClassJob, room: tuple[Variant, ...]) -> Iterator[Document]:
    """The wall chart in each language: on its own paper, or joined from sheets of each of the workshop's."""
    wall = WALLS.get(made.lesson.wall_chart)
    if wall:
        room = tuple(replace(each, sheet=wall) for each in room if each.sheet == room[0].sheet)

    def chart(each: Variant) -> Document:
        sheet = each.sheet if wall else replace(each.sheet, foot_mm=LARGE_FOOT_MM)
        return wall_chart(made.on(sheet, each.say, wall=True))

    return printed(room, chart)


def listings_of(planned: Planned) -> tuple[Listing, ...]:
    """All lists of a class."""
    made = planned.made
    job = run_job(planned.kits, planned.run, {made.job.kit.code: made.job})
    return (packing_listing(made), needs_listing(made), cuts(job), offcuts(job))


def _write(planned: Planned, folder: Path, told: tuple[Problem, ...], *, whole: bool) -> None:
    from kitbuild import __version__
    from kitbuild.output.csv_text import render_csv
    from kitbuild.output.files import manifest_for, write_outputs
    from kitbuild.output.pdf import render_pdf

    made = planned.made
    try:
        files = {f"{each.name}.pdf": render_pdf(each) for each in documents_of(planned)}
    except DoesNotFit as error:
        cure = "use larger paper for the wall chart, or shorten titles of the kit and materials"
        place = made.lesson.at("wall_chart")
        raise InputProblems([Problem(place, "KB704", f"the class does not fit: {error}", cure)]) from error
    files |= {listing.name: render_csv(listing) for listing in listings_of(planned)}
    if whole:
        files[PLAN] = plan_bytes(planned.run, planned.lots, items(planned.kits.materials))
    inputs = {name: hashlib.sha256(content).hexdigest() for name, content in sorted(planned.read.items())}
    manifest = manifest_for(
        version=__version__,
        code=planned.run.name,
        edition=0,
        warnings=[str(problem) for problem in told],
        files=files,
        inputs=dict.fromkeys(files, inputs),
    )
    write_outputs(folder, files, manifest)
