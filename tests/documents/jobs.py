"""A demo kit as a job, for those who make single documents of it."""

from __future__ import annotations

from functools import cache

from kitbuild.build import sheets, speaking
from kitbuild.documents.job import Job, Judgement
from kitbuild.pattern.expand import panels
from kitbuild.production.cautions import notes
from kitbuild.production.cost import cost
from kitbuild.production.cutting import blanks, plan
from kitbuild.production.picks import picks
from kitbuild.quantity.amounts import measure
from tests.documents.demo import kits


@cache
def job_of(code: str) -> Job:
    """The job of a demo kit in its first language on its first paper; nothing is judged."""
    kit = kits()[code]
    amounts = measure(kit, panels(kit))
    picked, cut = picks(amounts), plan(blanks(amounts))
    spoken, sheet = speaking(kit)[0], sheets(kit)[0][0]
    return Job(amounts, picked, cut, cost(kit, picked), notes(kit), Judgement((), ()), spoken, sheet)
