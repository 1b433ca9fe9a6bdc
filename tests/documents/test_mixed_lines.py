"""Lines of mixed lengths: every group with its length and height, and counts to check against."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest

from kitbuild.documents.line_groups import groups_of, mixed_groups_of
from kitbuild.documents.words import line_stitches
from kitbuild.spec.records import Hand
from tests.documents.demo import document
from tests.documents.jobs import job_of
from tests.documents.texts import texts

BASE = job_of("CAIRN").amounts.pieces[0].panel
POINT = re.compile(
    r"after column (\d+) you have (\d+) groups, (\d+) stitches; the last one is over (\d+), "
    r"its upper end in hole \((\d+), (\d+)\)"
)


@pytest.mark.parametrize("hand", ["right", "left"])
def test_the_groups_are_all_stitches_in_order_of_work(hand: Hand) -> None:
    line, groups = line_stitches(BASE), mixed_groups_of(BASE, hand)
    told = [(x, group.top, group.bottom) for group in groups for x in group.columns]
    drawn = sorted(zip(line.x1.tolist(), line.y1.tolist(), line.y2.tolist(), strict=True))
    assert told == (drawn if hand == "right" else drawn[::-1])
    assert {group.bottom - group.top for group in groups} == {2, 5}
    assert groups_of(BASE, hand) == ()


@pytest.mark.parametrize(("name", "hand"), [("instructions", "right"), ("instructions.left", "left")])
def test_check_points_agree_with_the_stitches(name: str, hand: str) -> None:
    line = line_stitches(BASE)
    ends = {
        x: (y1, y2) for x, y1, y2 in zip(line.x1.tolist(), line.y1.tolist(), line.y2.tolist(), strict=True)
    }
    found = [match for text in texts(document("CAIRN", name)) if (match := POINT.fullmatch(text))]
    assert len(found) == 3
    for match in found:
        column, groups, stitches, over, x, row = map(int, match.groups())
        worked = sorted(ends, reverse=hand == "left")[:stitches]
        assert worked[-1] == column == x
        assert (ends[column][0], ends[column][1] - ends[column][0]) == (row, over)
        assert 1 + sum(ends[a] != ends[b] for a, b in pairwise(worked)) == groups
