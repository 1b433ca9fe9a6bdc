"""PDF files read back: bytes, structure, pages, pictures."""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pikepdf
import pytest

from kitbuild.base.blocks import (
    Block,
    Caution,
    Figure,
    Grid,
    Heading,
    Ink,
    PageBreak,
    Paragraph,
    Patch,
    Steps,
    StitchMarks,
    Table,
    TextMark,
    TickBox,
)
from kitbuild.base.document import SHEETS
from kitbuild.output.pdf import render_pdf
from tests.output.reading import open_pdf, page_texts, picture, pixel, structure
from tests.output.sample import INKS, TRIANGLE, document, stitches

ROOT = Path(__file__).parents[2]
LONG = "Keep the back tidy and never cross an open bar. " * 200


@pytest.fixture(scope="module")
def sample() -> bytes:
    return render_pdf(document())


def blocks_pdf(*blocks: Block) -> bytes:
    return render_pdf(document(blocks))


def test_same_bytes_whatever_the_environment(sample: bytes) -> None:
    script = (
        "import hashlib\n"
        "from tests.output.sample import document\n"
        "from kitbuild.output.pdf import render_pdf\n"
        "print(hashlib.sha256(render_pdf(document())).hexdigest())"
    )
    settings = [
        {"PYTHONHASHSEED": "1"},
        {"PYTHONHASHSEED": "2", "SOURCE_DATE_EPOCH": "86400", "TZ": "Asia/Tokyo", "RL_useA85": "1"},
    ]
    found = {hashlib.sha256(sample).hexdigest()}
    for setting in settings:
        run = subprocess.run(
            [sys.executable, "-c", script],
            env=os.environ | setting,
            cwd=ROOT,
            capture_output=True,
            text=True,
            check=True,
        )
        found.add(run.stdout.strip())
    assert len(found) == 1


def test_settings_and_environment_are_put_back(monkeypatch: pytest.MonkeyPatch) -> None:
    from reportlab import rl_config

    monkeypatch.setenv("SOURCE_DATE_EPOCH", "5")
    before = rl_config.useA85, rl_config.invariant
    blocks_pdf(Paragraph("x"))
    assert (rl_config.useA85, rl_config.invariant) == before
    assert os.environ["SOURCE_DATE_EPOCH"] == "5"


def test_importing_the_renderer_does_not_load_reportlab() -> None:
    script = (
        "import sys, kitbuild.output.pdf; assert not [m for m in sys.modules if m.startswith('reportlab')]"
    )
    subprocess.run([sys.executable, "-c", script], check=True, cwd=ROOT)


def test_structure_follows_the_blocks() -> None:
    table = Table(
        ("Colour", "No."), ((Patch(INKS[0], "bark"), "7"), (TickBox("lot"), "")), (0.5, 0.5), "lr", "Keys"
    )
    data = blocks_pdf(
        Heading(1, "Band"),
        Paragraph("A <b>bold</b> & plain text", "lead"),
        Steps(("one", "two"), first=3),
        Steps(("three",), "tick"),
        table,
        Caution("WARNING", "Sharp.", "warning"),
        Caution("", "A fact."),
        Figure("A blue triangle", 40, 30, (TRIANGLE, TextMark(0, 5, "inside")), "Its caption"),
        Heading(2, "More"),
        Grid((0.5, 0.5), ((Heading(3, "Left"),), (Paragraph("Right", "small"),))),
    )
    assert structure(data) == [
        ("Document", ""),
        ("H1", "Band"),
        ("P", "A <b>bold</b> & plain text"),
        ("L", ""), ("LI", ""), ("Lbl", "3."), ("LBody", "one"), ("LI", ""), ("Lbl", "4."), ("LBody", "two"),
        ("L", ""), ("LI", ""), ("Lbl", "☐"), ("LBody", "three"),
        ("Table", ""), ("Caption", "Keys"),
        ("TR", ""), ("TH", "Colour"), ("TH", "No."),
        ("TR", ""), ("TD", "● bark"), ("TD", "7"),
        ("TR", ""), ("TD", "☐ lot"), ("TD", ""),
        ("Div", ""), ("P", "WARNING"), ("P", "Sharp."),
        ("Div", ""), ("P", "A fact."),
        ("Figure", "A blue triangle"), ("Caption", "Its caption"),
        ("H2", "More"),
        ("Div", ""), ("Div", ""), ("H3", "Left"), ("Div", ""), ("P", "Right"),
    ]  # fmt: skip


