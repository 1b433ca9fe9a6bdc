"""The flow on one page: spec -> pattern -> quantity -> production -> documents -> output."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import partial
from itertools import product

from kitbuild.base.document import PLAINLY, SCREEN, SHEETS, Document, DoesNotFit, Listing, Sheet
from kitbuild.base.problem import InputProblems, Place, Problem, errors
from kitbuild.base.scene import Scene
from kitbuild.documents.booklet import booklet
from kitbuild.documents.cut_sheet import cut_sheet
from kitbuild.documents.edition import USUAL, Edition, editions
from kitbuild.documents.edition_listings import edition_listings
from kitbuild.documents.finished import finished
from kitbuild.documents.instructions import instructions
from kitbuild.documents.job import Job, Judgement
from kitbuild.documents.listings import listings
from kitbuild.documents.long_titles import long_titles
from kitbuild.documents.made_up import made_up
from kitbuild.documents.own_texts import untold
from kitbuild.documents.pick_sheet import pick_sheet
from kitbuild.documents.proof_sheet import proof_sheet
from kitbuild.documents.shop_facts import shop_facts, shop_listing
from kitbuild.documents.trial_sheet import trial_sheet
from kitbuild.documents.wording import Wording, languages, wording
from kitbuild.pattern import rules as pattern_rules
from kitbuild.pattern.expand import panels
from kitbuild.production import rules as production_rules
from kitbuild.production.cautions import notes
from kitbuild.production.cost import cost
from kitbuild.production.cutting import blanks, plan
from kitbuild.production.picks import by_kind, picks
from kitbuild.quantity import rules
from kitbuild.quantity.amounts import Amounts, measure
from kitbuild.spec.house import House
from kitbuild.spec.records import Kit

CUSTOMERS = (booklet, instructions)
"""Documents for the customer: in all languages, in the editions that the workshop asks for, and as pages for
the screen."""
SHOPS = (pick_sheet, cut_sheet, proof_sheet, trial_sheet)
"""Documents for the workshop itself: in its first language."""


@dataclass(frozen=True, slots=True, eq=False)
class Made:
    """Everything printed and listed for one kit, its warnings, and those that its spec accepts.

    `screens` are the documents that are read on a screen, `pictures` are for the shop, by
    the names of their files.
    """

    kit: Kit
    documents: tuple[Document, ...]
    screens: tuple[Document, ...]
    listings: tuple[Listing, ...]
    pictures: Mapping[str, Scene]
    warnings: tuple[Problem, ...]
    accepted: tuple[Problem, ...]


def amounts_of(kit: Kit) -> tuple[Amounts, tuple[Problem, ...]]:
    """A kit measured and judged: its amounts and warnings; InputProblems when it cannot be built."""
    _stop_at(rules.before(kit))
    amounts = measure(kit, panels(kit))
    measured = rules.after(amounts)
    _stop_at(measured)
    return amounts, measured


def make(kit: Kit, warnings: tuple[Problem, ...] = (), say: Wording | None = None) -> Made:
    """All documents and listings of one kit; `warnings` are those that reading it already gave.

    InputProblems when it cannot be built.
    """
    speak = (say,) if say else speaking(kit)
    first = judged(kit, warnings, speak)
    printed = [(job, each(job, suffix)) for job, suffix in _jobs(first, speak) for each in CUSTOMERS]
    documents = (*(document for _, document in printed), *_shops(first, printed))
    accepted = tuple(problem for problem, _ in first.judgement.accepted)
    screens = tuple(_screens(first, speak))
    pictures = {"finished": finished(first), "made-up": made_up(first)}
    kept = edition_listings(first, speak, documents, screens, pictures)
    listed = (*listings(first), *kept, shop_listing(first, speak))
    return Made(kit, documents, screens, listed, pictures, first.judgement.warnings, accepted)


def judged(kit: Kit, warnings: tuple[Problem, ...], speak: tuple[Wording, ...]) -> Job:
    """A kit measured, costed and judged, ready to be printed in its first language on its first paper.

    InputProblems when it cannot be built.
    """
    boxed = production_rules.before(kit)
    _stop_at(boxed)
    amounts, measured = amounts_of(kit)
    made = tuple(each.panel for each in amounts.pieces)
    cut_plan, picked = plan(blanks(amounts)), picks(amounts)
    costs, hazards = cost(kit, by_kind(kit, picked)), notes(kit)
    in_each_room = (*pattern_rules.judged(kit, made), *measured, *production_rules.judged(kit, costs))
    found = {*warnings, *boxed, *untold(kit, speak), *long_titles(kit, speak), *in_each_room}
    accepted = tuple(sorted(problem for problem in found if problem.code in kit.accepted))
    left = tuple(sorted({*found.difference(accepted), *_idle_acceptances(kit, accepted)}))
    judgement = Judgement(left, tuple((problem, kit.accepted[problem.code]) for problem in accepted))
    return Job(amounts, picked, cut_plan, costs, hazards, judgement, speak[0], sheets(kit)[0][0])


def _jobs(first: Job, speak: tuple[Wording, ...]) -> Iterator[tuple[Job, str]]:
    """Every job of a kit's customer's documents, with the words before its files' suffix."""
    asked = tuple(editions(first.kit.house.editions))
    for (sheet, paper), say, edition in product(sheets(first.kit), speak, asked):
        language = "" if say is speak[0] else f".{say.language}"
        job = replace(first, say=say, sheet=edition.sheet(sheet), edition=edition)
        yield job, edition.suffix(language, paper)


