"""In which languages and on which papers a document beside those of a kit is printed, and how it is called.

What stays in the house is printed in the workshop's first language on each of its papers; what goes out to
customers and learners in each language on each paper. The first language and paper have the plain name.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from kitbuild.base.document import Document, Sheet
from kitbuild.build import sheets_of, speaking_of
from kitbuild.documents.wording import Wording
from kitbuild.spec.house import House


@dataclass(frozen=True, slots=True, eq=False)
class Variant:
    """A language and a paper, with the words that they add to a file's name: `.fr.letter`."""

    say: Wording
    sheet: Sheet
    suffix: str


def for_the_house(house: House) -> tuple[Variant, ...]:
    """Each paper of the workshop, in its first language."""
    say = speaking_of(house)[0]
    return tuple(Variant(say, sheet, paper) for sheet, paper in sheets_of(house))


def for_all(house: House) -> tuple[Variant, ...]:
    """Each paper of the workshop, in each of its languages."""
    first, *others = speaking_of(house)
    return tuple(
        Variant(say, sheet, f"{'' if say is first else f'.{say.language}'}{paper}")
        for sheet, paper in sheets_of(house)
        for say in (first, *others)
    )


def printed(variants: tuple[Variant, ...], make: Callable[[Variant], Document]) -> Iterator[Document]:
    """A document in each of its variants, named for it."""
    for variant in variants:
        document = make(variant)
        yield replace(document, name=document.name + variant.suffix)
