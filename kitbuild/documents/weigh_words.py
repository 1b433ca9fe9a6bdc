"""What lists say of a box's type and weight."""

from __future__ import annotations

from collections.abc import Iterator

from kitbuild.documents.job import Job
from kitbuild.documents.words import pick_description
from kitbuild.production.weights import Weighed, weighed


def weigh_lines(job: Job) -> Iterator[str]:
    """The box to pack into, what it weighs packed, and whether the scale tells what is missing."""
    say, box = job.say, job.kit.box
    if box:
        length, width, height = box.inside_mm
        yield say("weigh.box", title=job.own(box.title), length=length, width=width, height=height)
    found = weighed(job.kit, job.picks)
    if found is None:
        return
    if found.total_mg is None:
        yield say("weigh.unknown", things=say("list.joiner").join(unweighed(job, found)))
        return
    yield say("weigh.packed", grams=found.total_mg / 1000)
    if found.limits_mg:
        least, most = found.limits_mg
        yield say("weigh.limits", least=least / 1000, most=most / 1000)
        yield say("weigh.unseen", things=unseen(job, found))


def unseen(job: Job, found: Weighed) -> str:
    """The things of which one may be missing without the scale showing it, "" for none."""
    things = (
        job.say("weigh.thing", what=pick_description(job, pick), grams=float(mg) / 1000)
        for pick, mg in found.unseen
    )
    return job.say("list.joiner").join(things)


def unweighed(job: Job, found: Weighed) -> list[str]:
    """Everything whose weight nobody has said."""
    things = [pick_description(job, pick) for pick in found.unknown]
    box = job.kit.box
    if box is None:
        things.append(job.say("weigh.no_box"))
    elif box.weight_mg is None:
        things.append(job.own(box.title))
    return list(dict.fromkeys(things))
