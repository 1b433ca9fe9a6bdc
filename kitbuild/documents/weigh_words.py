"""What lists say of a box's type and weight."""

from __future__ import annotations

from collections.abc import Iterator

from kitbuild.documents.job import Job
from kitbuild.documents.words import pick_description
from kitbuild.production.picks import Pick
from kitbuild.production.weights import Weighed, weighed
from kitbuild.quantity.amounts import PieceAmounts


def weigh_lines(job: Job) -> Iterator[str]:
    """The box to pack into, what it weighs packed, and whether the scale tells what is missing."""
    say, box = job.say, job.kit.box
    found = weighed(job.kit, job.picks)
    words = []
    if box:
        length, width, height = box.inside_mm
        words.append(say("weigh.box", title=job.own(box.title), length=length, width=width, height=height))
    if found and found.total_mg is not None:
        words.append(say("weigh.packed", grams=found.total_mg / 1000))
    if found and found.limits_mg:
        least, most = (milligrams / 1000 for milligrams in found.limits_mg)
        words.append(say("weigh.limits", least=least, most=most, things=unseen(job, found)))
    elif found and found.total_mg is None:
        words.append(say("weigh.unknown", things=say("list.joiner").join(unweighed(job, found))))
    if words:
        yield " ".join(words)


def unseen(job: Job, found: Weighed) -> str:
    """The things of which one may be missing without the scale showing it, "" for none."""
    return job.say("list.comma").join(_short(job, pick) for pick, _ in found.unseen)


def unweighed(job: Job, found: Weighed) -> list[str]:
    """Everything whose weight nobody has said."""
    things = [_short(job, pick) for pick in found.unknown]
    box = job.kit.box
    if box is None:
        things.append(job.say("weigh.no_box"))
    elif box.weight_mg is None:
        things.append(job.own(box.title))
    return list(dict.fromkeys(things))


def _short(job: Job, pick: Pick) -> str:
    """A line of the pick list in a word or two: a thread's colour, a blank's piece."""
    if pick.colour:
        return job.own(pick.colour.name)
    if isinstance(pick.source, PieceAmounts):
        return job.say("weigh.blank", piece=job.own(pick.source.panel.piece.title))
    return pick_description(job, pick)
