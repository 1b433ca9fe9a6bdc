"""A picture without paper: coloured quadrilaterals in millimetres, on nothing."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, slots=True, eq=False)
class Scene:
    """Four-cornered faces in painter's order, with what they show in words.

    `quads` is (n, 4, 2), x and y of the corners in mm from the upper left; `rgb` is (n, 3).
    """

    alt: str
    language: str
    width_mm: float
    height_mm: float
    quads: NDArray[np.float64]
    rgb: NDArray[np.uint8]
