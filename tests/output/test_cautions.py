"""Notes on paper: how large and how bold their letters are, and in which language they are read out."""

from __future__ import annotations

import pikepdf
import pytest

from kitbuild.base.blocks import Block, Caution, Paragraph
from kitbuild.output.pdf import render_pdf
from tests.output.reading import open_pdf, page_texts, structure
from tests.output.sample import document

WORDS = "WARNING: Keep this bag away from babies and children."


def pdf(*blocks: Block) -> bytes:
    return render_pdf(document(blocks))


def letters(data: bytes) -> dict[str, set[tuple[float, bool]]]:
    """Role and text of each marked paragraph -> its sizes of type, and whether they are bold."""
    found: dict[str, set[tuple[float, bool]]] = {}
    pdf = open_pdf(data)
    for page in pdf.pages:
        names = {name: str(font.BaseFont) for name, font in page.Resources.Font.items()}
        size: tuple[float, bool] = (0.0, False)
        mark = ""
        for operands, operator in pikepdf.parse_content_stream(page):
            match str(operator):
                case "BDC":
                    mark = str(operands[1].get("/MCID", "")) if len(operands) > 1 else ""
                case "Tf":
                    size = (float(operands[1]), "Bold" in names[str(operands[0])])
                case "Tj" if mark:
                    found.setdefault(mark, set()).add(size)
    return found


@pytest.mark.parametrize("points", [0, 10, 14, 18, 24])
def test_no_letter_is_smaller_than_the_law_asks(points: int) -> None:
    """Signal word and text alike; the text is bold."""
    data = pdf(Caution("WARNING", WORDS, "warning", points=points, bold=True))
    (signal, _), (text, bold) = (*letters(data)["0"], *letters(data)["1"])
    assert min(signal, text) >= points
    assert bold
    assert WORDS in " ".join(" ".join(page_texts(data)).split())


def test_without_a_size_notes_are_as_they_were() -> None:
    plain, sized = (letters(pdf(Caution("WARNING", "Sharp.", "warning", points=n))) for n in (0, 8))
    assert plain == sized
    assert {bold for _, bold in plain["1"]} == {False}


def test_the_structure_stays() -> None:
    assert structure(pdf(Caution("WARNING", WORDS, "warning", points=24, bold=True)))[1:] == [
        ("Div", ""),
        ("P", "WARNING"),
        ("P", WORDS),
    ]


def languages(data: bytes) -> list[str]:
    """The languages that elements state for themselves."""

    def below(element: pikepdf.Object) -> list[str]:
        own = [str(element.Lang)] if "/Lang" in element else []
        kids = element.get("/K", [])
        kids = kids if isinstance(kids, pikepdf.Array) else [kids]
        return own + [each for kid in kids if isinstance(kid, pikepdf.Dictionary) for each in below(kid)]

    opened = open_pdf(data)
    return below(opened.Root.StructTreeRoot.K)


def test_words_of_another_language_say_so() -> None:
    assert languages(pdf(Caution("ACHTUNG", WORDS, "warning", language="en"), Paragraph("Text"))) == ["en"]
    assert languages(pdf(Caution("WARNING", WORDS, "warning"))) == []


def test_the_largest_type_flows_over_a_page() -> None:
    data = pdf(Paragraph("Before"), Caution("WARNING", f"{WORDS} " * 60, "warning", points=24, bold=True))
    assert len(page_texts(data)) > 1
