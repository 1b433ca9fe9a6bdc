"""The line that is laid first, as a stitcher would say it: group by group, in runs of like ones."""

from __future__ import annotations

from dataclasses import replace
from itertools import groupby

from kitbuild.documents.job import Job
from kitbuild.documents.words import line_kind
from kitbuild.pattern.panel import Panel
from kitbuild.spec.piece import Line


def line_parts(job: Job, panel: Panel) -> tuple[str, ...]:
    """The line as a stitcher would say it, from the hand's side on: one end, one repeat, the other."""
    repeat, line = panel.repeat, panel.piece.pattern.line
    if line is None or line_kind(panel) in ("four-way", "charted") or not _as_stated(panel, line):
        return ()
    near, far, names = repeat.left, repeat.right, ("left", "repeat", "right")
    if job.left:
        near, far, names, line = far, near, names[::-1], _from_the_right(line)
    whole = repeat.count * repeat.columns
    spans = ((-near, 0), (0, repeat.columns if repeat.count else 0), (whole, whole + far))
    last = panel.cover.columns + 1
    return tuple(
        job.say(
            f"line.{name}",
            first=last - (start + near + 1) if job.left else start + near + 1,
            last=last - (end + near) if job.left else end + near,
            count=repeat.count,
            runs=_runs_text(
                job, line, start, end, begins=start == -near, again=name == "repeat" and repeat.count > 1
            ),
        )
        for name, (start, end) in zip(names, spans, strict=True)
        if end > start
    )


def _from_the_right(line: Line) -> Line:
    """The line read from right to left: each group as far above the one before as that was below it."""
    groups = line.groups[::-1]
    drops = [line.groups[0].drop, *(group.drop for group in groups[:-1])]
    turned = tuple(replace(group, drop=-drop) for group, drop in zip(groups, drops, strict=True))
    return replace(line, groups=turned, drift=-line.drift)


def _as_stated(panel: Panel, line: Line) -> bool:
    """Whether the repeat that was found is the line's own, and the ends are those that were stated."""
    pattern, repeat = panel.piece.pattern, panel.repeat
    wide = sum(group.stitches for group in line.groups)
    return repeat.columns == wide and repeat.left == pattern.left


def line_text(job: Job, line: Line | None) -> str:
    """One repeat of the line, group by group; a dash for charted work."""
    if line is None:
        return job.say("line.none")
    return _runs_text(job, line, 0, sum(group.stitches for group in line.groups), begins=True, again=True)


def _runs_text(job: Job, line: Line, start: int, end: int, *, begins: bool, again: bool) -> str:
    """Columns `start` to `end` (counted from a repeat's first, from 0) in runs of like groups.

    Where the work `begins` here, the first group stands by itself; else it is told from the one before.
    `again` says that a further repeat follows, whose first group has then to be told.
    """
    groups = _groups_between(line, start, end)
    words = [job.say("line.first", stitches=groups[0][0])] if begins else []
    later = groupby(groups[1:] if begins else groups)
    words += [_run(job, stitches, drop, len(list(same))) for (stitches, drop), same in later]
    if begins and again:
        drop = line.groups[0].drop
        words.append(job.say("line.again", drop=abs(drop), way=_way(drop)))
    return job.say("list.joiner").join(words)


def _groups_between(line: Line, start: int, end: int) -> list[tuple[int, int]]:
    """Stitches and drop of each group, or part of one, in a stretch of columns."""
    place = [at for at, group in enumerate(line.groups) for _ in range(group.stitches)]
    wide = len(place)
    keys = [(column // wide, place[column % wide]) for column in range(start, end)]
    return [(len(list(same)), line.groups[at].drop) for (_, at), same in groupby(keys)]


def _run(job: Job, stitches: int, drop: int, groups: int) -> str:
    return job.say("line.run", groups=groups, stitches=stitches, drop=abs(drop), way=_way(drop))


def _way(drop: int) -> str:
    return "down" if drop > 0 else "up" if drop < 0 else "level"
