"""How near the order of work comes to a floor that no order can go below, and how much it saves in tails.

The floor: fronts, passes, the runs inside each area in the directions that the policy fixes, less the longest
of them at each start that must be made, and a tail and a fastening for each such start. Starts that must be
made: areas of a colour further apart than the longest run, or as many as the thread forces: the larger. A
colour of few areas has the least of all orders as its floor, if that is more.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from kitbuild.pattern.panel import Panel
from kitbuild.quantity.direction import POLICIES
from kitbuild.quantity.needle import Work, simulate
from kitbuild.quantity.order import order
from kitbuild.spec.records import Kit
from tests.bench.least import FEW, Hole, least_pitches
from tests.bench.timing import best_ms
from tests.documents.demo import kits
from tests.pattern.builders import COLOURS, kit, line, panel_of, pattern, piece

RANDOM_PATTERNS = 50


@dataclass(frozen=True, slots=True)
class Ratio:
    """Thread of an order against the floor, and its tails and remainders against the plain way's."""

    thread: float
    waste: float


def panels() -> Iterator[tuple[Kit, Panel]]:
    """The pieces of the demo range, and patterns drawn at random from a fixed seed."""
    for each in kits().values():
        for what in each.pieces:
            one = replace(each, pieces=(what,))
            yield one, panel_of_kit(one)
    chance = random.Random(5)
    for _ in range(RANDOM_PATTERNS):
        of = line(
            groups_of=chance.randint(1, 4),
            step=chance.randint(1, 2),
            down=(deep := chance.randint(2, 7)),
            up=deep,
            turns="once",
        )
        family = chance.choice(["flame", "flame", "diamond", "medallion"])
        work = pattern(family, chance.randint(3, 6), of, colours=COLOURS[: chance.randint(2, 5)])
        what = piece(columns=chance.randint(20, 90), rows=chance.randint(20, 90), pattern=work)
        yield kit(what), panel_of(what)


def panel_of_kit(one: Kit) -> Panel:
    from kitbuild.pattern.expand import expand

    return expand(one, one.pieces[0])


def ratio(one: Kit, panel: Panel, policy: str) -> Ratio:
    """The worse hand's ratios."""
    rules, pitch = one.house.thread, panel.piece.canvas.pitch_mm
    longest = rules.longest_run_mm / pitch
    found = []
    for hand in ("right", "left"):
        work = simulate(one, order(panel, policy, hand, longest, True, _start(one, panel)))  # type: ignore[arg-type]
        found.append(
            Ratio(
                _taken(one, work) / _floor(one, work, policy),
                _waste(one, work) / _plain_waste(one, panel, hand),
            )
        )
    return max(found, key=lambda each: each.thread)


def _start(one: Kit, panel: Panel) -> float:
    rules = one.house.thread
    return (rules.start_tail_mm + rules.run_under_mm) / panel.piece.canvas.pitch_mm


def _taken(one: Kit, work: Work) -> float:
    rules = one.house.thread
    return float((work.front + work.back + work.through).sum()) / 100 + int(work.start.max()) * (
        rules.start_tail_mm + rules.run_under_mm
    )


def _waste(one: Kit, work: Work) -> float:
    """Tails and remainders: all of the needlefuls that is no stitch."""
    cut = len(np.unique(work.needleful)) * one.house.thread.needleful_mm
    return cut - float((work.front + work.back + work.through).sum()) / 100


def _plain_waste(one: Kit, panel: Panel, hand: str) -> float:
    """The same when rows are worked from the left, always downwards, and remainders are not used."""
    rules, pitch = one.house.thread, panel.piece.canvas.pitch_mm
    usable = rules.needleful_mm - rules.run_under_mm - rules.held_mm
    work = panel.stitches
    needlefuls, used, length = 0, math.inf, 0.0
    last: tuple[int, int, int, int] | None = None
    through = [2 * panel.piece.canvas.thickness_mm + colour.thread.bend_mm for colour in one.palette]
    side = 1 if hand == "right" else -1
    for at in np.lexsort((work.y1, side * work.x1, work.colour, work.course)).tolist():
        here = (int(work.course[at]), int(work.colour[at]))
        run = math.dist(last[2:], (work.x1[at], work.y1[at])) * pitch if last and last[:2] == here else 0
        takes = float(work.length()[at]) * pitch + through[here[1]]
        if not 0 < run <= rules.longest_run_mm or used + run + takes > usable:
            needlefuls, used, run = needlefuls + 1, rules.start_tail_mm, 0.0
        used, length = used + run + takes, length + run + takes
        last = (*here, int(work.x2[at]), int(work.y2[at]))
    return needlefuls * rules.needleful_mm - length


