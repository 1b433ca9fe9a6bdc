"""Film bags: whose opening and film ask for a warning, and in which size of type. All limits are exact.

Rhode Island: opening above 5 in across and film below 0.001 in; bold type by length plus width (published).
California: thin film, large enough for a child's head. Its limits are our own reading of that: film below
0.001 in as well, and an opening of 4 in or more, which is 32 cm round, as the head of a small newborn child.
A bag with a smaller opening goes over no head.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from kitbuild.base.units import MM_PER
from kitbuild.spec.materials import Bag

_INCH: Final = MM_PER["in"]
THIN_MM: Final = _INCH / 1000
RHODE_ISLAND_MM: Final = 5 * _INCH
HEAD_MM: Final = 4 * _INCH
REPORTED_MM: Final = 7 * _INCH
"""Massachusetts and New York, as a law firm reports."""

#: Pi to fifty digits: no width that can be written comes as near to a limit as its error.
_PI: Final = Fraction(314159265358979323846264338327950288419716939937510, 10**50)
#: Length plus width in inches below which a size of type is enough, and the size of all larger bags.
_TYPE: Final = ((30, 10), (40, 14), (60, 18))
_LARGEST_TYPE: Final = 24


def opening_mm(bag: Bag) -> Fraction:
    """The diameter of a bag's opening; a flat width is half of its way round."""
    if bag.opening_mm is not None:
        return bag.opening_mm
    return 2 * (bag.flat_width_mm or Fraction(0)) / _PI


def asks_rhode_island(bag: Bag) -> bool:
    """Whether the bag must bear the words of Rhode Island."""
    return bag.thickness_mm < THIN_MM and opening_mm(bag) > RHODE_ISLAND_MM


def asks_california(bag: Bag) -> bool:
    """Whether the bag is of thin film and goes over a child's head."""
    return bag.thickness_mm < THIN_MM and opening_mm(bag) >= HEAD_MM


def is_reported_elsewhere(bag: Bag) -> bool:
    """Whether the bag is of thin film and as wide as other states are reported to ask about."""
    return bag.thickness_mm < THIN_MM and opening_mm(bag) >= REPORTED_MM


def type_points(bag: Bag) -> int:
    """The least size of the bold type that Rhode Island asks for, by the bag's length plus width."""
    around = (bag.length_mm + bag.width_mm) / _INCH
    return next((points for below, points in _TYPE if around < below), _LARGEST_TYPE)
