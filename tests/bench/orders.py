"""How near the order of work comes to a floor that no order can go below, and how much it saves in tails.

The floor: fronts, passes, the runs inside each area in the directions that the policy fixes, less the longest
of them at each start that must be made, and a tail and a fastening for each such start. Starts that must be
made: areas of a colour further apart than the longest run, or as many as the thread forces: the larger.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from kitbuild.pattern.panel import Panel
from kitbuild.quantity.areas import courses
from kitbuild.quantity.direction import POLICIES
from kitbuild.quantity.needle import Work, simulate
from kitbuild.quantity.order import order
from kitbuild.spec.records import Kit
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
            step=chance.randint(1, 3),
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
        work = simulate(one, order(panel, policy, hand, longest, True))  # type: ignore[arg-type]
        plain = simulate(one, order(panel, "even", hand, longest, False))  # type: ignore[arg-type]
        found.append(
            Ratio(
                _taken(one, work) / _floor(one, work, policy),
                _waste(one, work) / max(_plain_waste(one, plain), 1),
            )
        )
    return max(found, key=lambda each: each.thread)


def _taken(one: Kit, work: Work) -> float:
    rules = one.house.thread
    return float((work.front + work.back + work.through).sum()) / 100 + int(work.start.max()) * (
        rules.start_tail_mm + rules.run_under_mm
    )


def _waste(one: Kit, work: Work) -> float:
    """Tails and remainders: all of the needlefuls that is no stitch."""
    cut = len(np.unique(work.needleful)) * one.house.thread.needleful_mm
    return cut - float((work.front + work.back + work.through).sum()) / 100


def _plain_waste(one: Kit, work: Work) -> float:
    """The same when each start takes a needleful of its own: remainders unused."""
    cut = int(work.start.max()) * one.house.thread.needleful_mm
    return cut - float((work.front + work.back + work.through).sum()) / 100


def _floor(one: Kit, work: Work, policy: str) -> float:
    rules, panel = one.house.thread, work.order.panel
    pitch = panel.piece.canvas.pitch_mm
    total = float((work.front + work.through).sum()) / 100
    colour_of = panel.stitches.colour[work.order.stitch]
    for colour in np.unique(panel.stitches.colour).tolist():
        areas = [area for which, listed in courses(panel.stitches) if which == colour for area in listed]
        runs = sorted((run for area in areas for run in _inside(panel, area, policy)), reverse=True)
        mine = colour_of == colour
        length = float((work.front + work.through)[mine].sum()) / 100 + sum(runs) * pitch
        usable = rules.needleful_mm - rules.start_tail_mm - rules.run_under_mm - rules.held_mm
        starts = max(_clusters(panel, areas, rules.longest_run_mm / pitch), math.ceil(length / usable))
        total += (sum(runs) - sum(runs[: max(starts - 1, 0)])) * pitch
        total += starts * (rules.start_tail_mm + rules.run_under_mm)
    return total


def _inside(panel: Panel, area: np.ndarray, policy: str) -> list[float]:
    """Runs inside an area worked from its left end, in pitches."""
    work = panel.stitches.take(area)
    nothing = np.zeros((panel.cover.rows + 2, panel.cover.columns + 2), dtype=bool)
    turned = POLICIES[policy](work, nothing)
    up_x, up_y = np.where(turned, work.x2, work.x1), np.where(turned, work.y2, work.y1)
    down_x, down_y = np.where(turned, work.x1, work.x2), np.where(turned, work.y1, work.y2)
    return np.hypot(up_x[1:] - down_x[:-1], up_y[1:] - down_y[:-1]).tolist()


def _clusters(panel: Panel, areas: list[np.ndarray], longest: float) -> int:
    """Groups of areas that a run of at most `longest` pitches can join."""
    work = panel.stitches
    ends = (np.column_stack([work.x1, work.y1]), np.column_stack([work.x2, work.y2]))
    holes = [np.vstack([end[area] for end in ends]) for area in areas]
    left, groups = set(range(len(areas))), 0
    while left:
        groups += 1
        front = [left.pop()]
        while front:
            here = holes[front.pop()]
            near = [at for at in left if _distance(here, holes[at]) <= longest]
            left.difference_update(near)
            front += near
    return groups


def _distance(one: np.ndarray, other: np.ndarray) -> float:
    return float(np.sqrt(((one[:, None, :] - other[None, :, :]) ** 2).sum(axis=2)).min())


def main() -> None:
    """The mean and the worst ratio of each policy."""
    every = list(panels())
    print(
        f"\norder of work against its floor, {len(every)} panels (thread; tails and remainders against plain)"
    )
    for policy in POLICIES:
        found = [ratio(one, panel, policy) for one, panel in every]
        thread = [each.thread for each in found]
        waste = [each.waste for each in found]
        print(
            f"  {policy:<15}thread mean {np.mean(thread):.3f} worst {max(thread):.3f};"
            f"  waste mean {np.mean(waste):.2f} worst {max(waste):.2f}"
        )


if __name__ == "__main__":
    main()