def _floor(one: Kit, work: Work, policy: str) -> float:
    rules, panel = one.house.thread, work.order.panel
    pitch = panel.piece.canvas.pitch_mm
    longest = rules.longest_run_mm / pitch
    total = float((work.front + work.through).sum()) / 100
    colour_of = panel.stitches.colour[work.order.stitch]
    usable = rules.needleful_mm - rules.start_tail_mm - rules.run_under_mm - rules.held_mm
    rows = list(_rows(panel, policy, longest))
    for colour in np.unique(panel.stitches.colour).tolist():
        mine = [(areas, doors) for which, areas, doors in rows if which == colour]
        runs = sorted((run for _, ways in mine for run in _chained(ways, longest)), reverse=True)
        areas = [area for _, ways in mine for area in ways]
        which = colour_of == colour
        length = float((work.front + work.through)[which].sum()) / 100 + sum(runs) * pitch
        starts = max(_clusters(areas, longest), math.ceil(length / usable))
        tail = rules.start_tail_mm + rules.run_under_mm
        mine_mm = sum(runs[max(starts - 1, 0) :]) * pitch + starts * tail
        if len(areas) <= FEW:
            exact = [[one for way in ways for one in _exact(way)] for ways in areas]
            front = float((work.front + work.through)[which].sum()) / 100 / pitch
            mine_mm = max(mine_mm, least_pitches(exact, longest, tail / pitch, front, usable / pitch) * pitch)
        total += mine_mm
    return total


def _rows(
    panel: Panel, policy: str, longest: float
) -> Iterator[tuple[int, list[np.ndarray], list[list[_Way]]]]:
    """Each row or ring and colour: its areas, and each area both ways."""
    work = panel.stitches
    occupied = np.zeros((panel.cover.rows + 2, panel.cover.columns + 2), dtype=bool)
    for course, colour in sorted(set(zip(work.course.tolist(), work.colour.tolist(), strict=True))):
        mine = np.flatnonzero((work.course == course) & (work.colour == colour))
        across = work.x1[mine] != work.x2[mine]
        along = np.where(across, work.y1[mine], work.x1[mine])
        mine = mine[np.argsort(along, kind="stable")]
        areas = np.split(mine, np.flatnonzero(np.diff(np.sort(along)) > 1) + 1)
        yield (
            colour,
            areas,
            [[_way(panel, a, policy, occupied, longest) for a in (x, x[::-1])] for x in areas],
        )
        occupied[work.y1[mine], work.x1[mine]] = occupied[work.y2[mine], work.x2[mine]] = True


@dataclass(frozen=True, slots=True)
class _Way:
    """An area worked from one end: its runs in pitches, the hole it begins in and the one it ends in.

    `turned` is the hole that it begins in where its first stitch is turned, `back` the one that it ends in
    where its last is.
    """

    runs: tuple[float, ...]
    entry: tuple[int, int]
    exit: tuple[int, int]
    turned: tuple[int, int]
    single: bool
    back: tuple[int, int]
    laid: tuple[tuple[Hole, Hole], ...]

    @property
    def begins(self) -> tuple[Hole, ...]:
        """Holes that it can be entered by."""
        return self.entry, self.turned

    @property
    def ends(self) -> tuple[Hole, ...]:
        """Holes that it can be left by: its last stitch, too, may be turned."""
        return self.exit, self.back


def _way(panel: Panel, area: np.ndarray, policy: str, occupied: np.ndarray, longest: float) -> _Way:
    work = panel.stitches.take(area)
    first = np.arange(len(area)) == 0
    turned = POLICIES[policy](work, first, occupied)
    up_x, up_y = np.where(turned, work.x2, work.x1), np.where(turned, work.y2, work.y1)
    down_x, down_y = np.where(turned, work.x1, work.x2), np.where(turned, work.y1, work.y2)
    runs = np.hypot(up_x[1:] - down_x[:-1], up_y[1:] - down_y[:-1]).tolist()
    if max(runs, default=0.0) > longest:
        runs = _as_laid(
            list(zip(zip(up_x, up_y, strict=True), zip(down_x, down_y, strict=True), strict=True)), longest
        )
    entry, leave = (int(up_x[0]), int(up_y[0])), (int(down_x[-1]), int(down_y[-1]))
    back = (int(up_x[-1]), int(up_y[-1]))
    ups, downs = (
        tuple(zip(x.tolist(), y.tolist(), strict=True)) for x, y in ((up_x, up_y), (down_x, down_y))
    )
    laid = tuple(zip(ups, downs, strict=True))
    return _Way(tuple(runs), entry, leave, (int(down_x[0]), int(down_y[0])), len(area) == 1, back, laid)


