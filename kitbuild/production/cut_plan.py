"""The cut plan of one canvas: least cost, then the largest offcut, then few layouts and few cuts."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

import numpy as np

from kitbuild.production.cut_bound import area_bound
from kitbuild.production.cut_columns import Master, generate, prove
from kitbuild.production.cut_effort import Effort, Ended
from kitbuild.production.cut_fill import fullest
from kitbuild.production.cut_layout import offcuts
from kitbuild.production.cut_patterns import Shape
from kitbuild.production.cut_records import CutJob, Cutting, Layout, Lie, Method, Wanted
from kitbuild.production.cut_rounding import whole
from kitbuild.production.cut_simple import Chosen, cost_of, one_by_one, trimmed, uncut
from kitbuild.production.cut_task import Column, Room, Task, room
from kitbuild.production.cut_tidy import laid, tidy

Size = tuple[int, int, bool]
"""Columns, rows, may turn; of a blank that may turn the longer side is first."""

TIDYING: Final = 60_000
"""Steps in which a plan is tidied, whatever it took to find it."""


@dataclass(frozen=True, slots=True)
class _Found:
    chosen: Chosen
    bound: Fraction
    method: Method
    solver: bool


def cut(job: CutJob) -> Cutting:
    """The best plan found, beside its proven bound; what the limits leave uncut is in `short`.

    A blank that no supply holds is short too: the caller says so at its place. Nothing is raised.
    """
    sizes, task = _task(job)
    found = _find(task, job.tries)
    if (left := uncut(task, found.chosen)).any():
        task = Task(task.demand - left, task.rooms, task.effort)
        found = _find(task, job.tries)
    tidying = task.effort.again(TIDYING)
    chosen = tidy(replace(task, effort=tidying), found.chosen, found.solver)
    hand_out = _HandOut(job, sizes)
    layouts = tuple(
        each for column in _order(task, chosen) for each in hand_out.layouts(task, column, chosen[column])
    )
    cost = cost_of(chosen)
    ended: Ended = "clock" if "clock" in (task.effort.ended, tidying.ended) else task.effort.ended
    if ended == "work" and cost <= found.bound:
        ended = ""
    return Cutting(layouts, cost, min(found.bound, cost), found.method, ended, hand_out.short())


def least_cost(job: CutJob) -> Fraction:
    """A cost that no plan of the job goes below, in minor units, without the solver; else 0."""
    _, task = _task(job)
    return area_bound(task) if task.demand.any() else Fraction(0)


def _task(job: CutJob) -> tuple[list[Size], Task]:
    """The job as the solver sees it: different sizes, and supplies that hold any; what none holds is 0."""
    sizes = _sizes(job)
    shapes = [shape for at, size in enumerate(sizes) for shape in _shapes(at, size, sizes[size], job.kerf)]
    made = (
        room(supply, shapes, job.kerf, job.stages) for supply in job.supplies if supply.limit != 0 and shapes
    )
    rooms = tuple(each for each in made if each)
    task = Task(np.array(list(sizes.values()), dtype=np.int64), rooms, Effort(job.work, job.seconds))
    held = {shape.size for each in rooms for shape in each.grids[0].shapes}
    task.demand[[at for at in range(len(sizes)) if at not in held]] = 0
    return list(sizes), task


def _sizes(job: CutJob) -> dict[Size, int]:
    """How many blanks there are of each size."""
    sizes: Counter[Size] = Counter()
    for each in job.wanted:
        if each.quantity:
            sizes[_size(each)] += each.quantity
    return dict(sorted(sizes.items(), key=lambda item: (-item[0][0] * item[0][1], item[0])))


def _size(each: Wanted) -> Size:
    if each.may_turn and each.columns < each.rows:
        return each.rows, each.columns, True
    return each.columns, each.rows, each.may_turn and each.columns != each.rows


def _shapes(at: int, size: Size, number: int, kerf: int) -> Iterator[Shape]:
    columns, rows, may_turn = size
    yield Shape(at, columns + kerf, rows + kerf, False, number)
    if may_turn:
        yield Shape(at, rows + kerf, columns + kerf, True, number)


def _find(task: Task, tries: int) -> _Found:
    """One sheet after another; if that is not proven the best, column generation."""
    if not task.demand.any():
        return _Found(Counter(), Fraction(0), "one by one", False)
    simple = trimmed(task, one_by_one(task, Counter()))
    if not uncut(task, simple).any() and cost_of(simple) <= (bound := area_bound(task)):
        return _Found(simple, bound, "one by one", False)
    for column in (*simple, *fullest(task)):
        task.add(column)
    master = Master(task)
    generate(task, master)
    prove(task)
    better = whole(task, master, tries)
    if (uncut(task, better).sum(), cost_of(better)) < (uncut(task, simple).sum(), cost_of(simple)):
        return _Found(better, task.bound, "columns", True)
    return _Found(simple, task.bound, "one by one", True)


def _order(task: Task, chosen: Chosen) -> list[Column]:
    """Layouts by supply, the most used first."""
    return sorted(
        chosen, key=lambda column: (column.supply, -chosen[column], -sum(column.yields), column.yields)
    )


class _HandOut:
    """Gives the places of sheets to the blanks that were asked for."""

    def __init__(self, job: CutJob, sizes: list[Size]) -> None:
        self.job = job
        self.left = {each.key: each.quantity for each in job.wanted}
        self.by_size: dict[int, list[Wanted]] = {at: [] for at in range(len(sizes))}
        places = {size: at for at, size in enumerate(sizes)}
        for each in job.wanted:
            if each.quantity:
                self.by_size[places[_size(each)]].append(each)

    def layouts(self, task: Task, column: Column, number: int) -> Iterator[Layout]:
        """The sheets of a column: each layout has the same keys in the same places on all its sheets."""
        made: Room = task.rooms[column.supply]
        rows = column.length if made.roll else made.supply.rows
        on_sheet = laid(task, column)
        kept = tuple(offcuts(on_sheet.rests, self.job.least_offcut))
        places = sorted(on_sheet.places, key=lambda place: (place[1][1], place[1][0]))
        while number:
            owners = self._owners([shape.size for shape, _ in places])
            uses = Counter(owner.key for owner in owners)
            times = min(number, *(self.left[key] // used for key, used in uses.items()))
            for key, used in uses.items():
                self.left[key] -= used * times
            lies = tuple(
                Lie(owner.key, *box, (box[2], box[3]) != (owner.columns, owner.rows))
                for owner, (_, box) in zip(owners, places, strict=True)
            )
            yield Layout(made.supply.key, made.supply.columns, rows, times, lies, tuple(on_sheet.cuts), kept)
            number -= times

    def _owners(self, sizes: list[int]) -> list[Wanted]:
        left = dict(self.left)
        owners = []
        for size in sizes:
            owner = next(each for each in self.by_size[size] if left[each.key])
            left[owner.key] -= 1
            owners.append(owner)
        return owners

    def short(self) -> tuple[tuple[str, int], ...]:
        """What was handed no place."""
        return tuple((key, number) for key, number in self.left.items() if number)
