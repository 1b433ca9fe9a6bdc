"""Diagrams of the needle's way: their numbers stand at the holes of the work order, for either hand."""

from __future__ import annotations

import csv
import io
import itertools
from dataclasses import replace

import numpy as np
import pytest

from kitbuild.base.blocks import Figure, LineMarks, PolygonMark, StitchMarks, TextMark
from kitbuild.build import make
from kitbuild.documents.drawing import for_hand
from kitbuild.documents.line_groups import groups_of, turnings
from kitbuild.documents.needle_diagrams import begun_together, shared_hole
from kitbuild.output.csv_text import render_csv
from kitbuild.spec.records import Kit
from tests.documents.demo import CODES, figures, kits
from tests.pattern.builders import line, panel_of, pattern, piece


def both_hands(kit: Kit) -> Kit:
    return replace(kit, house=replace(kit.house, editions=("left",), languages=("en",), papers=("A4",)))


MADE = {code: make(both_hands(kits()[code])) for code in CODES}


def rows_of(code: str, name: str) -> list[dict[str, str]]:
    listing = next(each for each in MADE[code].listings if each.name == name)
    return list(csv.DictReader(io.StringIO(render_csv(listing).decode("utf-8"))))


def figure(code: str, hand: str, begins: str) -> Figure:
    name = "instructions.left" if hand == "left" else "instructions"
    document = next(each for each in MADE[code].documents if each.name == name)
    return next(each for each in figures(document) if each.alt.startswith(begins))


def numbered(one: Figure, hole: float) -> dict[int, tuple[int, int]]:
    """Where each number stands, in holes of the figure's own grid."""
    marks = [mark for mark in one.marks if isinstance(mark, TextMark) and mark.text.isdigit()]
    discs = [mark for mark in one.marks if isinstance(mark, PolygonMark)]
    assert len(marks) == len(discs)
    found = {}
    for mark, disc in zip(marks, discs, strict=True):
        x, y = np.array(disc.points_mm).mean(axis=0)
        found[int(mark.text)] = (round(x / hole + 0.5), round(y / hole + 0.5))
    return found


