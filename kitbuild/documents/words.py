"""Phrases that several documents share, so that the same thing has the same name on every page."""

from __future__ import annotations

from itertools import groupby

from kitbuild.base.blocks import Caution, Patch, Steps
from kitbuild.documents.job import Job
from kitbuild.production.picks import Pick
from kitbuild.quantity.amounts import PieceAmounts
from kitbuild.quantity.sizes import Size
from kitbuild.quantity.thread import Use
from kitbuild.spec.records import Line


def holes_text(job: Job, size: Size) -> str:
    """A size in holes."""
    return job.say("size.holes", columns=size.columns, rows=size.rows)


def size_text(job: Job, size: Size) -> str:
    """A size in millimetres and inches."""
    return job.say("size.lengths", width=size.width_mm, height=size.height_mm)


def pick_description(job: Job, pick: Pick) -> str:
    """What a pick line says beside its item: the materials' title, and what must be told apart."""
    values: dict[str, object] = {"title": pick.title, "code": job.kit.code, "edition": job.kit.edition}
    if isinstance(pick.source, PieceAmounts):
        sizes = pick.source.sizes
        values |= {"piece": sizes.piece.title, "holes": holes_text(job, sizes.blank)}
        values |= {"width": sizes.blank.width_mm, "height": sizes.blank.height_mm}
    if isinstance(pick.source, Use):
        values |= {"name": pick.source.colour.name, "put_up_mm": pick.source.colour.thread.put_up_mm}
    return job.say(f"pick.{pick.kind}", **values)


def pick_unit(job: Job, pick: Pick) -> str:
    """The unit of a pick line: the materials' own word, or the word for its kind."""
    return pick.unit if pick.kind in ("thread", "extra") else job.say(f"unit.{pick.kind}")


def contents(job: Job) -> Steps:
    """What is in the box, with tick boxes, in the order of the pick list."""
    items = (
        job.say(
            "contents.item",
            quantity=pick.quantity,
            unit=pick_unit(job, pick),
            what=pick_description(job, pick),
        )
        for pick in job.picks
    )
    return Steps(tuple(items), marker="tick")


def patch(job: Job, key: str) -> Patch:
    """A colour's patch with its symbol and name."""
    colour = job.kit.palette[job.kit.colour_index(key)]
    return Patch(job.ink(key), colour.name)


def cautions(job: Job, ids: tuple[str, ...] = ()) -> tuple[Caution, ...]:
    """The kit's notes, all of them or those named, each with its signal word."""
    chosen = [note for note in job.notes if not ids or note.id in ids]
    return tuple(
        Caution(
            job.say(f"signal.{note.severity}") if note.severity != "fact" else "",
            job.say(f"caution.{note.id}"),
            note.severity,
        )
        for note in chosen
    )


def line_text(job: Job, line: Line) -> str:
    """One repeat of the line as a stitcher would say it, turn by turn."""
    first = line.groups[0]
    later = groupby(line.groups[1:], key=lambda group: (group.stitches, group.drop))
    runs = [job.say("line.first", stitches=first.stitches)]
    runs += [_run(job, stitches, drop, len(list(groups))) for (stitches, drop), groups in later]
    back = first.drop
    runs.append(
        job.say("line.again", drop=abs(back), way="down" if back > 0 else "up" if back < 0 else "level")
    )
    return job.say("list.joiner").join(runs)


def _run(job: Job, stitches: int, drop: int, groups: int) -> str:
    way = "down" if drop > 0 else "up" if drop < 0 else "level"
    return job.say("line.run", groups=groups, stitches=stitches, drop=abs(drop), way=way)
