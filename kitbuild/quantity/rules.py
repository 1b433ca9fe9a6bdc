"""What is judged from quantities: a flat list of small rules."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

from kitbuild.base.problem import Problem
from kitbuild.quantity.amounts import Amounts, PieceAmounts
from kitbuild.quantity.sizes import SleeveFit, columns_that_fit
from kitbuild.spec.records import Kit, Piece

KitRule = Callable[[Kit], Iterator[Problem]]
Rule = Callable[[Amounts], Iterator[Problem]]


def needleful_holds_a_stitch(kit: Kit) -> Iterator[Problem]:
    """A needleful must hold its tails and the longest stitch, or no start could ever be made."""
    rules = kit.house.thread
    tails = rules.start_tail_mm + rules.run_under_mm + rules.held_mm
    for piece in kit.pieces:
        longest = _longest_stitch_mm(kit, piece)
        if rules.needleful_mm < tails + longest:
            yield Problem(
                kit.house.at("thread", "needleful"),
                "KB501",
                f"a needleful of {rules.needleful_mm:g} mm does not hold its tails ({tails:g} mm) and one "
                f"stitch of piece {piece.key} ({longest:.1f} mm)",
                f"make it at least {tails + longest:.0f} mm",
            )


def put_up_holds_a_needleful(kit: Kit) -> Iterator[Problem]:
    """Needlefuls are cut whole from a put-up."""
    for colour in kit.palette:
        thread = colour.thread
        cut = int((thread.put_up_mm + 1e-6) // kit.house.thread.needleful_mm)
        if cut * thread.plies // thread.strands < 1:
            yield Problem(
                thread.at("put_up_length"),
                "KB502",
                f"{thread.key}: a {thread.put_up} of {thread.put_up_mm / 1000:g} m gives no whole needleful",
                "state the length of one whole put-up, and strands no more than it gives",
            )


def sleeve_fits(amounts: Amounts) -> Iterator[Problem]:
    """A sleeve must go on, and must not hang loose."""
    for each in amounts.pieces:
        fit, around = each.fit, each.panel.piece.goes_round
        if fit is None or around is None or fit.fits:
            continue
        state = "too tight" if fit.inside_mm < fit.least_mm else "too loose"
        yield Problem(
            each.panel.piece.at("goes_round", "diameter"),
            "KB503",
            f"the sleeve is {state}: its inside measures {fit.inside_mm:.1f} mm, the {around.name} asks for "
            f"{fit.least_mm:.1f} to {fit.most_mm:.1f} mm",
            _sleeve_cure(amounts.kit, fit),
        )


def sleeve_pitch_is_measured(amounts: Amounts) -> Iterator[Problem]:
    """A nominal count can be some hundredths out, and a ring of it millimetres."""
    for each in amounts.pieces:
        canvas = each.panel.piece.canvas
        if each.fit is not None and not canvas.measured:
            yield Problem(
                each.panel.piece.at("canvas"),
                "KB504",
                f"the sleeve's fit rests on the nominal count of {canvas.key}",
                "measure 50 holes of a real sheet and state measured_pitch in the materials",
                warning=True,
            )


def sleeve_is_not_taller_than_its_object(amounts: Amounts) -> Iterator[Problem]:
    """A sleeve higher than its object would stand over the rim."""
    for each in amounts.pieces:
        around = each.panel.piece.goes_round
        if each.fit is None or around is None:
            continue
        height = each.sizes.finished.height_mm
        if height > around.height_mm:
            yield Problem(
                each.panel.piece.at("rows"),
                "KB505",
                f"the finished sleeve is {height:.1f} mm high, the {around.name} only {around.height_mm:g}",
                "use fewer rows",
            )


def pattern_meets_at_the_seam(amounts: Amounts) -> Iterator[Problem]:
    """A line that does not carry on round the seam shows."""
    for each in amounts.pieces:
        if each.fit is not None and each.fit.pattern == "broken":
            yield Problem(
                each.panel.piece.at("pattern"),
                "KB506",
                f"the pattern of {each.panel.piece.key} is broken at the seam",
                _seam_cure(each),
                warning=True,
            )


BEFORE: Final[tuple[KitRule, ...]] = (needleful_holds_a_stitch, put_up_holds_a_needleful)
AFTER: Final[tuple[Rule, ...]] = (
    sleeve_fits,
    sleeve_pitch_is_measured,
    sleeve_is_not_taller_than_its_object,
    pattern_meets_at_the_seam,
)


def before(kit: Kit) -> tuple[Problem, ...]:
    """What must hold before anything can be measured."""
    return tuple(problem for rule in BEFORE for problem in rule(kit))


def after(amounts: Amounts) -> tuple[Problem, ...]:
    """What the measured kit is judged by."""
    return tuple(problem for rule in AFTER for problem in rule(amounts))


def _longest_stitch_mm(kit: Kit, piece: Piece) -> float:
    """At most what one stitch with the longest run before it, or a finishing stitch, takes."""
    canvas = piece.canvas
    bend = max(colour.thread.bend_mm for colour in kit.palette)
    front = (max(piece.pattern.over, 2 * piece.finish.overlap + 3) + 1) * canvas.pitch_mm
    return front + max(kit.house.thread.longest_run_mm, canvas.pitch_mm) + 4 * canvas.thickness_mm + bend


def _sleeve_cure(kit: Kit, fit: SleeveFit) -> str:
    fewest, most = columns_that_fit(kit, fit)
    if most < fewest:
        return f"no whole number of columns fits: widen the tolerance, {fewest} columns come nearest"
    return f"use {fewest} columns" if fewest == most else f"use {fewest} to {most} columns"


def _seam_cure(each: PieceAmounts) -> str:
    piece, wide = each.panel.piece, each.panel.repeat.columns
    around = piece.columns + piece.finish.overlap
    near = [count * wide - piece.finish.overlap for count in (around // wide, around // wide + 1) if count]
    return f"columns of {' or '.join(map(str, near))} close it with whole repeats"
