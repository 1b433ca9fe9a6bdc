"""From a piece to its panel. To add a family: write its module, and name it in FAMILIES."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

import numpy as np

from kitbuild.base.problem import InputProblems, Problem
from kitbuild.pattern import chart_faults, charted, diamond, flame, four_way, hungarian_point, ribbon
from kitbuild.pattern.area import Outline, area_of, outline_faults
from kitbuild.pattern.columns import clipped, in_order
from kitbuild.pattern.family import Family, drifting, must_return
from kitbuild.pattern.panel import Cover, Panel, Repeat, Stitches
from kitbuild.pattern.proof import faults, is_straight
from kitbuild.pattern.repeats import repeat_of
from kitbuild.pattern.wrong import Wrong
from kitbuild.spec.piece import Pattern, Piece
from kitbuild.spec.records import Kit

FAMILIES: Final[dict[str, Family]] = {
    "flame": Family(flame.stitches),
    "scallop": Family(flame.stitches),
    "ribbon": Family(ribbon.stitches, counted="rings"),
    "diamond": Family(diamond.stitches, must_return, counted="rings"),
    "medallion": Family(diamond.stitches, must_return, counted="rings"),
    "hungarian point": Family(hungarian_point.stitches, hungarian_point.faults),
    "four-way": Family(four_way.stitches, four_way.faults, cover=four_way.cover),
    "charted": Family(charted.stitches, chart_faults.faults, cover=charted.cover, as_drawn=True),
}


@dataclass(frozen=True, slots=True, eq=False)
class Plain:
    """What all colourways of a piece share; `colour` counts in the pattern's colours, each key once."""

    stitches: Stitches
    cover: Cover
    repeat: Repeat


def panels(kit: Kit) -> tuple[Panel, ...]:
    """All different pieces of a kit, proven; InputProblems when one cannot be covered."""
    problems = [problem for piece in kit.pieces for problem in pattern_problems(piece)]
    if problems:
        raise InputProblems(problems)
    made = tuple(expand(kit, piece) for piece in kit.pieces)
    problems = [problem for panel in made for problem in coverage_problems(panel)]
    if problems:
        raise InputProblems(problems)
    return made


def expand(kit: Kit, piece: Piece) -> Panel:
    """One copy of a piece with its colours counted in the kit's palette; not proven yet."""
    keys = list(dict.fromkeys(piece.pattern.colours))
    shared = plain(_uncoloured(piece.pattern), piece.columns, piece.rows, piece.outline)
    palette = np.array([kit.colour_index(key) for key in keys], dtype=np.int64)
    coloured = replace(shared.stitches, colour=palette[shared.stitches.colour])
    cover = shared.cover if shared.cover.name else replace(shared.cover, name=f"{piece.key}-cover.csv")
    return Panel(piece, coloured, cover, shared.repeat, FAMILIES[piece.pattern.family].counted)


def _uncoloured(pattern: Pattern) -> Pattern:
    """The pattern with its colours numbered as they come, so that its colourways are equal."""
    keys = list(dict.fromkeys(pattern.colours))
    return replace(pattern, colours=tuple(str(keys.index(key)) for key in pattern.colours), repeats=None)


@lru_cache(maxsize=32)
def plain(pattern: Pattern, columns: int, rows: int, outline: Outline) -> Plain:
    """The stitches of a pattern with numbered colours in a size and shape; arrays are read-only."""
    family, area = FAMILIES[pattern.family], area_of(columns, rows, outline)
    raw = family.stitches(pattern, area)
    raw = replace(raw, colour=np.array([int(key) for key in pattern.colours])[raw.colour])
    work = in_order(raw) if family.as_drawn else clipped(raw, area, pattern.edges == "lengthen")
    cover = family.cover(area, work)
    for name in Stitches.__slots__:
        getattr(work, name).setflags(write=False)
    return Plain(work, cover, repeat_of(pattern, work, cover))


def pattern_problems(piece: Piece) -> Iterator[Problem]:
    """What keeps a piece's pattern from being worked at its size and in its shape."""
    found = list(outline_faults(piece.columns, piece.rows, piece.outline))
    if not found:
        area = area_of(piece.columns, piece.rows, piece.outline)
        found = [*FAMILIES[piece.pattern.family].faults(piece.pattern, area)]
    if piece.finish.kind == "sleeve" and piece.pattern.line and piece.pattern.line.drift:
        found = [each for each in found if each.code != "KB406"]
        found.append(drifting(piece.pattern.line.drift, "a sleeve"))
    for wrong in found:
        yield _located(piece, wrong)


def _located(piece: Piece, wrong: Wrong) -> Problem:
    """The problem at its place: in the kit's file, or in the file that the chart was read from."""
    chart, place = piece.pattern.chart, piece.at(*wrong.path)
    if chart and chart.at and wrong.path[:2] == ("pattern", "chart"):
        place = chart.at(*wrong.path[2:])
    return Problem(place, wrong.code, wrong.message, wrong.cure)


def coverage_problems(panel: Panel) -> Iterator[Problem]:
    """A problem at the pattern for the first links that are not crossed as the cover says."""
    if not is_straight(panel.stitches, panel.cover):
        yield _problem(panel, "a stitch is crooked, empty or outside the stitched area")
        return
    found = faults(panel.stitches, panel.cover)
    if found:
        more = f", and {len(found) - 1} more" if len(found) > 1 else ""
        yield _problem(panel, f"{found[0]}{more}")


def _problem(panel: Panel, message: str) -> Problem:
    place = panel.piece.at("pattern")
    return Problem(place, "KB401", message, "change the line, the length of the stitch or the panel's size")
