"""Which notes a box needs: from what is in it, what its pieces go round or serve as, and for whom it is.

Signal words follow the harm that could come of it (ANSI Z535.4, as quoted): warning, death or serious
injury; caution, minor or moderate injury; notice, no injury. Plain facts bear none. A statute's own words
come before ours. Our words stand in the wording catalogue under `caution.<id>`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Final, Literal

from kitbuild.production.bags import asks_california, asks_rhode_island, type_points
from kitbuild.production.box import ADULT, TOY_UNDER, Box, box_of
from kitbuild.production.statutes import (
    BAG_RHODE_ISLAND,
    SHARP_POINTS,
    SMALL_PARTS,
    SMALL_PARTS_EU,
    SMALL_PARTS_US,
    Label,
    Statute,
)
from kitbuild.spec.records import Kit

Severity = Literal["warning", "caution", "notice", "fact"]
Values = Mapping[str, object]
NO_VALUES: Final[Values] = MappingProxyType({})

#: Hazard words, materials and fibres, each with the notes that name it; those with none need none.
WORDS: Final[Mapping[str, Mapping[str, tuple[str, ...]]]] = MappingProxyType(
    {
        "hazard": {
            "sharp point": ("sharp_points",),
            "scissors": ("sharp_points",),
            "sharp edge": ("cut_metal",),
            "glass": ("glass",),
            "magnet": ("magnet",),
            "small parts": ("small_parts",),
            "flame": ("flame",),
        },
        "material": {
            "glass": ("glass",),
            "metal": ("nickel",),
            "wool": ("wool", "moth"),
            **dict.fromkeys(("wood", "card", "paper", "plastic", "textile"), ()),
        },
        "fibre": {
            **dict.fromkeys(("wool", "silk"), ("wool", "moth")),
            **dict.fromkeys(("cotton", "linen", "acrylic", "other"), ()),
        },
    }
)


@dataclass(frozen=True, slots=True)
class Hazard:
    """One rule of the table: a note, its severity, when it is due, and where that is from.

    `values` are what its sentence inserts. `checked` says that the maker has to look the rule up, as with all
    that are recalled: it, or its words, were not read in the source. `reasons` follow a statute's words.
    """

    id: str
    severity: Severity
    applies: Callable[[Box], bool]
    citation: str = ""
    label: Label = "common practice"
    values: Callable[[Box], Values] = lambda box: NO_VALUES
    checked: bool = False
    statute: Statute | None = None
    reasons: Callable[[Box], tuple[str, ...]] = lambda box: ()
    points: Callable[[Box], int] = lambda box: 0


@dataclass(frozen=True, slots=True)
class Note:
    """A note that a kit's sheet prints.

    `statutory` are words of the law, to be printed as they are; "" where the catalogue speaks, with `values`.
    `points` is the least size of type that the law asks for, 0 where it asks for none.
    """

    id: str
    severity: Severity
    citation: str
    label: Label
    checked: bool
    values: Values = field(default_factory=lambda: NO_VALUES, hash=False)
    statutory: str = ""
    points: int = 0


def _always(box: Box) -> bool:
    return True


def _bears(*hazards: str) -> Callable[[Box], bool]:
    return lambda box: bool(box.hazards & set(hazards))


def _animal(box: Box) -> bool:
    return bool(_animal_fibres(box))


def _animal_fibres(box: Box) -> frozenset[str]:
    return (box.fibres | box.materials) & {"wool", "silk"}


def _animal_values(box: Box) -> Values:
    return {name: name in _animal_fibres(box) for name in ("wool", "silk")}


def _swallowed(box: Box) -> Values:
    """What can be swallowed, whether the kit is for adults, and whether it is for no child at all."""
    children = box.age >= TOY_UNDER
    return {"needles": box.needles, "parts": box.small_parts, "adult": box.age >= ADULT, "older": children}


def _pointed(box: Box) -> Values:
    return {"scissors": "scissors" in box.hazards, "others": "sharp point" in box.hazards}


def _us_toy(box: Box) -> bool:
    return box.toy and 3 <= box.age < 6 and box.fits


def _eu_toy(box: Box) -> bool:
    return box.toy and 3 <= box.age < TOY_UNDER


def _eu_reasons(box: Box) -> tuple[str, ...]:
    return (*([SMALL_PARTS] if box.fits else ()), SHARP_POINTS)


def _ri_points(box: Box) -> int:
    return max(type_points(bag) for bag in box.bags if asks_rhode_island(bag))


#: All rules, the most severe first. Those of common practice have a source only for the matter itself.
HAZARDS: Final[tuple[Hazard, ...]] = (
    Hazard("small_parts_us", "warning", _us_toy, *SMALL_PARTS_US.source, statute=SMALL_PARTS_US),
    Hazard(
        "small_parts_eu",
        "warning",
        _eu_toy,
        *SMALL_PARTS_EU.source,
        statute=SMALL_PARTS_EU,
        reasons=_eu_reasons,
    ),
    Hazard(
        "bag_us",
        "warning",
        lambda box: any(map(asks_rhode_island, box.bags)),
        *BAG_RHODE_ISLAND.source,
        statute=BAG_RHODE_ISLAND,
        points=_ri_points,
    ),
    Hazard("magnet", "warning", _bears("magnet"), "16 CFR 1262; ASTM F963", "published"),
    Hazard("small_parts", "warning", _always, "16 CFR 1501.4", values=_swallowed),
    Hazard(
        "flame",
        "warning",
        lambda box: box.covers or "flame" in box.hazards,
        "EN 15494:2007; ASTM F2058",
    ),
    Hazard(
        "bag_ca",
        "caution",
        lambda box: any(map(asks_california, box.bags)),
        "Cal. Bus. & Prof. Code 22200",
        "published",
        checked=True,
    ),
    Hazard("sharp_points", "caution", _always, "16 CFR 1500.48(b)(2)", "published", values=_pointed),
    Hazard("plastic_stubs", "caution", lambda box: box.plastic),
    Hazard(
        "glass",
        "caution",
        lambda box: "glass" in box.hazards | box.materials,
        "EN 71-1 4.5; 16 CFR 1500.49",
    ),
    Hazard(
        "cut_metal",
        "caution",
        lambda box: "metal" in box.covered or "sharp edge" in box.hazards,
        "16 CFR 1500.49",
        values=lambda box: {"metal": "metal" in box.covered},
    ),
    Hazard("no_heat", "notice", lambda box: box.plastic),
    Hazard("hot_pans", "notice", lambda box: "coaster" in box.uses),
    Hazard(
        "bleed",
        "notice",
        lambda box: not box.colours_tested,
        "ISO 105-A02, A03, C06, E01, X12",
        values=lambda box: {"wool": "wool" in box.fibres},
        checked=True,
    ),
    Hazard("wool", "fact", _animal, values=_animal_values),
    Hazard("moth", "fact", _animal, values=_animal_values),
    Hazard("nickel", "fact", _always, "REACH Annex XVII entry 27", "published"),
)


def notes(kit: Kit) -> tuple[Note, ...]:
    """The notes that a kit's sheet prints, most severe first."""
    box = box_of(kit)
    return tuple(_note(hazard, box) for hazard in HAZARDS if hazard.applies(box))


def _note(hazard: Hazard, box: Box) -> Note:
    statute = hazard.statute
    return Note(
        id=hazard.id,
        severity=hazard.severity,
        citation=hazard.citation,
        label=hazard.label,
        checked=hazard.checked or hazard.label == "recalled",
        values=MappingProxyType(dict(hazard.values(box))),
        statutory=" ".join((statute.words, *hazard.reasons(box))) if statute else "",
        points=hazard.points(box),
    )
