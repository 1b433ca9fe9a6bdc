"""Bar codes as marks: EAN-13 and EAN-8 from a checked number, QR from text, each with its quiet zones. mm.

Sizes of EAN-13 (GS1 General Specifications): X is 0.330 mm at 100 %, 95 X of bars, 11 X of quiet zone on the
left and 7 X on the right, bars 22.85 mm high, 25.93 mm with the digits; for retail 80 to 200 %.
Bars of EAN codes: ISO/IEC 15420. QR: ISO/IEC 18004, a quiet zone of 4 modules.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from typing import Final

import numpy as np

from kitbuild.base.blocks import LineMarks, Mark, TextMark
from kitbuild.base.colour import BLACK

X_MM: Final = 0.330
BARS_MM: Final = 22.85
HIGH_MM: Final = 25.93
LEAST, MOST = 0.80, 1.00
LEFT_X, RIGHT_X, EAN8_X = 11, 7, 7
QUIET_MODULES: Final = 4
LEAST_MODULE_MM: Final = 0.35

_L: Final = (
    *("0001101", "0011001", "0010011", "0111101", "0100011"),
    *("0110001", "0101111", "0111011", "0110111", "0001011"),
)
_R: Final = ["".join("10"[int(bit)] for bit in code) for code in _L]
_G: Final = [code[::-1] for code in _R]
_FIRST: Final = (
    *("LLLLLL", "LLGLGG", "LLGGLG", "LLGGGL", "LGLLGG"),
    *("LGGLLG", "LGGGLL", "LGLGLG", "LGLGGL", "LGGLGL"),
)


@dataclass(frozen=True, slots=True)
class Ean:
    """A bar code with its quiet zones at one magnification."""

    digits: str
    modules: str
    left_x: int
    right_x: int
    magnification: float

    @property
    def width_mm(self) -> float:
        """Width with both quiet zones."""
        return (len(self.modules) + self.left_x + self.right_x) * X_MM * self.magnification

    @property
    def height_mm(self) -> float:
        """Height with the digits below the bars."""
        return HIGH_MM * self.magnification


def ean(gtin: str, width_mm: float, height_mm: float) -> Ean | None:
    """The code of a GTIN as large as there is room for, from 80 % to 100 %; None where there is too little.

    ValueError where the check digit is wrong: that is never put right here.
    """
    from stdnum.ean import is_valid

    if not is_valid(gtin):
        raise ValueError(f"not a GTIN: {gtin}")
    whole = Ean(gtin, ean_modules(gtin), *((EAN8_X, EAN8_X) if len(gtin) == 8 else (LEFT_X, RIGHT_X)), 1.0)
    most = min(MOST, width_mm / whole.width_mm, height_mm / whole.height_mm)
    size = int(most * 20 + 1e-9) / 20
    return Ean(whole.digits, whole.modules, whole.left_x, whole.right_x, size) if size >= LEAST else None


def ean_modules(gtin: str) -> str:
    """Modules from left to right, 1 for a bar: 95 of an EAN-13, 67 of an EAN-8."""
    if len(gtin) == 8:
        left, right = "".join(_L[int(d)] for d in gtin[:4]), gtin[4:]
    else:
        gtin = gtin.zfill(13)
        ways = zip(gtin[1:7], _FIRST[int(gtin[0])], strict=True)
        left = "".join((_L if way == "L" else _G)[int(digit)] for digit, way in ways)
        right = gtin[7:]
    return f"101{left}01010{''.join(_R[int(digit)] for digit in right)}101"


def ean_marks(code: Ean, left_mm: float, top_mm: float) -> list[Mark]:
    """The bars and the digits below them; `left_mm` is where the left quiet zone begins."""
    x = X_MM * code.magnification
    begin, bottom = left_mm + code.left_x * x, top_mm + BARS_MM * code.magnification
    marks = _bars(code.modules, begin, x, top_mm, bottom)
    size_pt = 8.5 * code.magnification
    base = top_mm + HIGH_MM * code.magnification - 0.3
    marks.append(TextMark(begin + len(code.modules) * x / 2, base, code.digits, size_pt, "middle"))
    return marks


def _bars(modules: str, begin: float, x: float, top: float, bottom: float) -> list[Mark]:
    """Bars of one breadth drawn together, so that no hairline can part a bar."""
    ends: dict[int, list[tuple[float, float, float, float]]] = {}
    at = 0
    for bar, run in groupby(modules):
        many = len(list(run))
        if bar == "1":
            middle = begin + (at + many / 2) * x
            ends.setdefault(many, []).append((middle, top, middle, bottom))
        at += many
    return [LineMarks(np.array(lines), many * x, BLACK) for many, lines in sorted(ends.items())]


def qr_size_mm(text: str, room_mm: float) -> float | None:
    """The module of a QR code of `text` in a square with its quiet zone; None where it would be too fine."""
    module = room_mm / (len(_qr(text)) + 2 * QUIET_MODULES)
    return module if module >= LEAST_MODULE_MM else None


def qr_marks(text: str, left_mm: float, top_mm: float, module_mm: float) -> list[Mark]:
    """A QR code; `left_mm`, `top_mm` is the corner of its quiet zone."""
    lines = []
    for row, modules in enumerate(_qr(text)):
        y = top_mm + (QUIET_MODULES + row + 0.5) * module_mm
        at = 0
        for dark, run in groupby(modules):
            many = len(list(run))
            if dark:
                x = left_mm + (QUIET_MODULES + at) * module_mm
                lines.append((x, y, x + many * module_mm, y))
            at += many
    return [LineMarks(np.array(lines), module_mm, BLACK)]


def _qr(text: str) -> tuple[bytearray, ...]:
    """The modules; what is not plain ASCII says that it is UTF-8, so that no reader guesses otherwise."""
    import segno

    plain = text.isascii()
    return segno.make_qr(text, error="m", boost_error=False, encoding="utf-8", eci=not plain).matrix
