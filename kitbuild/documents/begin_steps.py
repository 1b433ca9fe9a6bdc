"""The steps up to the line: thread, a first exercise, canvas, first stitches, the line and its counts."""

from __future__ import annotations

from collections.abc import Iterator

from kitbuild.base.blocks import Block, Grid, Heading, Steps
from kitbuild.documents.check_points import check_points, untold_turns
from kitbuild.documents.job import Job
from kitbuild.documents.line_groups import groups_of, mixed_groups_of, turnings
from kitbuild.documents.line_words import line_words
from kitbuild.documents.needle_diagrams import (
    EXERCISE,
    begun_together,
    exercise_back,
    exercise_front,
    first_path,
    needle_path,
    shown_stitches,
    turn,
    two_groups,
)
from kitbuild.documents.numbering import Numbers
from kitbuild.documents.order_table import Turn, turns
from kitbuild.documents.start_hole import first_way, start_hole, start_hole_text
from kitbuild.documents.words import (
    holes_text,
    is_sideways,
    line_count,
    line_kind,
    line_stitches,
    lines_together,
    listed,
    size_text,
)
from kitbuild.quantity.amounts import PieceAmounts
from kitbuild.quantity.order import Order


def canvas_steps(job: Job, each: PieceAmounts) -> dict[str, str]:
    """Check the blank, and mark its top."""
    values = _canvas_values(job, each)
    weave = each.panel.piece.canvas.weave
    return {kind: job.say(f"canvas.{kind}.{weave}", **values) for kind in ("check", "top")}


def _first_holes(job: Job, each: PieceAmounts) -> dict[str, str]:
    """A scrap of thread at hole (1, 1), and the start hole: what is counted from the edge comes first."""
    weave = each.panel.piece.canvas.weave
    scrap = job.say(f"canvas.first_hole.{weave}", **_canvas_values(job, each))
    start = start_hole_text(job, each)
    woven = weave == "woven"
    return {"start": start, "scrap": scrap} if woven else {"scrap": scrap, "start": start}


def _canvas_values(job: Job, each: PieceAmounts) -> dict[str, object]:
    sizes, piece = each.sizes, each.panel.piece
    work = each.panel.stitches
    x, y = start_hole(job, each)
    return {
        "piece": job.own(piece.title),
        "copies": piece.copies,
        "holes": holes_text(job, sizes.blank),
        "lengths": size_text(job, sizes.blank),
        "blank": sizes.blank,
        "border_columns": sizes.border[0],
        "border_rows": sizes.border[1],
        "shaped": bool(piece.outline),
        "stitched": bool(((work.x1 == 1) & (work.y1 == 1)).any()),
        "left": x - 1,
        "above": y - 1,
    }


def needle_steps(job: Job) -> dict[str, str]:
    """Cut or take a needleful, thread it, know its two ends."""
    rules, say = job.kit.house.thread, job.say
    strands = max(colour.thread.strands for colour in job.kit.palette)
    cut = _packed(job, "needlefuls")
    needles = say("list.joiner").join(job.own(packed.needle.title) for packed in job.kit.needles)
    first = job.amounts.pieces[0]
    return {
        "cut": say(
            "needle.cut",
            colour=_first_colour(job, job.order(first)),
            needleful=rules.needleful_mm,
            strands=strands,
            cut=listed(job, cut),
            cut_count=len(cut),
            whole=listed(job, _packed(job, "put-ups")),
        ),
        "thread": say("needle.thread", needles=needles),
        "ends": say("needle.ends"),
    }


def _packed(job: Job, how: str) -> list[str]:
    """The colours that lie in the box as put-ups, or as needlefuls."""
    return [job.own(use.colour.name) for use in job.amounts.uses if use.colour.thread.packed == how]


def exercise(job: Job, each: PieceAmounts, numbers: Numbers) -> Iterator[Block]:
    """The first stitches of the work, tried out and drawn out again, with pictures of front and back."""
    say, order = job.say, job.order(each)
    count = begun_together(order, EXERCISE)
    over, rules = int(each.panel.stitches.length()[order.stitch[0]]), job.kit.house.thread
    values = {
        "stitches": count,
        "over": over,
        "way": first_way(order),
        "alike": _alike(order, count),
        "tail": rules.start_tail_mm,
        "colour": _first_colour(job, order),
        "weave": each.panel.piece.canvas.weave,
        "border": min(each.sizes.border) >= first_path(order, count).rows - 2,
        "piece": job.own(each.panel.piece.title),
    }
    yield Heading(2, say("exercise.heading", **values))
    steps = {name: say(f"exercise.{name}", **values) for name in ("where", "tail", "follow", "back", "out")}
    yield numbers.steps({"try_where": steps.pop("where")})
    yield Grid((0.5, 0.5), ((exercise_front(job, each),), (exercise_back(job, each),)))
    yield numbers.steps({f"try_{name}": text for name, text in steps.items()})


def _alike(order: Order, count: int) -> bool:
    """Whether the first stitches are all of one length and go one way."""
    lengths = order.panel.stitches.length()[order.stitch[:count]]
    return len(set(lengths.tolist())) == 1 and len(set(order.turned[:count].tolist())) == 1


