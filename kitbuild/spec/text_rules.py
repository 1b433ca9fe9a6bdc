"""Rules for text that is printed or listed: every character can be drawn, no text runs as a formula."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from kitbuild.base.glyphs import missing
from kitbuild.base.problem import Place, Problem
from kitbuild.spec.draft import Draft
from kitbuild.spec.schema import leaves

#: Formats of free text: `text` reaches lists and tables, `line` and `prose` are only printed.
_FREE: Final = ("text", "line", "prose")
_FORMULA: Final = ("=", "+", "-", "@")


def _texts(draft: Draft) -> Iterator[tuple[Place, str, str]]:
    for file in draft.files:
        for path, value, schema in leaves(file.data, file.schema, file.schema):
            if schema.get("format") in _FREE:
                yield file.at(*path), value, schema["format"]


def text_is_no_formula(draft: Draft) -> Iterator[Problem]:
    """Lists open in spreadsheets, which run text that begins like a formula."""
    for place, text, form in _texts(draft):
        if form == "text" and text.lstrip().startswith(_FORMULA):
            message = f"a spreadsheet would run text that begins with `{text.lstrip()[0]}`"
            yield Problem(place, "KB311", message, "begin with a letter or a digit")


def text_has_no_control_characters(draft: Draft) -> Iterator[Problem]:
    """Text is one line of printable characters; prose may have several."""
    for place, text, form in _texts(draft):
        body = text.strip("\n").replace("\n", "") if form == "prose" else text
        found = [char for char in body if ord(char) < 32 or 127 <= ord(char) < 160]
        if "\n" in found:
            yield Problem(place, "KB312", "the text has more than one line", "write it in one line")
        elif found:
            message = f"the text holds the control character U+{ord(found[0]):04X}"
            yield Problem(place, "KB312", message, "take it out")


def text_can_be_drawn(draft: Draft) -> Iterator[Problem]:
    """A character without a glyph would be an empty box in print."""
    for place, text, _ in _texts(draft):
        lacking = [char for char in missing(text) if not (ord(char) < 32 or 127 <= ord(char) < 160)]
        if lacking:
            names = ", ".join(_character(char) for char in lacking[:5])
            yield Problem(place, "KB310", f"the fonts cannot draw {names}", "write it with other characters")


def _character(char: str) -> str:
    code = f"U+{ord(char):04X}"
    return f"{char} ({code})" if char.isprintable() and not char.isspace() else code


RULES: Final = (text_is_no_formula, text_has_no_control_characters, text_can_be_drawn)
