"""Outlines of shaped pieces: the first and last hole row of each column."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

Outline = tuple[tuple[int, int], ...]
_LOBES = 0.25
"""The height of a heart's lobes above its widest place, as a share of the whole (a drawing's choice)."""


def circle(columns: int, rows: int) -> Outline:
    """The round (or oval) of so many holes, alike on all sides; at least 2 columns and 2 hole rows."""
    import numpy as np

    arc = np.sqrt(1 - _across(columns) ** 2)
    half = rows / 2 * arc / arc.max()
    first = np.clip(np.ceil((rows + 1) / 2 - half).astype(np.int64), 1, rows // 2)
    return _outline(first, rows + 1 - first)


def heart(columns: int, rows: int) -> Outline:
    """A heart with its point down, left and right alike; at least 2 columns and 2 hole rows."""
    import numpy as np

    out = np.abs(_across(columns))
    lobe = _LOBES * (1 - np.sqrt(1 - (2 * out - 1) ** 2))
    point = 1 - (1 - _LOBES) * (1 - np.sqrt(1 - out))
    lobe, point = lobe - lobe.min(), point / point.max()
    first = np.clip(np.floor(lobe * rows).astype(np.int64) + 1, 1, rows - 1)
    last = np.clip(np.ceil(point * rows).astype(np.int64), first + 1, rows)
    return _outline(first, last)


def _across(columns: int) -> Floats:
    """Each column's place from -1 at the left edge to 1 at the right one, the middle of its hole."""
    import numpy as np

    return (2 * np.arange(1, columns + 1) - columns - 1) / columns


def _outline(first: Ints, last: Ints) -> Outline:
    return tuple(zip(first.tolist(), last.tolist(), strict=True))


SHAPES: Final[dict[str, Callable[[int, int], Outline]]] = {"round": circle, "heart": heart}
