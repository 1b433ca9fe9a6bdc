"""A second look at a cut plan: whether a hand can cut it, straight from edge to edge."""

from __future__ import annotations

Box = tuple[int, int, int, int]
"""x, y, width, height in holes."""


def faults(boxes: list[Box], columns: int, rows: int, kerf: int) -> list[str]:
    """What is wrong with blanks on one sheet: outside, overlapping, or too close."""
    found = []
    for at, (x, y, wide, high) in enumerate(boxes):
        if x < 0 or y < 0 or wide < 1 or high < 1 or x + wide > columns or y + high > rows:
            found.append(f"blank {at} is outside the sheet")
        for other in boxes[at + 1 :]:
            across = max(x, other[0]) - min(x + wide, other[0] + other[2])
            down = max(y, other[1]) - min(y + high, other[1] + other[3])
            if max(across, down) < kerf:
                found.append(f"blank {at} and {other} are less than {kerf} apart")
    return found


def cuttable(boxes: list[Box]) -> bool:
    """Whether straight cuts through the whole of what is in hand free every blank, however many stages."""
    if len(boxes) <= 1:
        return True
    for side, length in ((0, 2), (1, 3)):
        ordered = sorted(boxes, key=lambda box: box[side])
        reached = 0
        for at, box in enumerate(ordered):
            if at and box[side] >= reached:
                return cuttable(ordered[:at]) and cuttable(ordered[at:])
            reached = max(reached, box[side] + box[length])
    return False


def in_stages(boxes: list[Box], columns: int, rows: int, stages: int) -> bool:
    """Whether so many stages of straight cuts, trimming counted, free every blank of a sheet."""
    return any(_freed(boxes, (0, 0, columns, rows), stages, side) for side in (0, 1))


def _freed(boxes: list[Box], hand: Box, stages: int, side: int) -> bool:
    """Whether what is in hand is cut into single blanks, first across `side` (0: cuts run down)."""
    if not boxes or (len(boxes) == 1 and boxes[0] == hand):
        return True
    if not stages:
        return False
    parts: list[list[Box]] = []
    reached = -1
    for box in sorted(boxes, key=lambda box: box[side]):
        if box[side] >= reached:
            parts.append([])
        parts[-1].append(box)
        reached = max(reached, box[side] + box[side + 2])
    for part in parts:
        begin = min(box[side] for box in part)
        length = max(box[side] + box[side + 2] for box in part) - begin
        cut = (begin, hand[1], length, hand[3]) if side == 0 else (hand[0], begin, hand[2], length)
        if not _freed(part, cut, stages - 1, 1 - side):
            return False
    return True


def cut_up(cuts: list[tuple[int, bool, int, int, int]], columns: int, rows: int, kerf: int) -> list[Box]:
    """What the cuts (stage, across, at, begin, end) leave in hand, made one after the other.

    Each must run from edge to edge of exactly one piece; odd stages run one way, even ones the other.
    """
    pieces: list[Box] = [(0, 0, columns, rows)]
    ways: dict[int, bool] = {}
    for stage, across, at, begin, end in cuts:
        assert ways.setdefault(stage, across) == across
        side = 1 if across else 0
        found = [
            box
            for box in pieces
            if box[side] < at < box[side] + box[side + 2]
            and (box[1 - side], box[1 - side] + box[3 - side]) == (begin, end)
        ]
        assert len(found) == 1, f"a cut runs through {len(found)} pieces"
        (x, y, wide, high) = found[0]
        pieces.remove(found[0])
        first = (x, y, at - x, high) if side == 0 else (x, y, wide, at - y)
        second = (
            (at + kerf, y, x + wide - at - kerf, high)
            if side == 0
            else (x, at + kerf, wide, y + high - at - kerf)
        )
        pieces += [box for box in (first, second) if box[2] > 0 and box[3] > 0]
    assert len({across == bool(stage % 2) for stage, across in ways.items()}) <= 1
    return pieces
