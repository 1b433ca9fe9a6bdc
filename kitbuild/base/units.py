"""Lengths, money and the only rounding.

Conversions are exact by definition: the inch is 25.4 mm and the yard 0.9144 m
(international yard and pound agreement, 1959).
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from typing import Final

MM_PER: Final[dict[str, Fraction]] = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "in": Fraction(254, 10),
    "ft": Fraction(3048, 10),
    "yd": Fraction(9144, 10),
}
#: Units that the thickness of films is told in besides: a thousandth of an inch, and of a millimetre.
FILM_MM_PER: Final = {**MM_PER, "mil": Fraction(254, 10_000), "um": Fraction(1, 1000)}
MM_PER_INCH: Final = 25.4
#: Milligrams; the ounce is a sixteenth of the pound, 0.453 592 37 kg (the same agreement of 1959).
MG_PER: Final[dict[str, Fraction]] = {
    "g": Fraction(1000),
    "mg": Fraction(1),
    "kg": Fraction(1_000_000),
    "oz": Fraction(45_359_237, 1600),
}
POINTS_PER_MM: Final = 72 / 25.4

_NUMBER = r"(?:\d+\s+\d+/\d+|\d+/\d+|\d+(?:\.\d+)?|\.\d+)"
_LENGTH = re.compile(rf"({_NUMBER})\s*([A-Za-z]+)")

#: Digits after the point, by ISO 4217 code, where it is not two (ISO 4217:2015 table A.1, recalled).
_MINOR_DIGITS: Final[dict[str, int]] = {
    **dict.fromkeys(("JPY", "KRW", "CLP", "ISK", "VND"), 0),
    **dict.fromkeys(("KWD", "BHD", "OMR", "JOD", "TND"), 3),
    "CLF": 4,
}


def fraction(text: str) -> Fraction:
    """A number as people write it: `38`, `2.5`, `1/2`, `1 1/2`. ValueError for anything else."""
    if not re.fullmatch(_NUMBER, text.strip()):
        raise ValueError(f"not a number: {text!r}")
    try:
        return sum((Fraction(part) for part in text.split()), Fraction(0))
    except ZeroDivisionError:
        raise ValueError(f"not a number: {text!r}") from None


def length_mm(text: str) -> float:
    """A written length in millimetres; ValueError when there is no number or no known unit."""
    return float(exact_mm(text))


def exact_mm(text: str, units: Mapping[str, Fraction] = MM_PER) -> Fraction:
    """A written length in millimetres to the last digit, for what is compared with a limit of the law."""
    match = _LENGTH.fullmatch(text.strip())
    if not match or match[2] not in units:
        raise ValueError(f"not a length: {text!r}")
    return fraction(match[1]) * units[match[2]]


def minor_digits(currency: str) -> int:
    """Digits after the point of a currency, by its ISO 4217 code."""
    return _MINOR_DIGITS.get(currency, 2)


def money_minor(text: str, currency: str) -> int:
    """A written amount in whole minor units; ValueError for more digits than the currency has."""
    digits = minor_digits(currency)
    if not re.fullmatch(r"\d+(\.\d+)?", text.strip()):
        raise ValueError(f"not an amount: {text!r}")
    amount = Decimal(text.strip()).scaleb(digits)
    if amount != amount.to_integral_value():
        raise ValueError(f"{currency} has {digits} digits after the point: {text!r}")
    return int(amount)


def money_text(minor: int, currency: str) -> str:
    """Minor units as an amount with the currency's digits: `12.50 EUR`."""
    digits = minor_digits(currency)
    return f"{Decimal(minor).scaleb(-digits):.{digits}f} {currency}"


def round_half_up(value: float, digits: int = 0) -> Decimal:
    """`value` to `digits` decimals, halves away from zero, from its shortest decimal form."""
    step = Decimal(1).scaleb(-digits)
    return Decimal(repr(float(value))).quantize(step, rounding=ROUND_HALF_UP)


def mm2(value_mm: float) -> float:
    """Hundredths of a millimetre: the precision of every length that is summed or written."""
    return round(float(value_mm), 2)


def down(value: float) -> int:
    """Whole units that `value` is sure to hold; a hair's breadth of float error is forgiven."""
    return math.floor(value + 1e-9)


def up(value: float) -> int:
    """Whole units that are sure to hold `value`; a hair's breadth of float error is forgiven."""
    return math.ceil(value - 1e-9)


def inches_text(value_mm: float) -> str:
    """Inches as a rule shows them: to the sixteenth, from 8 in on the eighth, from 24 in on the quarter."""
    parts = 16 if value_mm < 8 * MM_PER_INCH else 8 if value_mm < 24 * MM_PER_INCH else 4
    whole, rest = divmod(int(round_half_up(value_mm / MM_PER_INCH * parts)), parts)
    if not rest:
        return f"{whole} in"
    part = Fraction(rest, parts)
    text = f"{part.numerator}/{part.denominator}"
    return f"{whole} {text} in" if whole else f"{text} in"


def metric_parts(value_mm: float) -> tuple[Decimal, str]:
    """Number and unit: tenths of a mm below 2 cm, mm below 10 cm, cm to a mm below 2 m, m to a cm above."""
    if value_mm < 100:
        return round_half_up(value_mm, 1 if value_mm < 20 else 0), "mm"
    if value_mm < 2000:
        return round_half_up(value_mm / 10, 1), "cm"
    return round_half_up(value_mm / 1000, 2), "m"


def metric_text(value_mm: float) -> str:
    """A length as `metric_parts` rounds it: `7.6 cm`."""
    number, unit = metric_parts(value_mm)
    return f"{_trim(number)} {unit}"


def about_mm(value_mm: float) -> Decimal:
    """A length that hands judge by eye, to half a centimetre, in mm."""
    return round_half_up(value_mm / 5) * 5


def about_inches(value_mm: float) -> float:
    """The same to a quarter inch, in mm."""
    return float(round_half_up(value_mm / MM_PER_INCH * 4)) * MM_PER_INCH / 4


def _trim(number: Decimal) -> str:
    """A decimal without the zeros that say nothing."""
    return f"{number:f}".rstrip("0").rstrip(".") if "." in f"{number:f}" else f"{number:f}"
