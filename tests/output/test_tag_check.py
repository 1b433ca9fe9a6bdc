"""Both checkers of tags find nothing in a whole file, and catch each thing that is spoilt in it."""

from __future__ import annotations

from collections.abc import Callable
from io import BytesIO
from pathlib import Path

import pikepdf
import pytest
from pdfua import validate

from kitbuild.output.pdf import render_pdf
from tests.output.sample import document
from tests.output.tag_check import faults


@pytest.fixture(scope="module")
def sample() -> bytes:
    return render_pdf(document())


def elements(pdf: pikepdf.Pdf, role: str) -> list[pikepdf.Object]:
    return [each for each in pdf.objects if isinstance(each, pikepdf.Dictionary) and each.get("/S") == role]


def no_alternative(pdf: pikepdf.Pdf) -> None:
    del elements(pdf, "/Figure")[0]["/Alt"]


def no_box(pdf: pikepdf.Pdf) -> None:
    del elements(pdf, "/Figure")[0]["/A"]


def words_outside(pdf: pikepdf.Pdf) -> None:
    font = next(iter(pdf.pages[0].Resources.Font))
    pdf.pages[0].contents_add(f"BT {font} 9 Tf 50 50 Td <2020> Tj ET".encode())


def a_line_outside(pdf: pikepdf.Pdf) -> None:
    pdf.pages[0].contents_add(b"0 0 m 9 9 l S")


def an_artifact_in_words(pdf: pikepdf.Pdf) -> None:
    data = pdf.pages[0].Contents.read_bytes().replace(b"EMC", b"/Artifact BMC EMC EMC", 1)
    pdf.pages[0].Contents = pdf.make_stream(data)


def data_for_header(pdf: pikepdf.Pdf) -> None:
    elements(pdf, "/TH")[0].S = pikepdf.Name("/TD")


def data_for_all_headers(pdf: pikepdf.Pdf) -> None:
    for each in elements(pdf, "/TH"):
        each.S = pikepdf.Name("/TD")


def no_scope(pdf: pikepdf.Pdf) -> None:
    del elements(pdf, "/TH")[0]["/A"]


def a_cell_less(pdf: pikepdf.Pdf) -> None:
    row = elements(pdf, "/TR")[1]
    row.K = pikepdf.Array(list(row.K)[:-1])


def a_level_skipped(pdf: pikepdf.Pdf) -> None:
    elements(pdf, "/H2")[0].S = pikepdf.Name("/H3")


def a_paragraph_in_a_list(pdf: pikepdf.Pdf) -> None:
    elements(pdf, "/LI")[0].S = pikepdf.Name("/P")


def an_unnumbered_list(pdf: pikepdf.Pdf) -> None:
    del elements(pdf, "/L")[0]["/A"]


def a_stranger_among_parents(pdf: pikepdf.Pdf) -> None:
    row = pdf.Root.StructTreeRoot.ParentTree.Nums[1]
    row[0] = row[1]


def no_language(pdf: pikepdf.Pdf) -> None:
    del pdf.Root["/Lang"]


def not_marked(pdf: pikepdf.Pdf) -> None:
    del pdf.Root["/MarkInfo"]


def title_not_shown(pdf: pikepdf.Pdf) -> None:
    del pdf.Root["/ViewerPreferences"]


def no_metadata(pdf: pikepdf.Pdf) -> None:
    del pdf.Root["/Metadata"]


def a_claim(pdf: pikepdf.Pdf) -> None:
    with pdf.open_metadata() as metadata:
        metadata["pdfuaid:part"] = "1"


def no_tab_order(pdf: pikepdf.Pdf) -> None:
    del pdf.pages[0]["/Tabs"]


def no_tree(pdf: pikepdf.Pdf) -> None:
    del pdf.Root["/StructTreeRoot"]


CONTROLS: dict[Callable[[pikepdf.Pdf], None], str] = {
    no_alternative: "a figure without an alternative",
    no_box: "a figure without its box",
    words_outside: "Tj outside of marked content",
    a_line_outside: "S outside of marked content",
    an_artifact_in_words: "/Artifact within mark",
    data_for_header: "a cell of a table's first row is no header cell",
    data_for_all_headers: "a cell of a table's first row is no header cell",
    no_scope: "a header cell without a scope",
    a_cell_less: "a table with rows of",
    a_level_skipped: "a heading of level 3 follows one of level 1",
    a_paragraph_in_a_list: "<P> within <L>",
    an_unnumbered_list: "a list that does not say how it is numbered",
    a_stranger_among_parents: "mark 0 is not in the parent tree",
    no_language: "the document names no language",
    not_marked: "the document is not said to be marked",
    title_not_shown: "a viewer would show the file's name",
    no_metadata: "and '' in the metadata",
    a_claim: "conformance is claimed",
    no_tab_order: "tab order does not follow",
    no_tree: "no structure tree",
}


def spoilt(sample: bytes, spoil: Callable[[pikepdf.Pdf], None]) -> bytes:
    target = BytesIO()
    with pikepdf.open(BytesIO(sample)) as pdf:
        spoil(pdf)
        pdf.save(target)
    return target.getvalue()


def test_a_whole_file_has_no_fault(sample: bytes) -> None:
    assert faults(pikepdf.open(BytesIO(spoilt(sample, lambda _: None)))) == []


@pytest.mark.parametrize("spoil", CONTROLS, ids=lambda each: each.__name__)
def test_what_is_spoilt_is_caught(sample: bytes, spoil: Callable[[pikepdf.Pdf], None]) -> None:
    found = faults(pikepdf.open(BytesIO(spoilt(sample, spoil))))
    assert any(CONTROLS[spoil] in each for each in found), found


@pytest.mark.parametrize(
    ("spoil", "rule"),
    [
        (no_alternative, "UA-13-004"),
        (words_outside, ""),
        (data_for_all_headers, "UA-15-003"),
        (no_language, ""),
        (not_marked, ""),
        (no_tree, ""),
    ],
)  # fmt: skip
def test_the_second_checker_catches_it_too(
    sample: bytes, tmp_path: Path, spoil: Callable[[pikepdf.Pdf], None], rule: str
) -> None:
    path = tmp_path / "file.pdf"
    found = []
    for data in (sample, spoilt(sample, spoil)):
        path.write_bytes(data)
        found.append({each.rule_id for each in validate(str(path)).outcomes if each.findings})
    assert found[1] - found[0], found
    assert rule in {"", *(found[1] - found[0])}