def _shops(first: Job, printed: Iterable[tuple[Job, Document]]) -> Iterator[Document]:
    """The workshop's own documents, on each of its papers; the proof tells what stands in those printed."""
    printed = tuple(printed)
    for sheet, paper in sheets(first.kit):
        job = replace(first, sheet=sheet)
        job = replace(job, fallbacks=fallbacks(job, printed))
        yield from (each(job, paper) for each in SHOPS)


def fallbacks(first: Job, printed: Iterable[tuple[Job, Document]]) -> dict[str, Counter[str]]:
    """What stands otherwise in each edition, by its word, in the language and on the paper of `first`."""
    found: dict[str, Counter[str]] = {}
    for job, document in printed:
        if job.say is first.say and job.sheet == job.edition.sheet(first.sheet):
            found.setdefault(job.edition.word, Counter()).update(document.fallbacks)
    return found


def _screens(first: Job, speak: tuple[Wording, ...]) -> Iterator[Document]:
    """The customer's documents for the screen, in each language and for each hand; a reader sets the rest."""
    hands = [each for each in editions(first.kit.house.editions) if each == Edition(each.hand)]
    for say, edition in product(speak, hands):
        language = "" if say is speak[0] else f".{say.language}"
        job = replace(first, say=say, sheet=SCREEN, edition=edition)
        yield from (each(job, edition.suffix(language, "")) for each in CUSTOMERS)
        if edition == USUAL:
            yield shop_facts(job, language)


def _idle_acceptances(kit: Kit, accepted: tuple[Problem, ...]) -> tuple[Problem, ...]:
    """A warning for each acceptance that no warning met: it would hide one that comes later."""
    met = {problem.code for problem in accepted}
    cure = "take it out"
    return tuple(
        Problem(kit.accepted_at(code), "KB323", f"there is no warning {code} to accept", cure, warning=True)
        for code in kit.accepted
        if code not in met
    )


def sheets(kit: Kit) -> tuple[tuple[Sheet, str], ...]:
    """The papers of a kit's workshop with the suffix of their file names; the first has none."""
    return sheets_of(kit.house)


def sheets_of(house: House) -> tuple[tuple[Sheet, str], ...]:
    """The papers of a workshop with the suffix of their file names; the first has none."""
    papers = [SHEETS[name] for name in house.papers]
    return tuple((paper, f".{paper.name.lower()}" if at else "") for at, paper in enumerate(papers))


