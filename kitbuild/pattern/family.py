"""What a family of patterns is to the rest of the program."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Literal

from kitbuild.pattern.area import Area
from kitbuild.pattern.panel import Cover, Stitches
from kitbuild.pattern.wrong import Wrong
from kitbuild.spec.piece import Pattern


def nothing_wrong(pattern: Pattern, area: Area) -> Iterator[Wrong]:
    """A family without faults of its own."""
    yield from ()


def must_return(pattern: Pattern, area: Area) -> Iterator[Wrong]:
    """A line that is met by its mirror image must stand level again after each repeat."""
    if pattern.line and pattern.line.drift:
        yield drifting(pattern.line.drift, f"a {pattern.family}")


def drifting(drift: int, what: str) -> Wrong:
    """The fault of a line whose next repeat stands `drift` bars below this one."""
    side, bars = "below" if drift > 0 else "above", abs(drift)
    message = f"the line does not return to its start: the next repeat stands {bars} bars {side}"
    return Wrong("KB406", ("pattern", "line"), message, f"{what} needs as much up as down")


def area_cover(area: Area, stitches: Stitches) -> Cover:
    """Every upright link of the area and no sideways one; named where it is the whole rectangle."""
    sideways = area.sideways()
    sideways[:] = False
    return Cover("columns" if area.whole else "", area.upright(), sideways)


@dataclass(frozen=True, slots=True)
class Family:
    """A family of patterns.

    `stitches` may reach beyond the area, which cuts them; `colour` counts in the pattern's colours.
    `counted` says what their row counts. `cover` is the links they must cross, its name "" where the piece
    needs a file of its own for it. `as_drawn` families are never cut nor lengthened at edges.
    """

    stitches: Callable[[Pattern, Area], Stitches]
    faults: Callable[[Pattern, Area], Iterator[Wrong]] = nothing_wrong
    counted: Literal["rows", "rings"] = "rows"
    cover: Callable[[Area, Stitches], Cover] = area_cover
    as_drawn: bool = False
