"""Which pages stand on which side of a folded sheet, so that the stack, folded once, is a booklet."""

from __future__ import annotations

Side = tuple[int, int]
"""The pages, from 1, on the left and the right half of one side of a sheet; 0 is an empty half."""


def folding_order(pages: int) -> tuple[Side, ...]:
    """The sides to print, front and back of each sheet by turns, the outer sheet first.

    The last page stands left of the first one, the second left of the last but one, and so on inwards. The
    count is filled up to a multiple of four with empty pages at the end.
    """
    whole = -(-pages // 4) * 4
    sides: list[Side] = []
    for low in range(1, whole // 2 + 1):
        high = whole + 1 - low
        left, right = (high, low) if low % 2 else (low, high)
        sides.append((left if left <= pages else 0, right if right <= pages else 0))
    return tuple(sides)
