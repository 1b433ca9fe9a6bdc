"""`python -m tests.bench.patterns`: the time to expand and prove a piece of each family, by size.

Times are the best of three runs in one process, in milliseconds; the ratio is to one numpy cumsum over as
many holes, measured in the same run. Charted work is the flame's own stitches given back as a chart.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from kitbuild.pattern.expand import coverage_problems, expand, pattern_problems, plain
from kitbuild.spec.piece import Piece
from tests.bench.timing import best_ms
from tests.pattern.builders import charted, kit, line, panel_of, pattern, piece

SIZES = (100, 300, 1000)
OF = line(groups_of=2, step=2, down=11, up=11, turns="once")
PATTERNS = (
    pattern("flame", 4, OF),
    pattern("scallop", 4, line(groups=["6x1", "3x2", "2x3", "1x4"], step=2, turns="once")),
    pattern("diamond", 4, OF),
    pattern("medallion", 4, OF, apart=7),
    pattern("ribbon", 4, OF, apart=6, shift=11),
    pattern("hungarian point", 4, OF, lengths=((6, 2), (2, 6))),
    pattern("four-way", 4, OF),
    pattern("flame", 2, OF),
)


def proven(what: Piece) -> None:
    """Expand a piece from nothing, with its repeat, and prove its cover."""
    plain.cache_clear()
    assert not list(pattern_problems(what))
    assert not list(coverage_problems(expand(kit(what), what)))


def cases(size: int) -> list[tuple[str, Piece]]:
    """A piece of every family, size x size holes; four-way one hole more."""
    odd = size + 1 - size % 2
    made = [
        (f"{work.family}, over {work.over}", piece(columns=wide, rows=wide, pattern=work))
        for work in PATTERNS
        for wide in [odd if work.family == "four-way" else size]
    ]
    drawn = panel_of(replace(made[0][1]))
    return [*made, ("charted", charted(drawn))]


def main() -> None:
    """Print one line a family and size."""
    for size in SIZES:
        field = np.ones((size, size), dtype=np.int64)
        base = best_ms(lambda field=field: field.cumsum(axis=0), 20)
        print(f"\n{size} x {size} holes; one numpy pass {base:.3f} ms")
        for name, what in cases(size):
            taken = best_ms(lambda what=what: proven(what))
            print(f"  {name:<26}{taken:9.1f} ms  {taken / base:9.0f} x")


if __name__ == "__main__":
    main()
