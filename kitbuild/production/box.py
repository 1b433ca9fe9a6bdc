"""What of a kit could hurt: the words of its materials and objects, its age grade, its small parts."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from kitbuild.base.problem import Place
from kitbuild.production.small_parts import fits
from kitbuild.spec.materials import Bag, Extra, Part
from kitbuild.spec.records import Kit

ADULT: Final = 18
TOY_UNDER: Final = 14
"""Toys in EU law are for play by children under 14: Directive 2009/48/EC art. 2(1)."""
UNCOUNTED: Final = frozenset({"paper", "textile", "wool"})


@dataclass(frozen=True, slots=True)
class Box:
    """A kit as the rules for cautions see it.

    `hazards` and `materials` are those of the extras and of the objects that pieces go round, `covered` the
    materials of the objects alone. `age` is the least age in years. `needles` says whether a needle fits the
    small-parts cylinder, `small_parts` whether anything else does. `covers` says whether a piece is a textile
    cover, a shade or a lantern. `unsized` are the titles of extras of which no part is measured.
    """

    hazards: frozenset[str]
    materials: frozenset[str]
    covered: frozenset[str]
    fibres: frozenset[str]
    uses: frozenset[str]
    plastic: bool
    covers: bool
    colours_tested: bool
    age: int
    toy: bool
    needles: bool
    small_parts: bool
    parts: tuple[Part, ...]
    unsized: tuple[str, ...]
    bags: tuple[Bag, ...]

    @property
    def fits(self) -> bool:
        """Whether anything at all fits the small-parts cylinder."""
        return self.needles or self.small_parts


def least_age(kit: Kit) -> int:
    """The age grade as the least age in years."""
    return ADULT if kit.age_grade == "adult" else int(kit.age_grade.removesuffix(" years"))


def is_toy(kit: Kit) -> bool:
    """Whether a kit counts as a toy or game: as the maker says, else by its age grade."""
    return kit.toy if kit.toy is not None else least_age(kit) < TOY_UNDER


def box_of(kit: Kit) -> Box:
    """What the rules look at."""
    objects = [piece.goes_round for piece in kit.pieces if piece.goes_round]
    extras = [packed.extra for packed in kit.extras]
    covered = frozenset(each.made_of for each in objects)
    uses = frozenset(piece.use for piece in kit.pieces)
    finishes = {piece.finish.kind for piece in kit.pieces}
    parts = tuple(part for extra in extras if _counts(extra) for part in extra.parts)
    hazards = frozenset(word for each in (*extras, *objects) for word in each.hazards)
    lengths = [packed.needle.length_mm for packed in kit.needles]
    return Box(
        hazards=hazards,
        materials=covered.union(*(extra.made_of for extra in extras)),
        covered=covered,
        fibres=frozenset(colour.thread.fibre for colour in kit.palette),
        uses=uses,
        plastic=any(piece.canvas.weave == "plastic" for piece in kit.pieces),
        covers="sleeve" in finishes or bool(uses & {"sleeve", "shade", "lantern"}),
        colours_tested=all(colour.thread.colour_tested for colour in kit.palette),
        age=least_age(kit),
        toy=is_toy(kit),
        needles=any(length is None or fits(Part("rod", (length,))) for length in lengths),
        small_parts="small parts" in hazards or any(map(fits, parts)),
        parts=parts,
        unsized=tuple(extra.title for extra in extras if _is_unsized(extra)),
        bags=tuple(extra.bag for extra in extras if extra.bag),
    )


def _counts(extra: Extra) -> bool:
    """Whether the parts of an extra count: those of paper and cloth alone do not (16 CFR 1501.4(b)(2))."""
    return not UNCOUNTED.issuperset(extra.made_of)


def _is_unsized(extra: Extra) -> bool:
    """Whether nobody has said if parts of an extra are small."""
    return _counts(extra) and not extra.parts and not extra.bag and "small parts" not in extra.hazards


def words_in(kit: Kit) -> Iterator[tuple[str, str, Place]]:
    """Every word that must lead to a note or need none: its kind, the word, and its place."""
    for packed in kit.extras:
        yield from (("hazard", word, packed.extra.at("hazards")) for word in packed.extra.hazards)
        yield from (("material", word, packed.extra.at("made_of")) for word in packed.extra.made_of)
    for piece in kit.pieces:
        if piece.goes_round:
            yield from (("hazard", word, piece.goes_round.at("hazards")) for word in piece.goes_round.hazards)
            yield "material", piece.goes_round.made_of, piece.goes_round.at("made_of")
    for colour in kit.palette:
        yield "fibre", colour.thread.fibre, colour.thread.at("fibre")
