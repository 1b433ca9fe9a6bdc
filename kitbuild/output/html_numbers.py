"""Numbers as SVG wants them: short, in thousandths at most, never in exponents."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from kitbuild.base.blocks import Floats


def short(value: float) -> str:
    """A number with at most three decimals and no noughts at its end; never -0."""
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def joined(values: Iterable[float]) -> str:
    """Numbers with a space between them."""
    return " ".join(map(short, values))


def track(x: Floats, y: Floats) -> str:
    """A path that visits all points in their order, told by the steps between them; "" for none."""
    if not len(x):
        return ""
    whole_x, whole_y = (np.rint(part * 1000).astype(np.int64) for part in (x, y))
    steps = np.column_stack([np.diff(whole_x, prepend=0), np.diff(whole_y, prepend=0)])
    kinds, which = np.unique(steps, axis=0, return_inverse=True)
    words = [_step(dx / 1000, dy / 1000) for dx, dy in kinds.tolist()]
    return "m" + " ".join([words[at] for at in which.ravel().tolist()])


def _step(dx: float, dy: float) -> str:
    across, down = short(dx), short(dy)
    return f"{across}{down}" if down.startswith("-") else f"{across} {down}"
