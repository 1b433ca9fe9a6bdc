"""How a stitch looks, on paper and on the screen."""

from __future__ import annotations

from typing import Final

#: Share of the bar's breadth that a symbol fills.
SYMBOL_SHARE: Final = 0.66
#: Streaks on a shaded thread: where across the breadth (-0.5 to 0.5), lighter by, and breadth as a share.
STREAKS: Final = (
    (-0.33, -0.28, 0.10),
    (-0.16, 0.16, 0.09),
    (0.04, -0.12, 0.07),
    (0.19, 0.42, 0.11),
    (0.36, -0.16, 0.08),
)
