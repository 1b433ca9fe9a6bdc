"""The plan of work: for each turn the order of its areas, for a colour's whole way to take little thread."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from kitbuild.pattern.panel import Bools, Ints
from kitbuild.quantity.chains import BLOCK, Chain, Exit, Reach, chains, from_the_left
from kitbuild.quantity.ways import Ways

KEPT = 4
"""Ways to have come so far that are followed up for each colour."""


@dataclass(frozen=True, slots=True, eq=False)
class Visit:
    """An area in order of work with the way of each stitch; `fresh` begins with a new needle."""

    turn: int
    colour: int
    area: Ints
    turned: Bools
    fresh: bool


@dataclass(frozen=True, slots=True, eq=False)
class _Way:
    """One way to have worked all turns of a colour so far: its cost in pitches, and where the needle is."""

    cost: float = 0.0
    needle: Exit | None = None
    last: _Step | None = None


@dataclass(frozen=True, slots=True, eq=False)
class _Step:
    """A turn worked in some order, and what came before it."""

    before: _Step | None
    turn: int
    chain: Chain
    fresh: bool


def planned(turns: Iterable[Ways], reach: Reach, park: bool) -> Iterator[Visit]:
    """All areas of all turns in order of work."""
    listed, open_ways = [], {}
    for at, turn in enumerate(turns):
        listed.append(turn)
        open_ways[turn.colour] = _worked(at, turn, open_ways.get(turn.colour, [_Way()]), reach, park)
    steps = {step.turn: step for ways in open_ways.values() for step in _steps(ways[0])}
    for at, turn in enumerate(listed):
        fresh = steps[at].fresh
        for visit in steps[at].chain.visits:
            area, way = visit // 2, visit % 2
            yield Visit(at, turn.colour, turn.areas[way][area], turn.turned[way][area], fresh)
            fresh = False


def _worked(at: int, turn: Ways, ways: list[_Way], reach: Reach, park: bool) -> list[_Way]:
    """The best ways to have come so far, the cheapest first, each ending in a hole of its own.

    The first of all turns is begun at the hand's own side. In a turn or a piece of many areas one way is
    tried.
    """
    anew = _Way(ways[0].cost, None, ways[0].last)
    froms = [anew, *(way for way in ways if park and way.needle)]
    froms = froms[:2][-1:] if len(turn.areas[0]) > BLOCK or reach.effort < 1 else froms
    if at:
        found = chains(turn.doors, [way.needle for way in froms], reach)
    else:
        found = [from_the_left(turn.doors, reach)]
    best: dict[Exit, _Way] = {}
    for way, chain in zip(froms, found, strict=True):
        step = _Step(way.last, at, chain, way.needle is None)
        new = _Way(way.cost + chain.cost, chain.exit, step)
        if chain.exit not in best or new.cost < best[chain.exit].cost:
            best[chain.exit] = new
    return sorted(best.values(), key=lambda way: way.cost)[:KEPT]


def _steps(way: _Way) -> Iterator[_Step]:
    step = way.last
    while step:
        yield step
        step = step.before
