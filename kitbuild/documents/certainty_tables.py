"""How sure the thread is, and what test stitches found, as tables of the proof."""

from __future__ import annotations

from collections.abc import Iterator

from kitbuild.base.blocks import Block, Heading, Paragraph, Steps, Table
from kitbuild.documents.job import Job
from kitbuild.documents.words import patch
from kitbuild.quantity.certainty import Certainty
from kitbuild.spec.records import Trial


def certainty_blocks(job: Job) -> Iterator[Block]:
    """Expected, low, high, packed and margin of each colour, and the tests that say so."""
    say, needleful = job.say, job.kit.house.thread.needleful_mm
    yield Heading(2, say("proof.sure.heading"))
    yield Paragraph(say("proof.sure.text", needleful=needleful))
    yield _certainty(job)
    if job.amounts.found:
        yield Heading(3, say("proof.tests.heading"))
        yield _found(job)
        yield Steps(tuple(_told(job)), "dot")


def _certainty(job: Job) -> Table:
    say = job.say
    names = ("colour", "metres", "low", "expected", "high", "packed", "margin", "by")
    rows = tuple(
        (
            patch(job, each.use.colour.key),
            say("proof.sure.metres.text", low=each.low_mm, expected=each.use.length_mm, high=each.high_mm),
            *map(str, (each.low, each.use.needlefuls, each.high, each.use.packed, each.margin)),
            _by(job, each),
        )
        for each in job.amounts.sure
    )
    return Table(
        tuple(say(f"proof.sure.{name}") for name in names),
        rows,
        (0.15, 0.225, 0.07, 0.11, 0.07, 0.09, 0.095, 0.19),
        "lrrrrrrl",
        say("proof.sure.caption"),
    )


def _by(job: Job, each: Certainty) -> str:
    """By which test, or that it is the model's."""
    if each.trials:
        return job.say("list.joiner").join(_name(job, trial, short=True) for trial in each.trials)
    return job.say("proof.sure.others" if job.amounts.found else "proof.sure.model")


def _name(job: Job, trial: Trial, *, short: bool = False) -> str:
    """A test by its piece and date; in full with who stitched it."""
    pieces = {piece.key: job.own(piece.title) for piece in job.kit.pieces}
    return job.say(
        "proof.sure.test", piece=pieces[trial.piece], date=trial.date, by="" if short else trial.by
    )


def _found(job: Job) -> Table:
    say = job.say
    rows = tuple(
        (
            _name(job, one.trial),
            patch(job, one.answer.colour),
            str(one.answer.stitches),
            say("proof.metres", mm=one.measured_mm),
            say("proof.metres", mm=one.model_mm),
            say("proof.tests.times", pull=one.pull),
        )
        for one in job.amounts.found
    )
    names = ("test", "colour", "stitches", "measured", "model", "pull")
    header = tuple(say(f"proof.tests.{name}") for name in names)
    return Table(header, rows, (0.28, 0.2, 0.11, 0.13, 0.14, 0.14), "llrrrr", say("proof.tests.caption"))


def _told(job: Job) -> Iterator[str]:
    """Time and remarks of each test that counts."""
    for trial in dict.fromkeys(one.trial for one in job.amounts.found):
        if trial.minutes:
            yield job.say("proof.tests.minutes", test=_name(job, trial), minutes=trial.minutes)
        if trial.remarks:
            yield job.say("proof.tests.remarks", test=_name(job, trial), remarks=trial.remarks)
