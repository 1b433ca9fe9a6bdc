"""The points at which the line turns, each with the count of groups that leads to it."""

from __future__ import annotations

from collections.abc import Iterator

from kitbuild.base.blocks import Mark, PolygonMark, TextMark
from kitbuild.base.colour import BLACK, WHITE
from kitbuild.documents.chart_key import type_mm
from kitbuild.documents.chart_type import MM
from kitbuild.documents.job import Job
from kitbuild.documents.line_groups import Turning, groups_of, turnings
from kitbuild.documents.window import Window
from kitbuild.pattern.panel import Panel


def turn_marks(job: Job, panel: Panel, window: Window) -> Iterator[Mark]:
    """A number in a box at each turn, inside the angle: how many groups there are by then.

    Where a box would be wider than its group, it is left out.
    """
    for turning in turnings(groups_of(panel, job.hand)):
        yield from _box(window, turning, str(turning.groups))


def _box(window: Window, turning: Turning, text: str) -> Iterator[Mark]:
    place = {column: at for at, column in enumerate(window.columns.tolist(), 1)}
    shown = [place[column] for column in turning.group.columns if column in place]
    size, hole = window.sizes.number_pt, window.hole_mm
    wide, high = type_mm(text, size) + 0.5, size * MM * 1.25
    if len(shown) < len(turning.group.columns) or wide > len(shown) * hole:
        return
    x, count_mm = window.x_mm(sum(shown) / len(shown)), 0.9 + size * MM + 0.8
    if turning.kind == "peak":
        top = window.y_mm(turning.group.bottom) + hole / 2 + count_mm
    else:
        top = window.y_mm(turning.group.top) - hole / 2 - 0.6 - high
    if top < window.top_mm or top + high > window.foot_mm:
        return
    left, right, foot = x - wide / 2, x + wide / 2, top + high
    corners = ((left, top), (right, top), (right, foot), (left, foot))
    yield PolygonMark(corners, fill=WHITE, outline=BLACK, pen_mm=0.25)
    yield TextMark(x, foot - high * 0.22, text, size, "middle")