def test_every_mark_has_its_parent(sample: bytes) -> None:
    pdf = open_pdf(sample)
    numbers = pdf.Root.StructTreeRoot.ParentTree.Nums
    rows = {int(numbers[i]): numbers[i + 1] for i in range(0, len(numbers), 2)}
    reached = {}

    def walk(element: pikepdf.Object) -> None:
        for kid in element.get("/K", []):
            if isinstance(kid, int):
                reached[(element.Pg.objgen, kid)] = element.objgen
            elif kid.get("/Type") == "/MCR":
                reached[(kid.Pg.objgen, int(kid.MCID))] = element.objgen
            else:
                assert kid.P.objgen == element.objgen
                walk(kid)

    walk(pdf.Root.StructTreeRoot.K)
    drawn = {}
    for page in pdf.pages:
        row = rows[int(page.StructParents)]
        marks = [
            int(operands[1]["/MCID"])
            for operands, operator in pikepdf.parse_content_stream(page)
            if str(operator) == "BDC" and "/MCID" in operands[1]
        ]
        assert marks == list(range(len(row)))
        assert page.Tabs == "/S"
        drawn |= {(page.objgen, mark): row[mark].objgen for mark in marks}
    assert reached == drawn


def test_all_ink_is_marked_or_artifact(sample: bytes) -> None:
    painting = {"f", "f*", "S", "B", "B*", "Tj", "Do"}
    for page in open_pdf(sample).pages:
        depth = 0
        for _, operator in pikepdf.parse_content_stream(page):
            depth += {"BDC": 1, "BMC": 1, "EMC": -1}.get(str(operator), 0)
            assert depth or str(operator) not in painting


def test_what_readers_need_to_know(sample: bytes) -> None:
    pdf = open_pdf(sample)
    assert pdf.Root.MarkInfo.Marked
    assert pdf.Root.Lang == "en"
    assert pdf.Root.ViewerPreferences.DisplayDocTitle
    assert pdf.docinfo.Title == "Larch band: everything"
    assert pdf.docinfo.Author == "Tide & Loom"
    assert pdf.docinfo.CreationDate == "D:20261001000000Z"
    heads = [
        element
        for element in pdf.objects
        if isinstance(element, pikepdf.Dictionary) and element.get("/S") == "/TH"
    ]
    assert heads
    assert all(head.A.Scope == "/Column" for head in heads)
    figures = [e for e in pdf.objects if isinstance(e, pikepdf.Dictionary) and e.get("/S") == "/Figure"]
    assert len(figures) == 3
    assert all(str(figure.Alt) and len(figure.A.BBox) == 4 for figure in figures)


def test_a_document_without_a_date_names_none() -> None:
    assert "/CreationDate" not in open_pdf(render_pdf(document((Paragraph("x"),), date=""))).docinfo


def test_bookmarks_are_the_headings_of_level_one_and_two(sample: bytes) -> None:
    with open_pdf(sample).open_outline() as outline:
        tree = [(item.title, [kid.title for kid in item.children]) for item in outline.root]
    assert tree == [
        ("Larch-wood tea-tin band", ["What is in the box", "Before you start"]),
        ("Chart", ["Side by side", "Picks"]),
    ]


def test_bookmarks_may_start_below_the_top() -> None:
    with open_pdf(
        blocks_pdf(Heading(3, "x"), Heading(2, "a"), Heading(2, "b"), Heading(1, "c"))
    ).open_outline() as outline:
        assert outline.root[0].title == "a"


def test_fonts_are_ours_and_embedded(sample: bytes) -> None:
    assert b"Helvetica" not in sample
    pdf = open_pdf(sample)
    fonts = [e for e in pdf.objects if isinstance(e, pikepdf.Dictionary) and e.get("/Type") == "/Font"]
    assert fonts
    assert all("DejaVuSans" in str(font.BaseFont) and "/FontFile2" in font.FontDescriptor for font in fonts)


def test_footer_counts_pages_within_the_margins(sample: bytes) -> None:
    pages = page_texts(sample)
    for number, text in enumerate(pages, start=1):
        assert f"page {number} of {len(pages)}" in text
    data = render_pdf(
        document((Paragraph("x"),), footer="A very long footer, " * 12 + "page {page} of {pages}")
    )
    image = picture(data)
    ink = np.argwhere((image < 200).any(axis=2)) / 4 / (72 / 25.4)
    sheet = SHEETS["A4"]
    assert ink[:, 1].min() >= sheet.margin_mm - 0.3
    assert ink[:, 1].max() <= sheet.width_mm - sheet.margin_mm + 0.3
    assert ink[:, 0].max() <= sheet.height_mm - sheet.margin_mm + 2.6
    assert "page 1 of 1" in page_texts(data)[0].replace("\r\n", " ")


