"""Words that the law prescribes: printed to the letter, in English, whatever the language of the sheet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

Label = Literal["published", "common practice", "recalled"]
"""How sure a rule is: read in its source, a habit of the trade, or quoted from memory."""
STATUTES_SPEAK: Final = "en"


@dataclass(frozen=True, slots=True)
class Statute:
    """A wording, where it is prescribed, and whether it was read there."""

    words: str
    citation: str
    label: Label

    @property
    def source(self) -> tuple[str, Label]:
        """Where it stands, and whether it was read there."""
        return self.citation, self.label


SMALL_PARTS_US: Final = Statute(
    "WARNING: CHOKING HAZARD--Small parts. Not for children under 3 yrs.",
    "16 CFR 1500.19(b)(1)",
    "recalled",
)
BAG_RHODE_ISLAND: Final = Statute(
    "WARNING: Keep this bag away from babies and children. Do not use in cribs, beds, carriages, or "
    "playpens. The thin film may cling to nose and mouth and prevent breathing.",
    "RI Gen. Laws 11-9-16(b)",
    "published",
)
SMALL_PARTS_EU: Final = Statute(
    "Warning. Not suitable for children under 36 months.",
    "Directive 2009/48/EC Annex V part B(1)",
    "recalled",
)
#: The short reasons that the directive asks for after its words; they are ours.
SMALL_PARTS, SHARP_POINTS = "Small parts.", "Sharp points."
