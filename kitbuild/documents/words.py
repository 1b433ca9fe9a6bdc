"""Phrases that several documents share, so that the same thing has the same name on every page."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from kitbuild.base.blocks import Block, Caution, Patch, Steps
from kitbuild.base.units import up
from kitbuild.documents.job import Job
from kitbuild.documents.unit_words import Unit
from kitbuild.pattern.panel import Panel, Stitches
from kitbuild.production.cautions import Note
from kitbuild.production.picks import Pick, by_kind
from kitbuild.production.statutes import STATUTES_SPEAK
from kitbuild.quantity.amounts import PieceAmounts
from kitbuild.quantity.sizes import Size
from kitbuild.quantity.thread import Use


def holes_text(job: Job, size: Size) -> str:
    """A size in holes."""
    return job.say("size.holes", columns=size.columns, rows=size.rows)


def size_text(job: Job, size: Size) -> str:
    """A size in millimetres and inches."""
    return job.say("size.lengths", width=size.width_mm, height=size.height_mm)


def half_hours(hours: float) -> float:
    """Hours rounded up to the half."""
    return up(hours * 2) / 2


def pick_description(job: Job, pick: Pick) -> str:
    """What a pick line says beside its item: the materials' title, and what must be told apart."""
    values: dict[str, object] = {
        "title": job.own(pick.title),
        "code": job.kit.code,
        "edition": job.kit.edition,
    }
    if isinstance(pick.source, PieceAmounts):
        sizes = pick.source.sizes
        values |= {"piece": job.own(sizes.piece.title), "holes": holes_text(job, sizes.blank)}
        values |= {"width": sizes.blank.width_mm, "height": sizes.blank.height_mm}
    if isinstance(pick.source, Use):
        thread = pick.source.colour.thread
        length = pick.source.needleful_mm if thread.packed == "needlefuls" else thread.put_up_mm
        values |= {"name": job.own(pick.source.colour.name), "length_mm": length, "strands": thread.strands}
        values |= {"cut": thread.packed == "needlefuls"}
    return job.say(f"pick.{pick.kind}", **values)


def unit_of(pick: Pick) -> Unit:
    """The unit of a pick line: the workshop's own for extras and put-ups, else one of its kind."""
    cut = isinstance(pick.source, Use) and pick.source.colour.thread.packed == "needlefuls"
    return Unit(pick.unit, own=pick.kind in ("thread", "extra") and not cut)


def pick_unit(job: Job, pick: Pick, number: int = 1) -> str:
    """The unit of a pick line for so many: the materials' own word, or the word for its kind."""
    return unit_of(pick).word(job.say, number)


def pick_counted(job: Job, pick: Pick, number: int) -> str:
    """So many units of a pick line, in words."""
    return unit_of(pick).counted(job.say, number)


def contents(job: Job) -> Steps:
    """What is in the box, with tick boxes, in the order in which it is needed."""
    items = (
        job.say(
            "contents.item",
            counted=pick_counted(job, pick, pick.quantity),
            what=pick_description(job, pick),
            colour=job.own(pick.colour.name) if pick.colour else "",
        )
        for pick in by_kind(job.kit, job.picks)
    )
    return Steps(tuple(items), marker="tick")


def bars_text(job: Job, overs: tuple[int, ...]) -> str:
    """Numbers of bars one after the other, the last two joined by a word."""
    return listed(job, [str(over) for over in overs])


def listed(job: Job, names: Sequence[str]) -> str:
    """Names one after the other, the last two joined by a word; "" for none."""
    most = job.say("list.comma").join(names[:-1])
    return job.say("list.and").join([*([most] if most else []), *names[-1:]])


def area_shares(job: Job) -> tuple[float, ...]:
    """What part of the stitched area of all pieces each palette colour has, in sum 1."""
    links = np.zeros(len(job.kit.palette))
    for each in job.amounts.pieces:
        work = each.panel.stitches
        counted = np.bincount(work.colour, weights=work.length(), minlength=len(links))
        links += each.panel.piece.copies * counted
    return tuple((links / (links.sum() or 1.0)).tolist())


def patch(job: Job, key: str) -> Patch:
    """A colour's patch with its symbol and name."""
    colour = job.kit.palette[job.kit.colour_index(key)]
    return Patch(job.ink(key), job.own(colour.name))


def cautions(job: Job, ids: tuple[str, ...] = ()) -> tuple[Block, ...]:
    """The kit's notes, all of them or those named: each with its signal word, plain facts in one list."""
    chosen = [note for note in job.notes if not ids or note.id in ids]
    signed = [block for note in chosen if note.severity != "fact" for block in _signed(job, note)]
    facts = tuple(note_text(job, note) for note in chosen if note.severity == "fact")
    return (*signed, Steps(facts, "dot")) if facts else tuple(signed)


def _signed(job: Job, note: Note) -> Iterator[Caution]:
    """A note with its signal word, and in another language what the statute's words say."""
    yield _caution(job, note)
    if note.statutory and job.say.language != STATUTES_SPEAK:
        signal = job.say(f"signal.{note.severity}")
        yield Caution(signal, job.say(f"statute.{note.id}"), note.severity, note.points)


def _caution(job: Job, note: Note) -> Caution:
    """A note with its signal word; the words of a statute stand in bold, told to be English."""
    return Caution(
        signal=job.say(f"signal.{note.severity}"),
        text=note_text(job, note),
        severity=note.severity,
        points=note.points,
        bold=bool(note.statutory),
        language=STATUTES_SPEAK if note.statutory and job.say.language != STATUTES_SPEAK else "",
    )


def note_text(job: Job, note: Note) -> str:
    """What a note says: the statute's own words, or the catalogue's."""
    return note.statutory or job.say(f"caution.{note.id}", **note.values)


def line_kind(panel: Panel) -> str:
    """How the line is spoken of: rows, rings, or by its family where that has a way of its own."""
    family = panel.piece.pattern.family
    return family if family in ("four-way", "charted") else panel.counted


def line_stitches(panel: Panel) -> Stitches:
    """The stitches of the line that is laid first."""
    work = panel.stitches
    return work.take(work.course == work.course.min())


def is_sideways(stitches: Stitches) -> bool:
    """Whether any of these stitches lies across."""
    return bool((stitches.x1 != stitches.x2).any())


def line_count(panel: Panel) -> int:
    """How many lines a ring pattern has; 1 for all others."""
    if panel.counted != "rings":
        return 1
    return len(set(panel.stitches.course[panel.stitches.row == 0].tolist()))


def lines_together(panel: Panel) -> bool:
    """Whether all lines are laid before anything is filled in between them."""
    laid = np.unique(panel.stitches.course[panel.stitches.row == 0])
    return not len(laid) or int(laid.max()) == len(laid) - 1
