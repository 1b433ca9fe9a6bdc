"""The flow on one page: spec -> pattern -> quantity -> production -> documents -> output."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import product
from pathlib import Path

from kitbuild.base.document import SHEETS, Document, DoesNotFit, Listing, Sheet
from kitbuild.base.problem import InputProblems, Place, Problem, errors
from kitbuild.documents.booklet import booklet
from kitbuild.documents.cut_sheet import cut_sheet
from kitbuild.documents.edition_listings import edition_listings
from kitbuild.documents.instructions import instructions
from kitbuild.documents.job import Job, Judgement
from kitbuild.documents.listings import listings
from kitbuild.documents.own_texts import untold
from kitbuild.documents.pick_sheet import pick_sheet
from kitbuild.documents.proof_sheet import proof_sheet
from kitbuild.documents.trial_sheet import trial_sheet
from kitbuild.documents.wording import Wording, languages, wording
from kitbuild.pattern import rules as pattern_rules
from kitbuild.pattern.expand import panels
from kitbuild.production import rules as production_rules
from kitbuild.production.cautions import notes
from kitbuild.production.cost import cost
from kitbuild.production.cutting import blanks, plan
from kitbuild.production.picks import picks
from kitbuild.quantity import rules
from kitbuild.quantity.amounts import Amounts, measure
from kitbuild.spec.records import Hand, Kit

CUSTOMERS = (booklet, instructions)
"""Documents for the customer: in all languages, and for both hands where the workshop asks for that."""
SHOPS = (pick_sheet, cut_sheet, proof_sheet, trial_sheet)
"""Documents for the workshop itself: in its first language."""


@dataclass(frozen=True, slots=True, eq=False)
class Made:
    """Everything printed and listed for one kit, its warnings, and those that its spec accepts."""

    kit: Kit
    documents: tuple[Document, ...]
    listings: tuple[Listing, ...]
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
    boxed = production_rules.before(kit)
    _stop_at(boxed)
    amounts, measured = amounts_of(kit)
    made = tuple(each.panel for each in amounts.pieces)
    cut_plan, picked = plan(blanks(amounts)), picks(amounts)
    costs, hazards = cost(kit, picked), notes(kit)
    judged = (*pattern_rules.judged(kit, made), *measured, *production_rules.judged(kit, costs))
    found = {*warnings, *boxed, *untold(kit, speak), *judged}
    accepted = tuple(sorted(problem for problem in found if problem.code in kit.accepted))
    left = tuple(sorted({*found.difference(accepted), *_idle_acceptances(kit, accepted)}))
    judgement = Judgement(left, tuple((problem, kit.accepted[problem.code]) for problem in accepted))
    first = Job(amounts, picked, cut_plan, costs, hazards, judgement, speak[0], sheets(kit)[0][0])
    documents = tuple(each(job, suffix) for job, suffix, made_so in _jobs(first, speak) for each in made_so)
    listed = (*listings(first), *edition_listings(first, speak, documents))
    return Made(kit, documents, listed, left, accepted)


_Maker = Callable[[Job, str], Document]


def _jobs(first: Job, speak: tuple[Wording, ...]) -> Iterator[tuple[Job, str, tuple[_Maker, ...]]]:
    """Every job of a kit with the words before its files' suffix, and the documents that are made so."""
    hands: tuple[Hand, ...] = ("right", *first.kit.house.editions)
    for (sheet, paper), say, hand in product(sheets(first.kit), speak, hands):
        language = "" if say is speak[0] else f".{say.language}"
        side = "" if hand == "right" else f".{hand}"
        plain = not language and not side
        job = replace(first, say=say, sheet=sheet, hand=hand)
        yield job, f"{language}{side}{paper}", (*CUSTOMERS, *(SHOPS if plain else ()))


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
    """The papers of a workshop with the suffix of their file names; the first has none."""
    papers = [SHEETS[name] for name in kit.house.papers]
    return tuple((paper, f".{paper.name.lower()}" if at else "") for at, paper in enumerate(papers))


def speaking(kit: Kit) -> tuple[Wording, ...]:
    """The catalogues of the workshop's languages, each with its own words.

    InputProblems when there is none, or where the workshop's own sentences cannot be spoken.
    """
    house, known = kit.house, languages()
    cure = f"use one of: {', '.join(known)}"
    unknown = [each for each in house.languages if each not in known]
    _stop_at(
        tuple(
            Problem(_language_at(kit, each), "KB703", f"no catalogue for language {each}", cure)
            for each in unknown
        )
    )
    words = {each.language: each for each in house.words}
    speak = tuple(wording(each, words.get(each)) for each in house.languages)
    _stop_at(tuple(problem for say in speak for problem in say.faults()))
    return speak


def _language_at(kit: Kit, language: str) -> Place:
    """Where the workshop names a language."""
    house = kit.house
    if language == house.language:
        return house.at("language")
    return house.at("also_in", house.languages.index(language) - 1)


def render(made: Made) -> dict[str, bytes]:
    """File name -> content of all outputs of a kit."""
    from kitbuild.output.csv_text import render_csv
    from kitbuild.output.pdf import render_pdf

    files: dict[str, bytes] = {}
    for document in made.documents:
        try:
            files[f"{document.name}.pdf"] = render_pdf(document)
        except DoesNotFit as error:
            message = f"{document.name} does not fit its paper: {error}"
            cure = "shorten the texts of the kit, or use a larger paper"
            raise InputProblems([Problem(made.kit.at(), "KB704", message, cure)]) from error
    return files | {listing.name: render_csv(listing) for listing in made.listings}


def write(made: Made, out: Path) -> Path:
    """Write a kit's folder below `out`, its manifest last; WriteProblem leaves what was there before."""
    from kitbuild import __version__
    from kitbuild.output.files import manifest_for, write_outputs

    kit, files = made.kit, render(made)
    inputs = {name: hashlib.sha256(content).hexdigest() for name, content in sorted(sources(kit).items())}
    manifest = manifest_for(
        version=__version__,
        code=kit.code,
        edition=kit.edition,
        warnings=[str(problem) for problem in made.warnings],
        files=files,
        inputs=dict.fromkeys(files, inputs),
    )
    folder = out / kit.code
    write_outputs(folder, files, manifest)
    return folder


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