def inside_frame(data: bytes) -> None:
    sheet = SHEETS["A4"]
    for page in range(len(open_pdf(data).pages)):
        image = picture(data, page, 2.0)
        ink = np.argwhere((image < 235).any(axis=2)) / 2 / (72 / 25.4)
        body = ink[ink[:, 0] < sheet.height_mm - sheet.margin_mm - sheet.foot_mm]
        assert ink[:, 1].min() >= sheet.margin_mm - 0.5
        assert ink[:, 1].max() <= sheet.width_mm - sheet.margin_mm + 0.5
        assert not len(body) or body[:, 0].min() >= sheet.margin_mm - 0.5


@pytest.mark.parametrize(
    "block",
    [
        Paragraph(LONG * 2),
        Paragraph("W" * 3000),
        Heading(1, "Heading " * 400),
        Steps((LONG * 2, "short", LONG)),
        Caution("DANGER", LONG * 2, "danger"),
        Table(("A", "B"), (("1", LONG * 2), ("2", "x")), (0.1, 0.9), "ll", "Caption"),
        Table(("Abcdefghij",) * 20, (("12345678901234567890",) * 20,) * 30, (0.05,) * 20, "l" * 20),
        Table(("A", "B"), (("x", "y"),) * 5, (0.9, 0.9), "lr", style="big"),
        Table(("wide",) * 60, (("wide",) * 60,), (1 / 60,) * 60, "c" * 60),
        Grid((0.5, 0.5), ((Paragraph(LONG * 2),), (Paragraph("x"), Steps((LONG,))), (Heading(2, "y"),))),
    ],
)  # fmt: skip
def test_whatever_is_long_flows_on(block: Block) -> None:
    data = blocks_pdf(
        Heading(2, "Before"), Paragraph("text"), Heading(3, "Kept"), block, Paragraph("The end.")
    )
    inside_frame(data)
    assert "The end." in page_texts(data)[-1]


def test_a_block_over_pages_is_one_element() -> None:
    data = blocks_pdf(Paragraph(LONG * 2))
    assert len(open_pdf(data).pages) > 2
    assert structure(data)[1:] == [("P", (LONG * 2).strip())]


def test_header_is_repeated_as_furniture() -> None:
    rows = tuple((f"row {n}", "x") for n in range(100))
    data = blocks_pdf(Table(("First", "Second"), rows, (0.5, 0.5), "ll"))
    assert all("First" in text for text in page_texts(data))
    tags = structure(data)
    assert [text for role, text in tags if role == "TH"] == ["First", "Second"]
    assert [text for role, text in tags if role == "TD"][::2] == [row[0] for row in rows]


def test_a_heading_stays_with_what_follows() -> None:
    for lines in range(30, 52):
        data = blocks_pdf(*[Paragraph("x", "small")] * lines, Heading(2, "Title"), Steps(("the step " * 40,)))
        for text in page_texts(data):
            assert ("Title" in text) == ("the step" in text)


def test_page_breaks_make_no_empty_pages() -> None:
    data = blocks_pdf(PageBreak(), Paragraph("one"), PageBreak(), PageBreak(), Paragraph("two"), PageBreak())
    assert [text.split()[0] for text in page_texts(data)] == ["one", "two"]
    assert len(open_pdf(blocks_pdf()).pages) == 1


@pytest.mark.parametrize(("width", "height", "word"), [(300, 50, "wide"), (50, 300, "high")])
def test_a_figure_too_large_is_named(width: float, height: float, word: str) -> None:
    figure = Figure("The band's chart", width, height, (TRIANGLE,), "c")
    with pytest.raises(ValueError, match=f"The band's chart.*{word}"):
        blocks_pdf(Grid((1.0,), ((Heading(2, "z"), figure),)))
    with pytest.raises(ValueError, match=f"The band's chart.*{word}"):
        blocks_pdf(Heading(1, "x"), Paragraph("y"), figure)