@pytest.mark.parametrize("hand", ["right", "left"])
@pytest.mark.parametrize("code", CODES)
def test_numbers_stand_at_the_holes_of_the_work_order(code: str, hand: str) -> None:
    rows = rows_of(code, "work-order-left.csv" if hand == "left" else "work-order.csv")
    first = MADE[code].kit.pieces[0].key
    front = figure(code, hand, "The exercise from the front")
    hole = next(mark for mark in front.marks if isinstance(mark, StitchMarks)).hole_mm
    places = numbered(front, hole)
    rows = [row for row in rows if row["piece"] == first][: len(places) // 2]
    assert len(rows) == 10 or rows_ends_early(code, hand, len(rows))
    up = [(int(row["up_x"]), int(row["up_y"])) for row in rows]
    down = [(int(row["down_x"]), int(row["down_y"])) for row in rows]
    shift = np.array(up[0]) - np.array(places[1])
    for at, (one, other) in enumerate(zip(up, down, strict=True)):
        assert tuple(np.array(places[2 * at + 1]) + shift) == one
        assert tuple(np.array(places[2 * at + 2]) + shift) == other


def rows_ends_early(code: str, hand: str, count: int) -> bool:
    """Whether the work really begins with fewer than ten stitches in one go."""
    rows = rows_of(code, "work-order-left.csv" if hand == "left" else "work-order.csv")
    one, other = rows[count - 1], rows[count]
    return (one["colour"], one["row"], one["start"]) != (other["colour"], other["row"], other["start"]) or (
        begun_together(_order(code, hand), 10) == count
    )


def _order(code: str, hand: str):
    from kitbuild.build import amounts_of

    return amounts_of(kits()[code])[0].pieces[0].thread.works[hand].order


@pytest.mark.parametrize("code", CODES)
def test_the_back_is_the_front_seen_from_behind(code: str) -> None:
    front = figure(code, "right", "The exercise from the front")
    back = next(
        each
        for document in MADE[code].documents
        if document.name == "instructions"
        for each in figures(document)
        if each.alt.startswith("The same ")
    )
    hole = next(mark for mark in front.marks if isinstance(mark, StitchMarks)).hole_mm
    ahead, behind = numbered(front, hole), numbered(back, hole)
    columns = round(front.width_mm / hole)
    assert behind == {number: (columns + 1 - x, y) for number, (x, y) in ahead.items()}
    runs = next(mark for mark in back.marks if isinstance(mark, LineMarks) and mark.pen_mm == 1.7)
    for at, (x1, y1, x2, y2) in enumerate((runs.ends_mm / hole + 0.5).round().astype(int).tolist(), 1):
        assert (x1, y1) == behind[2 * at]
        assert (x2, y2) == behind[2 * at + 1]


@pytest.mark.parametrize("code", CODES)
@pytest.mark.parametrize("hand", ["right", "left"])
def test_the_shared_hole_is_an_end_of_two_stitches(code: str, hand: str) -> None:
    order = _order(code, hand)
    shared = shared_hole(order)
    assert shared is not None
    hole = (shared.x, shared.y)
    for ends in (shared.first, shared.second):
        assert hole in (ends[:2], ends[2:])
    assert shared.first != shared.second
    rows = rows_of(code, "stitches.csv")
    ends = [tuple(int(row[name]) for name in ("x1", "y1", "x2", "y2")) for row in rows]
    assert {shared.first, shared.second} <= set(ends)


def test_groups_and_turnings_of_a_known_zigzag() -> None:
    """Groups of two, four down and four up, the turn once: 12 columns a repeat, counted by hand."""
    what = piece(
        columns=26,
        rows=60,
        pattern=pattern("flame", 4, line(groups_of=2, step=2, down=4, up=4, turns="once")),
    )
    panel = panel_of(what)
    groups = groups_of(panel, "right")
    assert [len(group.columns) for group in groups] == [2] * 13
    found = turnings(groups)
    assert [(each.kind, each.groups, each.stitches) for each in found] == [
        ("valley", 4, 8),
        ("peak", 7, 14),
        ("valley", 10, 20),
    ]
    assert [each.group.columns for each in found] == [(7, 8), (13, 14), (19, 20)]
    mirrored = turnings(groups_of(panel, "left"))
    assert [(each.kind, each.groups) for each in mirrored] == [("valley", 4), ("peak", 7), ("valley", 10)]
    assert mirrored[0].group.columns == (20, 19)


def test_check_points_are_those_of_the_stitches() -> None:
    """Each number printed at a turning point agrees with stitches.csv, counted here from the left."""
    for code in ("WHIN", "HEATH"):
        first = MADE[code].kit.pieces[0].key
        line_ = sorted(
            (int(row["x1"]), int(row["y1"]))
            for row in rows_of(code, "stitches.csv")
            if row["piece"] == first and row["row"] == "0"
        )
        heights = [y for _, y in line_]
        groups = [1]
        for one, other in itertools.pairwise(heights):
            groups.append(groups[-1] + (one != other))
        document = next(each for each in MADE[code].documents if each.name == "instructions")
        points = [
            item
            for block in document.blocks
            for item in getattr(block, "items", ())
            if " you have " in item or item.startswith("at the end of the line")
        ]
        assert len(points) >= 3
        assert points[-1] == f"at the end of the line: {groups[-1]} groups, {len(line_)} stitches."


def test_mirrored_twice_is_the_same() -> None:
    class Left:
        left = True

    one = figure("WHIN", "right", "Overcast stitches")
    twice = for_hand(Left(), for_hand(Left(), one))  # type: ignore[arg-type]
    for a, b in zip(one.marks, twice.marks, strict=True):
        if isinstance(a, LineMarks):
            assert np.allclose(a.ends_mm, b.ends_mm)
        if isinstance(a, StitchMarks):
            assert np.allclose(a.x1, b.x1)
            assert np.allclose(a.origin_mm, b.origin_mm)
        if isinstance(a, TextMark):
            assert (a.x_mm, a.anchor) == (b.x_mm, b.anchor)


def test_the_left_sheet_shows_hands_mirrored() -> None:
    """The corner of the overcast edge is at the left for the right hand, at the right for the left."""
    right, left = (figure("WHIN", hand, "Overcast stitches") for hand in ("right", "left"))
    ends = [next(mark for mark in one.marks if isinstance(mark, LineMarks)).ends_mm for one in (right, left)]
    assert np.allclose(ends[1][:, 0], right.width_mm - ends[0][:, 0])