def speaking(kit: Kit) -> tuple[Wording, ...]:
    """The catalogues of the languages of a kit's workshop, each with its own words."""
    return speaking_of(kit.house)


def speaking_of(house: House) -> tuple[Wording, ...]:
    """The catalogues of the workshop's languages, each with its own words.

    InputProblems when there is none, or where the workshop's own sentences cannot be spoken.
    """
    known = languages()
    cure = f"use one of: {', '.join(known)}"
    unknown = [each for each in house.languages if each not in known]
    _stop_at(
        tuple(
            Problem(_language_at(house, each), "KB703", f"no catalogue for language {each}", cure)
            for each in unknown
        )
    )
    words = {each.language: each for each in house.words}
    speak = tuple(wording(each, words.get(each)) for each in house.languages)
    _stop_at(tuple(problem for say in speak for problem in say.faults()))
    return speak


def _language_at(house: House, language: str) -> Place:
    """Where the workshop names a language."""
    if language == house.language:
        return house.at("language")
    return house.at("also_in", house.languages.index(language) - 1)


@dataclass(frozen=True, slots=True, eq=False)
class Output:
    """A file to be made: its name, its language, all that it shows, and how that is drawn as bytes."""

    name: str
    language: str
    content: Document | Listing | Scene
    draw: Callable[[], bytes]


def outputs(made: Made) -> Iterator[Output]:
    """All files of a kit; none is drawn before it is asked for."""
    for document in made.documents:
        draw = partial(_pdf, made.kit, document)
        yield Output(f"{document.name}.pdf", document.language, document, draw)
    for screen in made.screens:
        yield Output(f"{screen.name}.html", screen.language, screen, partial(_html, screen))
    for listing in made.listings:
        yield Output(listing.name, made.kit.house.language, listing, partial(_csv, listing))
    for name, picture in made.pictures.items():
        yield Output(f"{name}.svg", picture.language, picture, partial(_svg, picture))
        yield Output(f"{name}.png", picture.language, picture, partial(_png, picture))


def render(made: Made) -> dict[str, bytes]:
    """File name -> content of all outputs of a kit."""
    return {output.name: output.draw() for output in outputs(made)}


def _pdf(kit: Kit, document: Document) -> bytes:
    from kitbuild.output.pdf import render_pdf

    try:
        return render_pdf(document)
    except DoesNotFit as error:
        message = f"{document.name} does not fit its paper: {error}"
        cure = "shorten the texts of the kit, or use a larger paper"
        if document.press != PLAINLY:
            cure = "shorten the texts of the kit, or leave this edition out of the workshop's `editions`"
        raise InputProblems([Problem(kit.at(), "KB704", message, cure)]) from error


def _html(document: Document) -> bytes:
    from kitbuild.output.html import render_html

    return render_html(document)


def _svg(scene: Scene) -> bytes:
    from kitbuild.output.scene_svg import render_svg

    return render_svg(scene)


def _png(scene: Scene) -> bytes:
    from kitbuild.output.scene_png import render_png

    return render_png(scene)


def _csv(listing: Listing) -> bytes:
    from kitbuild.output.csv_text import render_csv

    return render_csv(listing)


def sources(kit: Kit) -> dict[str, bytes]:
    """File -> content of everything in kits/ that a kit was made from."""
    at = [kit.at, kit.house.at, *(piece.canvas.at for piece in kit.pieces)]
    at += [colour.thread.at for colour in kit.palette]
    at += [piece.pattern.chart.at for piece in kit.pieces if piece.pattern.chart and piece.pattern.chart.at]
    at += [trial.at for trial in kit.trials] + [words.at for words in kit.house.words]
    at += [packed.needle.at for packed in kit.needles] + [packed.extra.at for packed in kit.extras]
    return {each.source.file: each.source.content for each in at}


def _stop_at(problems: tuple[Problem, ...]) -> None:
    if errors(problems):
        raise InputProblems(problems)
