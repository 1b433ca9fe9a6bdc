"""Which notes a box needs: from what is in it, what its pieces go round or serve as, and how it is worked.

Signal words follow the harm that could come of it (ANSI Z535.4, as quoted): warning, death or serious
injury; caution, minor or moderate injury; notice, no injury. Plain facts bear none. The words stand in the
wording catalogue under `caution.<id>`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, Literal

from kitbuild.spec.records import Kit

Severity = Literal["warning", "caution", "notice", "fact"]


@dataclass(frozen=True, slots=True)
class Hazard:
    """One rule of the table: a note, its severity, and when it is due."""

    id: str
    severity: Severity
    applies: Callable[[Kit], bool]


def materials_in(kit: Kit) -> frozenset[str]:
    """What the box and the objects that its pieces go round are made of."""
    made = {material for packed in kit.extras for material in packed.extra.made_of}
    made |= {piece.goes_round.made_of for piece in kit.pieces if piece.goes_round}
    return frozenset(made | {f"thread:{colour.thread.fibre}" for colour in kit.palette})


def hazards_in(kit: Kit) -> frozenset[str]:
    """Hazards that the materials state."""
    return frozenset(hazard for packed in kit.extras for hazard in packed.extra.hazards)


def _made_of(*materials: str) -> Callable[[Kit], bool]:
    return lambda kit: bool(materials_in(kit) & set(materials))


def _bears(*hazards: str) -> Callable[[Kit], bool]:
    return lambda kit: bool(hazards_in(kit) & set(hazards))


def _plastic(kit: Kit) -> bool:
    return any(piece.canvas.weave == "plastic" for piece in kit.pieces)


def _used_as(use: str) -> Callable[[Kit], bool]:
    return lambda kit: any(piece.use == use for piece in kit.pieces)


def _always(kit: Kit) -> bool:
    return True


#: Citations: needle and small parts, 16 CFR 1500.48 and 1501.4 (published: sharp points; the cylinder, which
#: every common tapestry needle fits, derived); the other rows are common practice, no source.
HAZARDS: Final[tuple[Hazard, ...]] = (
    Hazard("magnet", "warning", _bears("magnet")),
    Hazard("small_parts", "warning", _always),
    Hazard("flame", "warning", _bears("flame")),
    Hazard("sharp_points", "caution", _always),
    Hazard("plastic_stubs", "caution", _plastic),
    Hazard("glass", "caution", lambda kit: _made_of("glass")(kit) or _bears("glass")(kit)),
    Hazard("cut_metal", "caution", lambda kit: _made_of("metal")(kit) or _bears("sharp edge")(kit)),
    Hazard("no_heat", "notice", _plastic),
    Hazard("hot_pans", "notice", _used_as("coaster")),
    Hazard("bleed", "notice", _always),
    Hazard("wool", "fact", _made_of("wool", "thread:wool")),
    Hazard("moth", "fact", _made_of("wool", "thread:wool")),
    Hazard("nickel", "fact", _always),
)


def notes(kit: Kit) -> tuple[Hazard, ...]:
    """The notes that a kit's sheet prints, most severe first."""
    return tuple(hazard for hazard in HAZARDS if hazard.applies(kit))
