"""Where a stitcher stops in the line and compares counts: at its turns, or after each ten stitches."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from kitbuild.documents.job import Job
from kitbuild.documents.line_groups import Group, groups_of, mixed_groups_of, turnings
from kitbuild.quantity.amounts import PieceAmounts

MOST_POINTS: Final = 12
"""Points at which the sheet says how many groups there should be by then."""


def untold_turns(job: Job, each: PieceAmounts) -> int:
    """Turning points beyond those that are told."""
    return max(0, len(turnings(groups_of(each.panel, job.hand))) - MOST_POINTS)


def check_points(job: Job, each: PieceAmounts) -> Iterator[str]:
    """How many groups and stitches there are at the first turning points, and at the line's end."""
    groups = groups_of(each.panel, job.hand)
    turns = turnings(groups)
    for turning in turns[:MOST_POINTS]:
        yield job.say(
            "begin.point",
            kind=turning.kind,
            number=sum(each.kind == turning.kind and each.groups <= turning.groups for each in turns),
            groups=turning.groups,
            stitches=turning.stitches,
            columns=sorted(turning.group.columns),
        )
    mixed = mixed_groups_of(each.panel, job.hand)
    yield from _tenths(job, mixed)
    if groups := groups if turns else mixed:
        stitches = sum(len(group.columns) for group in groups)
        yield job.say("begin.end_point", groups=len(groups), stitches=stitches)


def _tenths(job: Job, groups: tuple[Group, ...]) -> Iterator[str]:
    """Where a line of mixed lengths should stand after each ten stitches, or at the end of the group that has
    the tenth: groups, stitches, and how long and how high the last of them is.
    """
    done, told = 0, 0
    for at, group in enumerate(groups[:-1], 1):
        done += len(group.columns)
        if done // 10 > told and told < MOST_POINTS:
            told = done // 10
            yield job.say(
                "begin.mixed_point",
                column=group.columns[-1],
                groups=at,
                stitches=done,
                over=group.bottom - group.top,
                row=group.top,
            )