@dataclass(frozen=True, slots=True)
class _Exact:
    """An area worked from one end, its first and last stitch turned or not."""

    runs: tuple[float, ...]
    begins: tuple[Hole, ...]
    ends: tuple[Hole, ...]


def _exact(way: _Way) -> Iterator[_Exact]:
    """The way as it is laid, and with its first stitch, its last or both turned, at no cost inside."""
    first, last = way.laid[0], way.laid[-1]
    if len(way.laid) == 1:
        yield from (_Exact((), (up,), (down,)) for up, down in (first, first[::-1]))
    else:
        yield _Exact(way.runs, first, last)


def _as_laid(stitches: list[tuple[Hole, Hole]], longest: float) -> list[float]:
    """The runs through an area by its policy, which turns a stitch where its run would be too long.

    Where that does not help, a new start is left to the starts.
    """
    runs, at = [], stitches[0][1]
    for up, down in stitches[1:]:
        run, turned = math.dist(at, up), math.dist(at, down)
        able = 0 < run <= longest or not 0 < turned <= longest
        runs += [run if able else turned] if min(run, turned) <= longest else []
        at = down if able else up
    return runs


def _chained(areas: list[list[_Way]], longest: float) -> list[float]:
    """The runs of a row's areas from left to right, each worked the way that keeps their sum least.

    A run longer than the longest is a new start and no run.
    """
    best = [(sum(way.runs), way.runs, way.exit) for way in areas[0]]
    for ways in areas[1:]:
        found = []
        for way in ways:
            joined = []
            for total, runs, at in best:
                run = math.dist(at, way.entry)
                link = (run,) if run <= longest else ()
                joined.append((total + sum(link) + sum(way.runs), runs + link + way.runs, way.exit))
            found.append(min(joined))
        best = found
    return list(min(best)[1])


def _clusters(areas: list[list[_Way]], longest: float) -> int:
    """Groups of areas that runs of at most `longest` pitches can join, from an exit to an entry.

    Where the policy's run would be too long, the first or the last stitch may be turned.
    """
    holes = [np.array([hole for way in ways for hole in way.ends]) for ways in areas]
    enter = [np.array([hole for way in ways for hole in way.begins]) for ways in areas]
    left, groups = set(range(len(areas))), 0
    while left:
        groups += 1
        front = [left.pop()]
        while front:
            at = front.pop()
            near = [
                other
                for other in left
                if _distance(holes[at], enter[other]) <= longest
                or _distance(holes[other], enter[at]) <= longest
            ]
            left.difference_update(near)
            front += near
    return groups


def _distance(one: np.ndarray, other: np.ndarray) -> float:
    return float(np.sqrt(((one[:, None, :] - other[None, :, :]) ** 2).sum(axis=2)).min())


def large() -> Iterator[tuple[str, Panel]]:
    """Pieces of 30,000 stitches and more: long rows, and thousands of small areas."""
    zigzag = line(groups_of=2, step=2, down=6, up=6, turns="once")
    steep = line(groups_of=1, step=2, down=3, up=3, turns="once")
    for family, over, of, count in (
        ("flame", 4, zigzag, 4),
        ("diamond", 4, zigzag, 4),
        ("medallion", 3, steep, 5),
    ):
        work = pattern(family, over, of, colours=COLOURS[:count])
        yield family, panel_of(piece(columns=400, rows=300, pattern=work))


def worked(one: Kit, panel: Panel) -> Work:
    """One hand's work, ordered and simulated."""
    longest = one.house.thread.longest_run_mm / panel.piece.canvas.pitch_mm
    return simulate(one, order(panel, "clean holes", "right", longest, True, _start(one, panel)))


def report_large() -> None:
    """Time to order and simulate large pieces."""
    one = kit(piece())
    for family, panel in large():
        taken = best_ms(partial(worked, one, panel), 2)
        print(f"  {family:<11}{len(panel.stitches)} stitches ordered and simulated in {taken / 1000:.2f} s")


def main() -> None:
    """The mean and the worst ratio of each policy, and the time that large pieces take."""
    every = list(panels())
    print(
        f"\norder of work, {len(every)} panels: thread against its floor; tails and remainders against plain"
    )
    for policy in POLICIES:
        found = [ratio(one, panel, policy) for one, panel in every]
        thread, waste = ([getattr(each, name) for each in found] for name in ("thread", "waste"))
        worst = sum(each > 1.2 for each in thread)
        print(
            f"  {policy:<15}thread mean {np.mean(thread):.3f} worst {max(thread):.3f} ({worst} above 1.20);"
            f"  waste mean {np.mean(waste):.2f} worst {max(waste):.2f}"
        )
    report_large()


if __name__ == "__main__":
    main()
