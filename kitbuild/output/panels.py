"""The panels that carry signal words, on paper and on the screen."""

from __future__ import annotations

from typing import Final

from kitbuild.base.colour import Rgb

#: Panel colour of each class (ANSI Z535.4: red, orange, yellow, blue) and of its words.
PANELS: Final[dict[str, tuple[Rgb, Rgb]]] = {
    "danger": ((200, 16, 46), (255, 255, 255)),
    "warning": ((255, 130, 0), (0, 0, 0)),
    "caution": ((255, 209, 0), (0, 0, 0)),
    "notice": ((0, 70, 150), (255, 255, 255)),
}
