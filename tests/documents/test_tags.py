"""Every document read back by its tags: two checkers find no fault, and order and text are the blocks'."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import pikepdf
import pytest

from kitbuild.base.document import Document
from kitbuild.output.pdf import render_pdf
from tests.documents.demo import CODES, made
from tests.output.reading import structure
from tests.output.sound import unsound
from tests.output.told import Told, told

IN_ALL = ("EMBER", "WHIN")
"""Kits that are read in every language, edition and paper; the others in the first language."""
LANGUAGES = {"fr", "de"}


def papers(code: str) -> list[Document]:
    every = [each for each in made(code).documents if not each.sheet.endless]
    return every if code in IN_ALL else [each for each in every if not LANGUAGES & {*each.name.split(".")}]


def compared(elements: list[Told], document: Document) -> list[Told]:
    """Folded pages are so narrow that the longest words of a table are broken: there without white space."""
    if document.press.folded is None:
        return elements
    return [(role, "".join(text.split())) for role, text in elements]


@pytest.mark.parametrize("code", CODES)
def test_tags_are_whole_and_say_what_the_blocks_say(code: str, tmp_path: Path) -> None:
    documents = papers(code)
    assert {each.name.split(".")[0] for each in documents} >= {"chart-booklet", "instructions", "pick-list"}
    for each in documents:
        data = render_pdf(each)
        assert not unsound(data, tmp_path), each.name
        with pikepdf.open(BytesIO(data)) as pdf:
            assert str(pdf.Root.Lang) == each.language
        assert compared(structure(data), each) == compared(told(each.blocks), each), each.name


@pytest.mark.parametrize("code", IN_ALL)
def test_every_language_and_edition_is_among_them(code: str) -> None:
    words = {word for each in papers(code) for word in each.name.split(".")[1:]}
    assert words == {"fr", "de", "left", "large", "mono", "letter", "imposed"}
