"""How sure the thread is: a low and a high beside what is expected, from the range of the passes."""

from __future__ import annotations

from dataclasses import dataclass, replace

from kitbuild.quantity.thread import Use
from kitbuild.quantity.trials import Finding
from kitbuild.spec.records import Kit, Trial


@dataclass(frozen=True, slots=True)
class Certainty:
    """One colour of the whole kit, for the hand that takes more: mm in stitches and edges, and needlefuls.

    `packed` is what the box holds in needlefuls. `trials` are the tests of this very colour.
    """

    use: Use
    low_mm: float
    high_mm: float
    low: int
    high: int
    trials: tuple[Trial, ...]

    @property
    def margin(self) -> int:
        """Needlefuls in the box beyond those expected."""
        return self.use.packed - self.use.needlefuls


def with_bend(kit: Kit, side: int) -> Kit:
    """The kit with all threads at the low (-1) or the high (1) end of what bending takes."""
    palette = []
    for colour in kit.palette:
        thread = colour.thread
        bend = max(0.0, thread.bend_mm + side * thread.bend_spread_mm)
        palette.append(replace(colour, thread=replace(thread, bend_mm=bend)))
    return replace(kit, palette=tuple(palette))


def certainties(
    expected: tuple[Use, ...], low: tuple[Use, ...], high: tuple[Use, ...], found: tuple[Finding, ...]
) -> tuple[Certainty, ...]:
    """One row for each colour that is worked with; what is expected lies between its low and its high.

    More thread in each stitch can lead to less in all: a needle that is begun anew saves the run to it.
    """
    return tuple(
        Certainty(
            use,
            min(least.length_mm, use.length_mm),
            max(most.length_mm, use.length_mm),
            min(least.needlefuls, use.needlefuls),
            max(most.needlefuls, use.needlefuls),
            tuple(one.trial for one in found if one.answer.colour == use.colour.key),
        )
        for use, least, most in zip(expected, low, high, strict=True)
    )
