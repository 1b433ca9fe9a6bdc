"""One passing line on a terminal: how far the work is, and on which kits."""

from __future__ import annotations

import sys
import time
from typing import Final, TextIO

AFTER_S: Final = 1.0
"""Work that takes less shows nothing."""


class Progress:
    """Counts kits; it writes to a terminal alone, and takes its line away before anything else is told."""

    def __init__(self, total: int, stream: TextIO = sys.stderr) -> None:
        self._stream, self._total, self._done = stream, total, 0
        self._at_work: list[str] = []
        self._since, self._shown = time.monotonic(), False
        self._terminal = stream.isatty()

    def begun(self, name: str) -> None:
        """A kit is at work."""
        self._at_work.append(name)
        self._show()

    def ended(self, name: str) -> None:
        """A kit is done."""
        self._done += 1
        self._at_work.remove(name)
        self._show()

    def clear(self) -> None:
        """Take the line away."""
        if self._shown:
            self._stream.write("\r\x1b[K")
            self._stream.flush()
            self._shown = False

    def _show(self) -> None:
        if self._terminal and time.monotonic() - self._since >= AFTER_S:
            self._stream.write(f"\r\x1b[K{self._done} of {self._total} kits, at {', '.join(self._at_work)}")
            self._stream.flush()
            self._shown = True
