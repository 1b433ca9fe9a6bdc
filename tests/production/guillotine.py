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