def test_a_figure_too_high_for_its_heading_stands_alone() -> None:
    figure = Figure(
        "The band's chart", 100, SHEETS["A4"].frame_height_mm - 5, (TextMark(5, 5, "inside"),), "Caption"
    )
    texts = page_texts(blocks_pdf(Heading(1, "Title"), figure, Paragraph("after")))
    assert ["Title" in texts[0], "inside" in texts[1], "Caption" in texts[2]] == [True] * 3


def test_a_figure_as_large_as_the_frame_fits() -> None:
    sheet = SHEETS["A4"]
    figure = Figure("all", sheet.frame_width_mm, sheet.frame_height_mm, (TRIANGLE,))
    assert len(open_pdf(blocks_pdf(figure, figure)).pages) == 2


def stitch_figure(marks: StitchMarks) -> np.ndarray:
    """A picture of a figure as wide as the frame, at the top of the page."""
    return picture(blocks_pdf(Figure("stitches", SHEETS["A4"].frame_width_mm, 100, (marks,))))


@pytest.mark.parametrize(("shade", "off"), [(False, 0.5), (True, 25)])
def test_stitches_have_their_colours_in_their_places(shade: bool, off: float) -> None:
    marks = stitches(12, 3, 5.0, symbols=False, shade=shade)
    image = stitch_figure(marks)
    for index in range(len(marks.x1)):
        x = 13 + 5 + 5 * marks.x1[index]
        y = 13 + 5 + 5 * (marks.y1[index] + 2)
        across = np.mean([pixel(image, x + dx, y) for dx in np.arange(-1.3, 1.4, 0.1)], axis=0)
        assert np.abs(across - INKS[marks.colour[index]].rgb).max() <= off


def test_symbols_read_on_their_colours_and_are_centred() -> None:
    marks = stitches(12, 1, 5.0)
    image = stitch_figure(marks)
    disc, star = INKS[0], 0
    x, y = 13 + 5.0, 13 + 5 + 5 * 2.0
    assert marks.inks[marks.colour[star]] == disc
    assert pixel(image, x, y) == (255, 255, 255)
    assert [pixel(image, x + dx, y + dy) for dx, dy in ((-1, 0), (1, 0), (0, 1), (0, -1))] == [
        (255, 255, 255)
    ] * 4
    assert pixel(image, x, y - 2.2) == disc.rgb


def test_white_on_white_has_an_edge() -> None:
    one = np.array([1.0])
    marks = StitchMarks(
        one, one, one, one + 4, np.array([0]), (Ink((255, 255, 255), "●"),), (5, 5), 5.0, symbols=False
    )
    image = stitch_figure(marks)
    assert (image[: 4 * 280] < 200).any()


def test_nothing_is_drawn_outside_the_clip() -> None:
    image = stitch_figure(stitches(12, 3, 5.0, clip_mm=(10, 20, 30, 25)))
    ink = np.argwhere((image[: 4 * 340] < 240).any(axis=2)) / 4 / (72 / 25.4) - 13
    assert ink[:, 1].min() >= 10 - 0.2
    assert ink[:, 1].max() <= 40 + 0.2
    assert ink[:, 0].min() >= 20 - 0.2
    assert ink[:, 0].max() <= 45 + 0.2


def test_stitches_run_right_to_left_and_slanting() -> None:
    x1, y1 = np.array([8.0, 1.0]), np.array([1.0, 8.0])
    x2, y2 = np.array([2.0, 6.0]), np.array([1.0, 3.0])
    marks = StitchMarks(x1, y1, x2, y2, np.array([0, 1]), INKS, (5, 5), 5.0, symbols=False)
    image = stitch_figure(marks)
    assert pixel(image, 13 + 5 + 5 * 3, 13 + 5 + 5) == INKS[0].rgb
    assert pixel(image, 13 + 5 + 5 * 2.5, 13 + 5 + 5 * 6.5) == INKS[1].rgb


def test_equal_stitches_share_their_forms_over_the_pages() -> None:
    figure = Figure("chart", 180, 240, (stitches(50, 50, 3.5),))
    names = {name for page in open_pdf(blocks_pdf(*[figure] * 3)).pages for name in page.Resources.XObject}
    assert len(names) == 2 * len(INKS)


def test_figures_are_not_changed_by_drawing() -> None:
    marks = stitches(5, 2, 4.0)
    before = marks.x1.copy(), marks.y1.copy()
    figure = Figure("chart", 180, 100, (marks,))
    assert blocks_pdf(figure) == blocks_pdf(figure)
    assert all((a == b).all() for a, b in zip(before, (marks.x1, marks.y1), strict=True))
