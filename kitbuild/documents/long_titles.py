"""Titles with a word that no cover of an edition can hold in one piece."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from kitbuild.base.document import SHEETS
from kitbuild.base.problem import Problem
from kitbuild.documents.chart_key import type_mm
from kitbuild.documents.edition import Edition, editions
from kitbuild.documents.wording import Wording
from kitbuild.spec.records import Kit

TITLE_PT: Final = 20.0
LARGE_TITLE_PT: Final = 30.0
BOLD: Final = 1.15
"""Bold letters are so much wider than those that widths are reckoned for."""


def long_titles(kit: Kit, speak: tuple[Wording, ...]) -> Iterator[Problem]:
    """A warning for each title whose longest word is broken on some cover, in the languages that print it."""
    for title in dict.fromkeys(say.own(kit.title) for say in speak):
        word = max(title.split(), key=len)
        broken = [name for name, width in _covers(kit) if _wide_mm(word, name) > width]
        if broken:
            message = f"the word {word} of the title is broken on the cover of: {', '.join(broken)}"
            cure = "divide it by a hyphen and a space, or write a shorter title"
            yield Problem(kit.at("title"), "KB707", message, cure, warning=True)


def _covers(kit: Kit) -> Iterator[tuple[str, float]]:
    """Each different cover by its edition, and the width of its frame on the narrowest paper."""
    asked = editions(kit.house.editions)
    for edition in dict.fromkeys(replace(each, hand="right", mono=False) for each in asked):
        widths = (edition.sheet(SHEETS[paper]).frame_width_mm for paper in kit.house.papers)
        yield _name(edition), min(widths)


def _name(edition: Edition) -> str:
    return edition.word.strip(".") or "usual"


def _wide_mm(word: str, name: str) -> float:
    return BOLD * type_mm(word, LARGE_TITLE_PT if name == "large" else TITLE_PT)
