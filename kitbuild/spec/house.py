"""How the workshop works and prints, as the maker wrote it.

Units as in `records`. `at` finds the place of a value in its file.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from kitbuild.spec.packing import BoxType, Weighing
from kitbuild.spec.source import At
from kitbuild.spec.trade import Trade

EditionWord = Literal[
    "left", "large", "mono", "imposed", "left.large", "left.mono", "left.imposed", "large.mono",
    "mono.imposed", "left.large.mono", "left.mono.imposed",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class ThreadRules:
    """The house's handling of a needleful (mm), the use of remainders, and the share packed as spare.

    `spare_for` are the reasons for the spare.
    """

    needleful_mm: float
    start_tail_mm: float
    run_under_mm: float
    held_mm: float
    longest_run_mm: float
    least_remainder_mm: float
    spare_share: float
    park: bool
    spare_for: tuple[str, ...] = ("unpicking", "tension")


@dataclass(frozen=True, slots=True)
class Words:
    """The workshop's own words in a language: `sentences` by their ids, said otherwise than the catalogue's.

    `own` leads from texts of its other files to what stands for them in this language, `plurals` from their
    words for units to what is said of more than one, by plural category (CLDR).
    """

    language: str
    sentences: Mapping[str, str]
    own: Mapping[str, str]
    plurals: Mapping[str, Mapping[str, str]]
    at: At = field(repr=False, compare=False)


@dataclass(frozen=True, slots=True)
class LabelStock:
    """A sheet of labels in mm: how many, each one's size, where the first begins, the gaps between them."""

    columns: int
    rows: int
    width_mm: float
    height_mm: float
    left_mm: float
    top_mm: float
    gap_across_mm: float
    gap_down_mm: float


@dataclass(frozen=True, slots=True)
class Labels:
    """What labels are printed on, and the words for where kits are made ("" for none)."""

    paper: str = ""
    origin: str = ""
    box: LabelStock = LabelStock(2, 4, 99.1, 67.7, 4.6, 13.1, 2.5, 0)
    bundle: LabelStock = LabelStock(3, 8, 63.5, 33.9, 7.2, 12.9, 2.5, 0)


@dataclass(frozen=True, slots=True)
class House:
    """The workshop: who it is, how it counts, prints and costs.

    The first of `languages` and of `papers` is that of files with the plain name; `editions` are made beside
    the usual ones.
    """

    name: str
    address: tuple[str, ...]
    contact: str
    languages: tuple[str, ...]
    papers: tuple[str, ...]
    editions: tuple[EditionWord, ...]
    currency: str
    thread: ThreadRules
    longest_stitch_mm: Mapping[str, float]
    stitches_per_hour: float
    finish_stitches_per_hour: float
    packing_minutes: float
    packing_wage_minor: int
    booklet_cost_minor: int
    sheet_cost_minor: int
    printed_bin: str
    at: At = field(repr=False, compare=False)
    words: tuple[Words, ...] = ()
    labels: Labels = Labels()
    boxes: Mapping[str, BoxType] = field(default_factory=dict)
    weighing: Weighing | None = None
    booklet_weight_mg: int | None = None
    sheet_weight_mg: int | None = None
    trade: Trade = field(default_factory=Trade)

    @property
    def language(self) -> str:
        """The first language."""
        return self.languages[0]
