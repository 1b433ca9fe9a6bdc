"""The proof names exactly the links that are wrong."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from kitbuild.pattern.proof import faults, is_straight
from kitbuild.spec.piece import Piece
from tests.pattern.builders import panel_of, piece, pieces


@given(pieces(most=40), st.data())
@settings(max_examples=60, deadline=None)
def test_faults_name_exactly_the_links_of_a_wrong_stitch(what: Piece, data: st.DataObject) -> None:
    panel = panel_of(what)
    stitches, rows = panel.stitches, what.rows
    at = data.draw(st.integers(0, len(stitches) - 1))
    x, first, last = (int(each[at]) for each in (stitches.x1, stitches.y1, stitches.y2))
    moves = [(up, down) for up, down in ((-1, 0), (0, 1), (-1, -1), (1, 1)) if first + up > 0]
    moves = [(up, down) for up, down in moves if last + down <= rows]
    move = data.draw(st.sampled_from(["remove", *moves]))
    kept = stitches.take(np.arange(len(stitches)) != at)
    if move == "remove":
        wrong, new = kept, (first, first)
    else:
        y1, y2 = stitches.y1.copy(), stitches.y2.copy()
        new = y1[at], y2[at] = first + move[0], last + move[1]
        wrong = replace(stitches, y1=y1, y2=y2)
    bare = {(x, y): 0 for y in set(range(first, last)) - set(range(*new))}
    double = {(x, y): 2 for y in set(range(*new)) - set(range(first, last))}
    found = faults(wrong, panel.cover)
    assert {(each.x, each.y): each.times for each in found} == bare | double
    assert bool(found) == bool(bare | double)
    assert all(each.wanted == 1 and not each.sideways for each in found)
    assert all(f"({x}, {each.y})" in str(each) for each in found)


def test_a_sideways_stitch_on_upright_work_is_a_fault() -> None:
    panel = panel_of(piece())
    work = panel.stitches
    crooked = replace(work, x2=np.where(np.arange(len(work)) == 0, work.x1 + 1, work.x2))
    assert not is_straight(crooked, panel.cover)
