"""Step numbers that run on through a whole sheet."""

from __future__ import annotations

from collections.abc import Mapping

from kitbuild.base.blocks import Steps


class Numbers:
    """Step numbers that run on through the sheet, and the number that each kind of step first had."""

    def __init__(self) -> None:
        self.next = 1
        self.of: dict[str, int] = {}
        self.drawn: set[str] = set()

    def steps(self, items: Mapping[str, str]) -> Steps:
        """A numbered list that carries on from the last; the keys name the kinds of its steps."""
        block = Steps(tuple(items.values()), first=self.next)
        for kind in items:
            self.of.setdefault(kind, self.next)
            self.next += 1
        return block

    def after(self, items: Mapping[str, str]) -> dict[str, int]:
        """The numbers that the next steps will have."""
        return {kind: self.next + at for at, kind in enumerate(items)}

    def draws(self, kind: str) -> bool:
        """Whether this kind of picture comes for the first time."""
        fresh = kind not in self.drawn
        self.drawn.add(kind)
        return fresh
