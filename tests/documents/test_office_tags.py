"""Papers of runs, classes, bundles and spares in every language: tagged whole, as two checkers see it."""

from __future__ import annotations

from pathlib import Path

import pikepdf
import pytest

from kitbuild.base.document import Document
from kitbuild.documents.wording import languages, wording
from kitbuild.output.pdf import render_pdf
from tests.documents.classes import every_class_in
from tests.documents.runs import every_run_in
from tests.output.reading import structure
from tests.output.sound import unsound
from tests.output.told import told


def papers(language: str) -> list[Document]:
    """Each kind of paper once, by the first that has it."""
    say, found = wording(language), {}
    for documents in (*every_run_in(say), *every_class_in(say)):
        for each in documents:
            found.setdefault(each.name, each)
    return list(found.values())


@pytest.mark.parametrize("language", languages())
def test_tags_are_whole_and_say_what_the_blocks_say(language: str, tmp_path: Path) -> None:
    documents = [each for each in papers(language) if not each.sheet.endless]
    assert len(documents) >= 12
    for each in documents:
        data = render_pdf(each)
        assert not unsound(data, tmp_path), each.name
        assert structure(data) == told(each.blocks), each.name
        with pikepdf.open(tmp_path / "file.pdf") as pdf:
            assert str(pdf.Root.Lang) == each.language == language
