"""How much work a plan may take: counted, so that a slow or a busy machine finds what a quick one finds."""

from __future__ import annotations

import time
from typing import Literal

Ended = Literal["", "work", "clock"]


class Effort:
    """What is left of the work, in steps that took some 12 microseconds where they were measured.

    `seconds` of the processor are a rope for machines on which the steps take very much longer: a plan that
    they end may come out otherwise elsewhere, and `ended` says so.
    """

    def __init__(self, work: int, seconds: float) -> None:
        self._left, self._end = float(work), time.thread_time() + seconds
        self.ended: Ended = ""

    def again(self, work: int) -> Effort:
        """So much work more, on the same rope."""
        return Effort(work, self.seconds())

    def spend(self, steps: float) -> None:
        """Count work that was done."""
        self._left -= steps

    def seconds(self) -> float:
        """How much of the rope is left."""
        return max(0.0, self._end - time.thread_time())

    def out(self) -> bool:
        """Whether nothing more may begin."""
        if not self.ended and not self.seconds():
            self.ended = "clock"
        if not self.ended and self._left <= 0:
            self.ended = "work"
        return bool(self.ended)
