"""Runs of the demo range ready to be printed: between them they make the documents say everything."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cache
from types import MappingProxyType

from kitbuild.base.document import SHEETS, Document
from kitbuild.batch import documents_of
from kitbuild.build import amounts_of
from kitbuild.documents.bundle_sheets import MakingJob, cards, making_list
from kitbuild.documents.job import Job, Judgement
from kitbuild.documents.print_order import Print, PrintJob, print_order
from kitbuild.documents.run_job import RunJob
from kitbuild.documents.spare_slip import Slip, spare_slip
from kitbuild.documents.wording import Wording, wording
from kitbuild.production.bundles import plan_making, usable
from kitbuild.production.buying import buys
from kitbuild.production.cautions import notes
from kitbuild.production.cut_plan import cut
from kitbuild.production.cutting import CutPlan
from kitbuild.production.orders import Order
from kitbuild.production.packing import packing
from kitbuild.production.run import plan_run
from kitbuild.production.run_cost import run_costs
from kitbuild.production.run_records import Bundles
from kitbuild.production.spares import Box, Spare
from kitbuild.production.stock import Lot, oldest_first
from kitbuild.quantity.amounts import Amounts
from kitbuild.spec.materials import Supplier, Thread
from tests.documents.demo import kits
from tests.production.stores import boxed, known, lot, order, plenty


@cache
def amounts(code: str) -> Amounts:
    return amounts_of(kits()[code])[0]


def job_of(
    orders: Sequence[Order], lots: Sequence[Lot], say: Wording, bundles: Bundles = MappingProxyType({})
) -> RunJob:
    """A run of these orders; bark wool is sold by the ten, by a supplier with a minimum."""
    run = plan_run("w41", orders, boxed(), oldest_first(list(lots)), cut, bundles)
    jobs = {code: kit_job(code, say) for code in sorted({each.kit for each in orders})}
    items = dict(known())
    bark = items["wool-0123"]
    assert isinstance(bark.source, Thread)
    items["wool-0123"] = replace(bark, source=replace(bark.source, supplier="mill", order_multiple=10))
    mill = Supplier("mill", "North Mill", 90_000, bark.source.at)
    house = boxed()["WHIN"].kit.house
    wanted = buys(run.balances, items, {"mill": mill})
    return RunJob(run, house, jobs, items, wanted, run_costs(run, house), say, SHEETS["A4"])


def kit_job(code: str, say: Wording) -> Job:
    each = boxed()[code]
    empty, told = CutPlan(()), notes(each.kit)
    return Job(amounts(code), each.picks, empty, each.cost, told, Judgement((), ()), say, SHEETS["A4"])


@cache
def run_job(language: str = "en") -> RunJob:
    """Six boxes of WHIN, of which one waits, from two lots of a colour, and two of FERN."""
    lots = [each for each in plenty() if each.item not in ("wool-0123", "tin-90")]
    lots += [lot("wool-0123", "4471", 7, "2026-08-01"), lot("wool-0123", "4502", 4, "2026-09-01")]
    lots += [lot("tin-90", "", 2)]
    orders = [order("1001", "FERN", 2, "2026-11-28"), order("1002", "WHIN", 6)]
    return job_of(orders, lots, wording(language))


def every_run_in(say: Wording) -> Iterator[tuple[Document, ...]]:
    """The documents of runs that say every sentence there is for runs."""
    kit = kits()["WHIN"]
    few = [each for each in plenty() if each.item not in ("wool-0123", "wool-0488", "needle-16")]
    few += [
        lot("needle-16", "old", 7),
        lot("needle-16", "new", 500, "2026-09-01"),
        lot("wool-0123", "4471", 7),
        lot("wool-0123", "4502", 64, "2026-09-01"),
        lot("wool-0488", "A", 90),
    ]
    yield documents_of(job_of([order("1", "WHIN", 60), order("2", "HEATH", 1)], few, say), kit)
    yield documents_of(job_of([order("1", "FERN", 1)], plenty(), say), kit)
    yield documents_of(_with_bundles(say), kit)
    for wanted in (2, 99):
        making = plan_making("m1", boxed()["WHIN"], wanted, few)
        job = MakingJob(making, kit_job("WHIN", say))
        yield making_list(job), cards(job)
    yield tuple(spare_slip(each) for each in slips(say))
    yield tuple(print_order(each) for each in print_orders(say))


def _with_bundles(say: Wording) -> RunJob:
    """A run of which one box is packed from a bundle made ahead."""
    making = plan_making("m1", boxed()["WHIN"], 1, plenty())
    lots = [*plenty(), *(Lot(each.item, each.lot, "S-01", many, "2026-08-01") for each, many in making.lots)]
    made = usable([each for each, _ in making.lots], boxed())
    return job_of([order("1", "WHIN", 2)], lots, say, made)


def print_orders(say: Wording) -> Iterator[PrintJob]:
    """Prints of both kinds, and none."""
    fern = kits()["FERN"]
    prints = [
        Print("FERN-booklet", fern.title, 1, "build/FERN/chart-booklet.imposed.pdf", "A4", 6, True, 60),
        Print("FERN-sheet", fern.title, 1, "build/FERN/instructions.pdf", "A4", 4, False, 5),
    ]
    for each in (prints, []):
        yield PrintJob("w41", each, fern.house, say, SHEETS["A4"])


def slips(say: Wording) -> Iterator[Slip]:
    """Spare thread for a box: of its lot from a new put-up, and of another lot from an open one."""
    job = run_job()
    packed = packing(job.run)
    (kit,) = (each for each in packed.kits if each.kit == "WHIN")
    box = Box(1, packed.run, 2, "1002", kit, {colour.colour: "A" for colour in kit.colours})
    bark = kit.colours[0]
    for lot_sent, put_ups, rest in (("A", 1, 11), ("old", 0, 9)):
        spare = Spare("2026-12-24", bark.item, lot_sent, "S-01", "A", 2, put_ups, rest)
        yield Slip(7, box, bark, spare, job.house, say, SHEETS["A4"])
