"""The order of work as the sheet tells it: its table, the needle's path, and steps that refer to others."""

from __future__ import annotations

import re

import numpy as np
import pytest

from kitbuild.base.blocks import Heading, LineMarks, Patch, Steps, Table
from kitbuild.build import amounts_of, make
from kitbuild.documents.needle_diagrams import EXERCISE, begun_together, shown_stitches
from kitbuild.documents.order_table import MOST_AREAS, turns
from kitbuild.quantity.amounts import PieceAmounts
from tests.documents.demo import branches, document, figures, kits, made

PIECES = [(code, piece.title) for code, kit in kits().items() for piece in kit.pieces]


def piece_of(code: str, title: str) -> PieceAmounts:
    (found,) = (each for each in amounts_of(kits()[code])[0].pieces if each.panel.piece.title == title)
    return found


@pytest.mark.parametrize(("code", "title"), PIECES)
def test_each_turn_is_of_one_colour(code: str, title: str) -> None:
    work = piece_of(code, title).thread.works["right"]
    stitch, at = work.order.panel.stitches.take(work.order.stitch), 0
    up_x, up_y, down_x, down_y = work.order.holes()
    for turn in turns(work):
        part = stitch.take(np.arange(at, at + turn.stitches))
        assert tuple(sorted(set(part.course.tolist()))) == turn.courses
        assert tuple(sorted(set(part.row.tolist()))) == turn.rows
        assert set(part.colour.tolist()) == {turn.colour}
        assert set((part.x1 != part.x2).tolist()) == {turn.sideways}
        for area in turn.areas:
            along = (stitch.y1 if turn.sideways else stitch.x1)[at : at + area.stitches]
            assert (area.x, area.y, area.last) == (up_x[at], up_y[at], along[-1])
            assert set(np.abs(np.diff(along)).tolist()) <= {1}
            assert len(set(np.sign(np.diff(along)).tolist())) <= 1
            at += area.stitches
        assert turn.down == (down_x[at - 1], down_y[at - 1])
    assert at == len(stitch)


@pytest.mark.parametrize(("code", "title"), PIECES)
def test_the_table_names_every_turn_apart(code: str, title: str) -> None:
    """No two lines of the table say the same; each stretch is told, those of sideways turns by hole rows."""
    tables = [block for block in document(code, "instructions").blocks if isinstance(block, Table)]
    (table,) = (each for each in tables if f"Order of work for one {title}" in each.caption)
    found = turns(piece_of(code, title).thread.works["right"])
    rows = [tuple(cell.text if isinstance(cell, Patch) else cell for cell in row) for row in table.rows]
    assert len({row[1:4] for row in rows}) == len(rows) >= len(found)
    for row, turn in zip(rows, found, strict=False):
        told = str(row[3]).split("; ")
        kept = [*turn.areas[: MOST_AREAS - 1], turn.areas[-1]] if len(turn.areas) > MOST_AREAS else turn.areas
        if len(turn.areas) > MOST_AREAS:
            assert told.pop(-2).startswith(str(len(turn.areas) - MOST_AREAS))
        for text, area in zip(told, kept, strict=True):
            last = (str(area.last),) if area.stitches > 1 else ()
            assert re.findall(r"\d+", text) == [str(area.x), str(area.y), *last]
            assert ("row" in text) == (turn.sideways and area.stitches > 1)
        assert re.findall(r"\d+", str(row[4])) == [str(hole) for hole in turn.down]


def test_quarters_are_named_where_they_stand() -> None:
    panel = piece_of("WINDS", "Mat").panel
    middle = (panel.cover.columns + 1) / 2
    (table,) = (
        block
        for block in document("WINDS", "instructions").blocks
        if isinstance(block, Table) and "Order of work" in block.caption
    )
    seen = set()
    for row in table.rows[:-1]:
        x, y = (int(number) - middle for number in re.findall(r"\d+", str(row[3]))[:2])
        sides = {"right" if x > 0 else "left"} if abs(x) >= abs(y) else set()
        sides |= {"lower" if y > 0 else "upper"} if abs(y) >= abs(x) else set()
        (side,) = (each for each in sides if str(row[1]).startswith(f"{each} quarter: "))
        seen.add(side)
    assert len(seen) == 4


@pytest.mark.parametrize("code", sorted({code for code, _ in PIECES}))
def test_dashes_lead_on_only_within_one_start(code: str) -> None:
    """The needle's path shows stitches of one colour, and a run on the back where the thread goes on."""
    pieces = amounts_of(kits()[code])[0].pieces
    paths = [f for f in figures(document(code, "instructions")) if f.alt.startswith("The needle's path")]
    first = pieces[0].thread.works["right"].order
    tried = begun_together(first, EXERCISE) >= shown_stitches(first)
    for each, figure in zip(pieces[tried:], paths, strict=True):
        order = each.thread.works["right"].order
        shown = shown_stitches(order)
        assert len(set(each.panel.stitches.colour[order.stitch[:shown]].tolist())) == 1
        (dashes,) = (mark for mark in figure.marks if isinstance(mark, LineMarks) and mark.dash_mm)
        assert len(dashes.ends_mm) == int((order.previous[:shown] >= 0).sum())


def test_later_pieces_refer_to_steps_of_the_first() -> None:
    """What is alike for all pieces is said once; the numbers that later pieces name are those steps'."""
    for kit in ("CAIRN", "ROWAN"):
        blocks = made(kit).documents[1].blocks
        heads = [block.text for block in blocks if isinstance(block, Heading)]
        for once in ("Thread the needle", "When the thread runs short: fasten off, start again"):
            assert heads.count(once) == 1
        steps = {
            at: item
            for block in blocks
            if isinstance(block, Steps) and block.marker == "number"
            for at, item in enumerate(block.items, block.first)
        }
        assert sorted(steps) == list(range(1, len(steps) + 1))
        (begin,) = (item for item in steps.values() if "thread it as in steps" in item)
        (rows,) = (item for item in steps.values() if "The needle goes the way that steps" in item)
        cut, ends, tail, way = (steps[int(number)] for number in re.findall(r"\d+", begin))
        assert cut.startswith("Cut a needleful")
        assert "Make no knot" in ends
        assert "leave a tail" in tail
        assert "upper end" in way
        onwards, other, end, table, off, twist = (steps[int(number)] for number in re.findall(r"\d+", rows))
        assert other.startswith("Some stitches go the other way")
        assert "finished stitch is split" in onwards or "Choose the way" in onwards
        assert end.startswith("At the end of a row")
        assert table.startswith("The table gives")
        assert off.startswith("Stop when")
        assert twist.startswith("If the thread twists")


def test_work_that_lies_sideways_throughout_is_told_sideways() -> None:
    kit, warnings = branches()["ACROSS"]
    booklet, sheet = make(kit, warnings).documents[:2]
    told = [item for block in sheet.blocks if isinstance(block, Steps) for item in block.items]
    assert sum("4 bars to the right, 5 holes" in item for item in told) == 1
    assert sum(item.startswith("In sideways stitches read left") for item in told) == 2
    assert sum("on this canvas run the thread under about 20 stitches" in item for item in told) == 1
    assert any(figure.alt.startswith("Chart of the line alone of the Band") for figure in figures(booklet))
