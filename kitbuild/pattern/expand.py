"""From a piece to its panel. To add a family: write its module, and name it in FAMILIES."""

from __future__ import annotations

from collections.abc import Iterator
from types import ModuleType
from typing import Final

import numpy as np

from kitbuild.base.problem import InputProblems, Problem
from kitbuild.pattern import diamond, flame
from kitbuild.pattern.line import repeat_columns
from kitbuild.pattern.panel import Panel, Repeat, Stitches, columns_cover
from kitbuild.pattern.proof import faults, is_straight
from kitbuild.spec.records import Kit, Piece

#: A family's module has `stitches(pattern, columns, rows)`, `bars_down(pattern)` and COUNTED, rows or rings.
FAMILIES: Final[dict[str, ModuleType]] = {"flame": flame, "scallop": flame, "diamond": diamond}


def panels(kit: Kit) -> tuple[Panel, ...]:
    """All different pieces of a kit, proven; InputProblems when one cannot be covered."""
    made = tuple(expand(kit, piece) for piece in kit.pieces)
    problems = [problem for panel in made for problem in coverage_problems(panel)]
    if problems:
        raise InputProblems(problems)
    return made


def expand(kit: Kit, piece: Piece) -> Panel:
    """One copy of a piece with its colours counted in the kit's palette; not proven yet."""
    pattern = piece.pattern
    family = FAMILIES[pattern.family]
    plain: Stitches = family.stitches(pattern, piece.columns, piece.rows)
    palette = np.array([kit.colour_index(key) for key in pattern.colours], dtype=np.int64)
    coloured = Stitches(
        plain.x1, plain.y1, plain.x2, plain.y2, palette[plain.colour], plain.row, plain.course
    )
    wide = repeat_columns(pattern.line)
    count = (piece.columns - pattern.left - pattern.right) // wide
    repeat = Repeat(wide, count, pattern.left, pattern.right, family.bars_down(pattern))
    return Panel(piece, coloured, columns_cover(piece.columns, piece.rows), repeat, family.COUNTED)


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
