"""An invented language: each sentence is its own id in brackets, then the values that English inserts."""

from __future__ import annotations

import re

from kitbuild.documents.wording import Wording, wording

LANGUAGE = "qaa"
OPEN, CLOSE = "«", "»"
SETTINGS = ("unit.locale", "unit.length", "unit.inch", "unit.first_day")
"""How the language is written, not what it says."""
_EXPRESSION = re.compile(r"\{\{.*?\}\}")
_WORDS = re.compile(r"'[A-Za-z][A-Za-z -]*( %d| \d)?'")
_PLACES = re.compile(r"(?<!\{)\{page\}|(?<!\{)\{pages\}")


def sentences() -> dict[str, str]:
    """The whole catalogue."""
    return {id: _sentence(id, text) for id, text in wording("en").sentences.items()}


def _sentence(id: str, english: str) -> str:
    if id in SETTINGS:
        return english
    looped = "{% for" in english
    values = [] if looped else [_WORDS.sub(r"'~\1'", value) for value in _EXPRESSION.findall(english)]
    return " ".join([f"{OPEN}{id}{CLOSE}", *values, *_PLACES.findall(english)])


def brackets(without: str = "", **changed: str) -> Wording:
    """The invented language, with a sentence left out or said otherwise."""
    said = {id: text for id, text in sentences().items() if id != without} | changed
    return Wording(LANGUAGE, said, f"{LANGUAGE}.yaml")
