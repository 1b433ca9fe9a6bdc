"""What an age grade, a toy or a bag asks of the maker: lines to check, for the proof alone.

They are no notes for the customer: they ask for tests, certificates, or words on the box itself. Sentences
stand in the wording catalogue under `check.<id>`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Final

from kitbuild.production.bags import asks_california, asks_rhode_island, is_reported_elsewhere, type_points
from kitbuild.production.box import TOY_UNDER, Box, box_of
from kitbuild.production.cautions import NO_VALUES, Values
from kitbuild.production.small_parts import is_small_ball
from kitbuild.production.statutes import Label
from kitbuild.spec.records import Kit


@dataclass(frozen=True, slots=True)
class Duty:
    """One rule: when it is due, where it stands, and what its sentence inserts."""

    id: str
    applies: Callable[[Box], bool]
    citation: str
    label: Label = "published"
    values: Callable[[Box], Values] = lambda box: NO_VALUES


@dataclass(frozen=True, slots=True)
class Check:
    """A line for the maker to check."""

    id: str
    citation: str
    label: Label
    values: Values = field(default_factory=lambda: NO_VALUES, hash=False)


def _from(least: int, below: int, *also: Callable[[Box], bool]) -> Callable[[Box], bool]:
    """An age grade of `least` and more, but under `below`; and all of `also`."""
    return lambda box: least <= box.age < below and all(each(box) for each in also)


def _toy(box: Box) -> bool:
    return box.toy


def _fits(box: Box) -> bool:
    return box.fits


def _small_balls(box: Box) -> bool:
    return any(map(is_small_ball, box.parts))


def _thin_bag(box: Box) -> bool:
    return any(map(asks_california, box.bags))


def _bag_values(box: Box) -> Values:
    """The size of type where words are prescribed, 0 where none are, and whether other states may ask."""
    points = [type_points(bag) for bag in box.bags if asks_rhode_island(bag)]
    return {"points": max(points, default=0), "reported": any(map(is_reported_elsewhere, box.bags))}


DUTIES: Final[tuple[Duty, ...]] = (
    Duty("small_parts_ban", _from(0, 3), "16 CFR 1500.18(a)(9), 1501.2(a)"),
    Duty("small_parts_label", _from(3, 6, _toy, _fits), "16 CFR 1500.19(b)(1)"),
    Duty("small_balls", _from(3, 8, _toy, _small_balls), "16 CFR 1500.19"),
    Duty("points_under_8", _from(0, 8), "16 CFR 1500.48, 1500.49"),
    Duty("childrens_product", _from(0, 13), "15 USC 2063(a)(5)"),
    Duty("toy_eu", _from(0, TOY_UNDER, _toy), "Directive 2009/48/EC art. 2(1)"),
    Duty(
        "points_eu",
        _from(0, TOY_UNDER, _toy),
        "EN 71-1:2014 4.7 d, 4.8, 7.6",
        values=lambda box: {"allowed": box.age >= 3},
    ),
    Duty(
        "sizes",
        _from(0, TOY_UNDER, _toy, lambda box: bool(box.unsized)),
        "16 CFR 1501.4",
        "recalled",
        lambda box: {"names": box.unsized},
    ),
    Duty("bag", _thin_bag, "RI Gen. Laws 11-9-16(c); Cal. Bus. & Prof. Code 22200", values=_bag_values),
)


def checks(kit: Kit) -> tuple[Check, ...]:
    """The lines that a kit's proof shows."""
    box = box_of(kit)
    return tuple(
        Check(duty.id, duty.citation, duty.label, MappingProxyType(dict(duty.values(box))))
        for duty in DUTIES
        if duty.applies(box)
    )
