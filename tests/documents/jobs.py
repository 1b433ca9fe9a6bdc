"""A demo kit as a job, for those who make single documents of it."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from kitbuild.build import CUSTOMERS, fallbacks, sheets, speaking
from kitbuild.documents.edition import editions
from kitbuild.documents.job import Job, Judgement
from kitbuild.pattern.expand import panels
from kitbuild.production.cautions import notes
from kitbuild.production.cost import cost
from kitbuild.production.cutting import blanks, plan
from kitbuild.production.picks import picks
from kitbuild.quantity.amounts import measure
from kitbuild.spec.records import Kit
from tests.documents.demo import kits


@cache
def job_of(code: str) -> Job:
    """The job of a demo kit in its first language on its first paper; nothing is judged."""
    return job_for(kits()[code])


def large_job(columns: int, rows: int) -> Job:
    """The job of a demo kit with one piece of so many holes."""
    return job_for(large(kits()["HEATH"], columns, rows))


def large(kit: Kit, columns: int, rows: int) -> Kit:
    """The kit with one piece of so many holes, on a roll that holds it."""
    piece = kit.pieces[0]
    left = (columns - 9 * 40) // 2
    pattern = replace(piece.pattern, repeats=None, left=left, right=columns - 9 * 40 - left)
    stock = tuple(replace(each, columns=columns + 100, rows=rows * 10) for each in piece.canvas.stock)
    canvas = replace(piece.canvas, stock=stock)
    piece = replace(piece, pattern=pattern, canvas=canvas, columns=columns, rows=rows)
    return replace(kit, code="LARGE", pieces=(piece,))


def job_for(kit: Kit) -> Job:
    """The job of any kit in its first language; nothing is judged."""
    amounts = measure(kit, panels(kit))
    picked, cut = picks(amounts), plan(blanks(amounts))
    spoken, sheet = speaking(kit)[0], sheets(kit)[0][0]
    job = Job(amounts, picked, cut, cost(kit, picked), notes(kit), Judgement((), ()), spoken, sheet)
    fitted = [replace(job, edition=each, sheet=each.sheet(sheet)) for each in editions(kit.house.editions)]
    printed = [(each, made(each)) for each in fitted if each.edition.fits for made in CUSTOMERS]
    return replace(job, fallbacks=fallbacks(job, printed))
