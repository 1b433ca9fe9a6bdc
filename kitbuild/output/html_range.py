"""The page of a whole range and the page of each kit: static, in themselves, opened from the disk."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Final

from markupsafe import Markup

from kitbuild.base.cards import Card
from kitbuild.output.html_page import environment
from kitbuild.output.html_style import style

_TEMPLATES: Final = Path(__file__).parent / "templates"


def render_range(cards: Sequence[Card], words: Mapping[str, str], language: str) -> bytes:
    """All kits as cards and as a table that its columns' heads sort; `words` are those of the language."""
    return _page("range.html", words, language, cards=cards)


def render_kit(card: Card, words: Mapping[str, str], language: str) -> bytes:
    """One kit with its numbers, its warnings and all its files."""
    return _page("kit.html", words, language, card=card)


def _page(template: str, words: Mapping[str, str], language: str, **values: object) -> bytes:
    sheet = style() + "\n" + (_TEMPLATES / "range.css").read_text(encoding="utf-8").strip()
    script = (_TEMPLATES / "sort.js").read_text(encoding="utf-8").strip()
    policy = (
        f"default-src 'none'; style-src '{_digest(sheet)}'; script-src '{_digest(script)}'; "
        "img-src 'self' file:; base-uri 'none'; form-action 'none'"
    )
    made = (
        environment()
        .get_template(template)
        .render(
            words=words,
            language=language,
            style=Markup(sheet),
            script=Markup(script),
            policy=policy,
            **values,
        )
    )
    return made.encode("utf-8")


def _digest(text: str) -> str:
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode("utf-8")).digest()).decode("ascii")
