"""The teacher's sheet: what to bring, when what is shown, and how far each learner should be by then."""

from __future__ import annotations

from collections.abc import Iterator

from kitbuild.base.blocks import Block, Cell, Grid, Heading, PageBreak, Paragraph, Steps, Table, TickBox
from kitbuild.base.document import Document
from kitbuild.documents.class_job import ClassJob, clock
from kitbuild.documents.order_table import row_names
from kitbuild.documents.start_hole import first_way_text, start_hole_text
from kitbuild.documents.words import half_hours, patch
from kitbuild.production.timetable import Moment

_WIDTHS = (0.085, 0.47, 0.155, 0.1, 0.11, 0.08)


def teacher_sheet(made: ClassJob) -> Document:
    """The teacher's timed sheet."""
    return made.document("teacher-sheet", _blocks(made))


def _blocks(made: ClassJob) -> Iterator[Block]:
    job, lesson = made.job, made.lesson
    say, title = job.say, job.own(made.piece.panel.piece.title)
    yield Heading(1, say("class.times.heading", title=job.own(lesson.title)))
    end = clock(lesson.begins + lesson.minutes)
    yield Paragraph(
        say("class.times.lead", date=lesson.date, begins=clock(lesson.begins), ends=end, piece=title), "lead"
    )
    yield Grid((0.5, 0.5), (tuple(_before(made)), tuple(_start(made))))
    yield Heading(2, say("class.times.end.heading"))
    yield Paragraph(_left(made))
    yield Paragraph(say("class.times.cautions"))
    yield PageBreak()
    yield from _times(made)


def _before(made: ClassJob) -> Iterator[Block]:
    say, kits = made.job.say, made.lesson.kits
    yield Heading(2, say("class.times.before.heading"))
    yield Steps(tuple(say(f"class.times.before.{at}", kits=kits) for at in range(1, 6)), "tick")


def _start(made: ClassJob) -> Iterator[Block]:
    yield Heading(2, made.job.say("class.times.start.heading"))
    yield Paragraph(f"{start_hole_text(made.job, made.piece)} {first_way_text(made.job, made.piece)}")


def _times(made: ClassJob) -> Iterator[Block]:
    """When what is to be done or to be there: on a side of its own, large enough for a desk."""
    say, lesson, times = made.job.say, made.lesson, made.times
    yield Heading(2, say("class.times.table.heading"))
    pace = {"pace": made.pace, "stated": bool(lesson.stitches_per_hour), "minutes": times.stitching_minutes}
    yield Paragraph(say("class.times.table.text", **pace))
    header = tuple(
        say(f"class.times.column.{name}") for name in ("time", "what", "colour", "done", "hole", "all")
    )
    named = row_names(made.job, made.piece.panel, made.turns)
    rows = tuple(_row(made, moment, named) for moment in times.moments)
    yield Table(header, rows, _WIDTHS, "lllrll", say("class.times.caption"), "big")


def _row(made: ClassJob, moment: Moment, named: list[str]) -> tuple[Cell, ...]:
    job, say = made.job, made.job.say
    if moment.doing not in ("line", "row"):
        done = str(moment.stitches) if moment.doing in ("pause", "end") else ""
        return (clock(moment.minute), say(f"class.times.{moment.doing}"), "", done, "", "")
    turn = made.turns[moment.turn]
    what = say("class.times.reached", row=named[moment.turn], whole=moment.whole)
    colour = patch(job, job.kit.palette[turn.colour].key)
    return (clock(moment.minute), what, colour, str(moment.stitches), _hole(made, moment.stitches), TickBox())


def _hole(made: ClassJob, stitches: int) -> str:
    """The hole in which the needle goes down for the last of so many stitches."""
    _, _, down_x, down_y = made.job.order(made.piece).holes()
    return made.job.say("class.times.hole", x=int(down_x[stitches - 1]), y=int(down_y[stitches - 1]))


def _left(made: ClassJob) -> str:
    """What each learner takes home: how much is worked, and the hours that are left."""
    job, times = made.job, made.times
    all_stitches = sum(turn.stitches for turn in made.turns)
    left = (
        sum(each.panel.piece.copies * len(each.panel.stitches) for each in job.amounts.pieces)
        - times.stitched
    )
    finishing = sum(
        each.panel.piece.copies * sum(row.stitches for row in each.thread.finish)
        for each in job.amounts.pieces
    ) + sum(row.stitches for row in job.amounts.joins)
    hours = left / made.pace + finishing / job.kit.house.finish_stitches_per_hour
    return job.say(
        "class.times.end.text",
        stitched=times.stitched,
        stitches=all_stitches,
        share=round(100 * times.stitched / all_stitches),
        piece=job.own(made.piece.panel.piece.title),
        hours=half_hours(hours),
    )