def begin(job: Job, each: PieceAmounts, numbers: Numbers, *, first: bool) -> Iterator[Block]:
    """Start without a knot, the stitch with this kit's counts, the needle's way, the line."""
    say = job.say
    yield Heading(2, say("begin.heading", kind=line_kind(each.panel)))
    yield numbers.steps(_first_holes(job, each) | _first_stitch_steps(job, each, numbers, first=first))
    if not first or begun_together(job.order(each), EXERCISE) < shown_stitches(job.order(each)):
        yield needle_path(job, each)
    kind = line_kind(each.panel)
    parts = line_words(job, each)
    sideways = is_sideways(line_stitches(each.panel))
    told = {"kind": kind, "sideways": sideways, "left": job.left}
    yield numbers.steps({"line": say("begin.line", **told)})
    yield Steps(parts, "dot")
    yield from _groups(job, each)
    points = tuple(check_points(job, each))
    mixed, more = mixed_groups_of(each.panel, job.hand), untold_turns(job, each)
    stop = say("begin.mixed_points" if mixed else "begin.points", listed=bool(points), more=more)
    yield numbers.steps({"points": stop})
    if points:
        yield Steps(points, "tick")
    lines = {"lines": lines_text} if (lines_text := _other_lines(job, each)) else {}
    told_once = "left" in job.kit.house.editions and not first
    hand = {} if told_once else {"hand": _hand(job, each, first=first)}
    if steps := lines | hand:
        yield numbers.steps(steps)


def _other_lines(job: Job, each: PieceAmounts) -> str:
    """How the other lines of a ring pattern follow the first, each with its hole and its direction."""
    lines = line_count(each.panel)
    if lines < 2:
        return ""
    following = turns(job.work(each))[1:lines] if lines_together(each.panel) else ()
    told = [_line_told(job, each, turn) for turn in following]
    return job.say("begin.lines", lines=lines, told=told)


def _line_told(job: Job, each: PieceAmounts, turn: Turn) -> str:
    """One line: its colour, where the needle first comes up, to which side it goes, and its count."""
    colour, first = job.own(job.kit.palette[turn.colour].name), turn.areas[0]
    groups = groups_of(each.panel, job.hand, turn.courses[0])
    return job.say(
        "begin.next_line",
        colour=colour,
        x=first.x,
        y=first.y,
        down_x=first.down[0],
        down_y=first.down[1],
        against=first.against,
        leftwards=turn.areas[-1].last < first.x,
        groups=len(groups),
        stitches=turn.stitches,
    )


def _hand(job: Job, each: PieceAmounts, *, first: bool) -> str:
    """What the other hand has to know of this piece, or on a sheet of its own whose sheet it is."""
    right_x, right_y, _, _ = each.thread.works["right"].order.holes()
    left_x, left_y, _, _ = each.thread.works["left"].order.holes()
    x, y = (right_x, right_y) if job.left else (left_x, left_y)
    own_sheet = "left" in job.kit.house.editions
    return job.say("begin.hand", x=int(x[0]), y=int(y[0]), first=first, left=job.left, own_sheet=own_sheet)


def _groups(job: Job, each: PieceAmounts) -> Iterator[Block]:
    """The first two groups and the first turn as pictures, where the line has such."""
    groups = groups_of(each.panel, job.hand) or mixed_groups_of(each.panel, job.hand)
    turns = turnings(groups_of(each.panel, job.hand))
    figures = [two_groups(job, each, groups)] if len(groups) > 1 else []
    figures += [turn(job, each, turns[0])] if turns else []
    if figures:
        yield Grid((0.5, 0.5), tuple((figure,) for figure in figures) + (() if len(figures) > 1 else ((),)))


def _first_colour(job: Job, order: Order) -> str:
    return job.own(job.kit.palette[int(order.panel.stitches.colour[order.stitch[0]])].name)


def _first_stitch_steps(job: Job, each: PieceAmounts, numbers: Numbers, *, first: bool) -> dict[str, str]:
    """The tail, the first stitch, and the needle's way in the line."""
    say, order = job.say, job.order(each)
    colour = _first_colour(job, order)
    over = int(each.panel.stitches.length()[order.stitch[0]])
    overs = each.panel.piece.pattern.overs
    usual = overs[0] if len(overs) == 1 and over != overs[0] else 0
    stitch = say("begin.stitch", over=over, way=first_way(order), next=_next_place(order), usual=usual)
    across = (
        {"sideways": say("policy.sideways", left=job.left)} if is_sideways(line_stitches(each.panel)) else {}
    )
    if not first:
        return {"again": say("begin.as_before", colour=colour, steps=numbers.of), "stitch": stitch} | across
    return {
        "tail": say("begin.tail", tail=job.kit.house.thread.start_tail_mm, colour=colour),
        "stitch": stitch,
        "way": say(f"policy.{policy(job)}.line"),
    } | (across | turned(job, line=True))


def turned(job: Job, *, line: bool) -> dict[str, str]:
    """What turns a stitch against the policy, where the order of some piece has such a stitch.

    It is told with the first `line` where that has one, else with the other rows.
    """
    orders = [job.order(each) for each in job.amounts.pieces]
    in_line = bool(orders[0].against[orders[0].turn == 0].any())
    if line != in_line or not any(order.forced for order in orders):
        return {}
    rules = job.kit.house.thread
    return {"turned": job.say("policy.turned", longest=rules.longest_run_mm, parked=rules.park)}


def policy(job: Job) -> str:
    """The kit's policy as sentences name it."""
    return job.kit.policy.replace(" ", "_")


def _next_place(order: Order) -> str:
    """On which side of the first stitch the second one stands; "" where it has no neighbour there."""
    work = order.panel.stitches.take(order.stitch[:2])
    across, below = (int(ends[-1] - ends[0]) for ends in (work.x1, work.y1))
    if work.x1[0] == work.x2[0] and abs(across) == 1:
        return "right" if across > 0 else "left"
    if work.x1[0] != work.x2[0] and abs(below) == 1:
        return "below" if below > 0 else "above"
    return ""
