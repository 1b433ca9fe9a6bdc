"""What is judged from the stitches: a flat list of small rules. All of them warn."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Final

import numpy as np

from kitbuild.base.likeness import SIGHTS, difference
from kitbuild.base.problem import Problem
from kitbuild.pattern.expand import expand
from kitbuild.pattern.neighbours import neighbours
from kitbuild.pattern.panel import Panel
from kitbuild.spec.records import Colour, Kit

Panels = tuple[Panel, ...]
Rule = Callable[[Kit, Panels], Iterator[Problem]]

LEAST_DIFFERENCE: Final = 6.0
"""CIEDE2000 below which wools are hard to tell apart by lamp light (common practice, no source)."""
LEAST_SEEN_DIFFERENCE: Final = 4.0
"""The same under a simulated deficiency, where the symbols help (common practice, no source)."""

CORNERS: Final = 8
"""Four-way work has this many stitches over 1 at its corners at any size (derived)."""


def neighbouring_colours_differ(kit: Kit, panels: Panels) -> Iterator[Problem]:
    """Colours that touch must be told apart while stitching."""
    for one, other in _touching(kit, panels):
        apart = difference(one.rgb, other.rgb)
        if apart < LEAST_DIFFERENCE:
            message = f"{one.key} and {other.key} touch and look alike (difference {apart:.1f})"
            cure = f"choose colours that differ by {LEAST_DIFFERENCE:g} or more"
            yield Problem(other.at(), "KB402", message, cure, warning=True)


def neighbouring_colours_differ_to_all_eyes(kit: Kit, panels: Panels) -> Iterator[Problem]:
    """Colours that touch, as people with a colour-vision deficiency see them (Machado et al. 2009)."""
    for one, other in _touching(kit, panels):
        if difference(one.rgb, other.rgb) < LEAST_DIFFERENCE:
            continue
        apart = {sight: difference(one.rgb, other.rgb, sight) for sight in SIGHTS}
        alike = [f"{sight} {value:.1f}" for sight, value in apart.items() if value < LEAST_SEEN_DIFFERENCE]
        if alike:
            message = f"{one.key} and {other.key} touch and look alike to some eyes ({', '.join(alike)})"
            cure = "let one be lighter than the other; on the charts their symbols tell them apart"
            yield Problem(other.at(), "KB403", message, cure, warning=True)


def stitches_suit_their_use(kit: Kit, panels: Panels) -> Iterator[Problem]:
    """Long stitches catch: a limit by use."""
    for panel in panels:
        piece = panel.piece
        limit_mm = kit.house.longest_stitch_mm[piece.use]
        bars = int(panel.stitches.length().max())
        if bars * piece.canvas.pitch_mm > limit_mm + 1e-9:
            length = bars * piece.canvas.pitch_mm
            message = f"a stitch over {bars} is {length:.1f} mm long, more than {limit_mm:g} mm ({piece.use})"
            shorter = int(limit_mm / piece.canvas.pitch_mm + 1e-9)
            cure = f"work over {shorter} or less, or state another longest_stitch in the workshop file"
            yield Problem(piece.at("pattern", "over"), "KB404", message, cure, warning=True)


def no_stitch_is_over_one(kit: Kit, panels: Panels) -> Iterator[Problem]:
    """Over-1 stitches beside long ones are poor (published, but disputed); another size may have none."""
    for panel in panels:
        count = _over_one(panel)
        if panel.piece.pattern.family == "four-way" and count <= CORNERS:
            continue
        if count:
            message = f"{count} stitches of {panel.piece.key} are over 1 bar"
            yield Problem(panel.piece.at("rows"), "KB405", message, _better_rows(kit, panel), warning=True)


RULES: Final[tuple[Rule, ...]] = (
    neighbouring_colours_differ,
    neighbouring_colours_differ_to_all_eyes,
    stitches_suit_their_use,
    no_stitch_is_over_one,
)


def judged(kit: Kit, panels: Panels) -> tuple[Problem, ...]:
    """What all rules find."""
    return tuple(problem for rule in RULES for problem in rule(kit, panels))


def _touching(kit: Kit, panels: Panels) -> list[tuple[Colour, Colour]]:
    """Pairs of different colours that touch in some piece, in the palette's order."""
    pairs = sorted(set().union(*(neighbours(panel) for panel in panels)))
    return [(kit.palette[one], kit.palette[other]) for one, other in pairs]


def _over_one(panel: Panel) -> int:
    return int(np.count_nonzero(panel.stitches.length() == 1))


def _better_rows(kit: Kit, panel: Panel) -> str:
    """The nearest number of hole rows without stitches over 1, where there is one close by."""
    piece = panel.piece
    if piece.outline or piece.pattern.family in ("four-way", "charted"):
        return "let the line or the length of the stitch differ, or accept them"
    for change in (1, -1, 2, -2, 3, -3, 4, -4):
        rows = piece.rows + change
        if rows >= 3 and not _over_one(expand(kit, replace(piece, rows=rows))):
            return f"{rows} hole rows have none"
    return "let the line or the length of the stitch differ, or accept them"
