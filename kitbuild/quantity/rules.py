"""What is judged from quantities: a flat list of small rules."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

from kitbuild.base.problem import Problem
from kitbuild.base.units import metric_text, up
from kitbuild.quantity.amounts import Amounts, PieceAmounts
from kitbuild.quantity.sizes import SleeveFit, columns_that_fit
from kitbuild.quantity.trials import LIKELY, POSSIBLE, counts
from kitbuild.spec.piece import Piece
from kitbuild.spec.records import Kit

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
                kit.thread_at("needleful"),
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


def pitch_is_measured_where_it_must_fit(amounts: Amounts) -> Iterator[Problem]:
    """A nominal count can be some hundredths out, and a ring or a box side of it millimetres."""
    for each in amounts.pieces:
        piece = each.panel.piece
        if piece.finish.kind in ("sleeve", "box") and not piece.canvas.measured:
            yield Problem(
                piece.at("canvas"),
                "KB504",
                f"the {piece.finish.kind}'s size rests on the nominal count of {piece.canvas.key}",
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


#: Tapestry needle sizes by count, both ends included, from the trade's tables: 5 to 24 (published, one
#: needle guide), 14 and 18 (published, a class guide), and what is sold beside them (common practice).
NEEDLES: Final[tuple[tuple[float, float, tuple[int, ...]], ...]] = (
    (5, 8, (13,)),
    (8, 10, (16,)),
    (10, 12, (18,)),
    (12, 15, (20,)),
    (16, 20, (22,)),
    (22, 24, (24,)),
    (7, 7, (16, 18)),
    (10, 10, (16, 17, 18)),
    (12, 12, (18, 19, 20)),
    (14, 14, (20, 21, 22, 23, 24)),
)
LEAST_BORDER_MM: Final = 38.0
"""Bare woven canvas to hold while stitching: 1.5 in (published range 1.5 in to 8 cm)."""
THICKNESS_SHARE: Final = (0.4, 1.0)
"""Thread thickness as a share of the pitch that covers without crowding (common practice, no source)."""
NEEDLEFUL_MM: Final = (450.0, 510.0, 765.0)
"""Shortest; longest on 10 count and finer (18 to 20 in, published); longest on coarser canvas (30 in,
common practice)."""


def usual_needles(count: float) -> tuple[int, ...]:
    """The needle sizes that the tables name for a count; of the nearest band where none names it."""
    named = {size for low, high, sizes in NEEDLES if low <= count <= high for size in sizes}
    if not named:
        nearest = min(NEEDLES, key=lambda band: min(abs(count - band[0]), abs(count - band[1])))
        named = set(nearest[2])
    return tuple(sorted(named))


def needles_suit_the_canvas(amounts: Amounts) -> Iterator[Problem]:
    """A needle that is too thick splays the bars, one too thin wears the thread."""
    counts = sorted({piece.canvas.count for piece in amounts.kit.pieces})
    usual = {size for count in counts for size in usual_needles(count)}
    for packed in amounts.kit.needles:
        if packed.needle.size not in usual:
            named = " and ".join(f"{count:g}" for count in counts)
            yield Problem(
                packed.at.key(),
                "KB507",
                f"needle size {packed.needle.size} is unusual for {named} count",
                f"usual are {', '.join(map(str, sorted(usual)))}",
                warning=True,
            )


def threads_suit_the_canvas(amounts: Amounts) -> Iterator[Problem]:
    """Too thin a thread leaves bars showing, too thick a one crowds the holes."""
    low, high = THICKNESS_SHARE
    for piece in amounts.kit.pieces:
        pitch = piece.canvas.pitch_mm
        for colour in amounts.kit.palette:
            thread = colour.thread
            share = thread.thickness_mm / pitch
            if colour.key in piece.pattern.colours and not low <= share <= high:
                state = "thin" if share < low else "thick"
                yield Problem(
                    colour.at("thread"),
                    "KB508",
                    f"{thread.key} ({thread.thickness_mm:g} mm) is {state} for {piece.canvas.key}",
                    f"for holes {pitch:.2f} mm apart use {low * pitch:.1f} to {high * pitch:.1f} mm",
                    warning=True,
                )


def border_leaves_room_to_hold(amounts: Amounts) -> Iterator[Problem]:
    """Woven canvas needs a bare border to hold while stitching."""
    for piece in amounts.kit.pieces:
        if piece.canvas.weave == "woven" and piece.finish.border_mm < LEAST_BORDER_MM:
            yield Problem(
                piece.at("finish", "border"),
                "KB509",
                f"a border of {piece.finish.border_mm:g} mm is too narrow to hold",
                f"use {LEAST_BORDER_MM:g} mm or more",
                warning=True,
            )


def needleful_is_usual(amounts: Amounts) -> Iterator[Problem]:
    """Longer needlefuls tangle and wear thin, short ones waste their tails."""
    least, fine, coarse = NEEDLEFUL_MM
    finest = max(piece.canvas.count for piece in amounts.kit.pieces)
    most = fine if finest >= 10 else coarse
    length = amounts.kit.house.thread.needleful_mm
    if not least <= length <= most:
        state = "short" if length < least else "long"
        yield Problem(
            amounts.kit.thread_at("needleful"),
            "KB510",
            f"a needleful of {length / 10:g} cm is unusually {state} for {finest:g} count",
            f"use {least / 10:g} to {most / 10:g} cm; a kit may state its own needleful",
            warning=True,
        )


def tests_count(amounts: Amounts) -> Iterator[Problem]:
    """A test stitch of another edition, or of other stitches, says nothing of this kit."""
    kit, panels = amounts.kit, {each.panel.piece.key: each.panel for each in amounts.pieces}
    for trial in kit.trials:
        if counts(kit, trial, panels[trial.piece]):
            continue
        if trial.edition != kit.edition:
            place = trial.at("edition")
            message = f"a test of edition {trial.edition} does not count for edition {kit.edition}"
        else:
            place = trial.at("thread")
            message = f"the test of {trial.piece} does not count: its stitches are not those of the kit"
        yield Problem(place, "KB514", message, "test it again, or take the file out", warning=True)


def tests_are_likely(amounts: Amounts) -> Iterator[Problem]:
    """Thread far from the model is a slip of the pen, or canvas and thread are not as stated."""
    for one in amounts.found:
        for (least, most), warning in ((POSSIBLE, False), (LIKELY, True)):
            if not least <= one.pull <= most:
                told = f"{metric_text(one.measured_mm)} in stitches, {one.pull:.2f} times the"
                if one.measured_mm <= 0:
                    told = f"{metric_text(one.answer.used_mm)} is less than tails and fastenings take, with"
                yield Problem(
                    one.answer.at("used"),
                    "KB515",
                    f"{one.answer.colour}: {told} {metric_text(one.model_mm)} expected in stitches",
                    "check the answer and its unit, the canvas's thickness and the thread's bend",
                    warning=warning,
                )
                break


def box_holds_the_high_need(amounts: Amounts) -> Iterator[Problem]:
    """Who pulls less tightly needs more: the box must hold that too."""
    for each in amounts.sure:
        use = each.use
        if each.high > use.packed:
            share = up(100 * (each.high - use.needlefuls) / use.needlefuls)
            yield Problem(
                amounts.kit.thread_at("spare"),
                "KB516",
                f"{use.colour.key} may take {each.high} needlefuls, the box holds {use.packed}",
                f"raise `spare` to {share} % or more",
                warning=True,
            )


def needlefuls_hold_what_tests_found(amounts: Amounts) -> Iterator[Problem]:
    """As `needleful_holds_a_stitch`, with the thread that test stitches found."""
    yield from needleful_holds_a_stitch(amounts.kit) if amounts.found else ()


BEFORE: Final[tuple[KitRule, ...]] = (needleful_holds_a_stitch, put_up_holds_a_needleful)
AFTER: Final[tuple[Rule, ...]] = (
    sleeve_fits,
    pitch_is_measured_where_it_must_fit,
    sleeve_is_not_taller_than_its_object,
    pattern_meets_at_the_seam,
    needles_suit_the_canvas,
    threads_suit_the_canvas,
    border_leaves_room_to_hold,
    needleful_is_usual,
    tests_count,
    tests_are_likely,
    box_holds_the_high_need,
    needlefuls_hold_what_tests_found,
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
    threads = [colour.thread for colour in kit.palette]
    bend = max(thread.bend_mm + thread.bend_spread_mm for thread in threads)
    pull = max(thread.pull for thread in threads)
    front = (max(*piece.pattern.overs, 2 * piece.finish.overlap + 3) + 1) * canvas.pitch_mm
    run = max(kit.house.thread.longest_run_mm, canvas.pitch_mm)
    return pull * (front + run + 4 * canvas.thickness_mm + bend)


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
