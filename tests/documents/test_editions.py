"""The editions of booklet and sheet: how large, how black, on which paper, and what does not fit in them."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from itertools import pairwise

import numpy as np
import pikepdf
import pypdfium2
import pypdfium2.raw as pdfium
import pytest

from kitbuild.base.blocks import Figure, Grid, Heading, Patch, PolygonMark, StitchMarks, Table, TextMark
from kitbuild.base.colour import WHITE, contrast, ink_on, parse_rgb
from kitbuild.base.document import SHEETS
from kitbuild.base.glyphs import SYMBOLS
from kitbuild.build import Made, make
from kitbuild.documents.edition import Edition, editions
from kitbuild.documents.fitting import HIGH_SHARE, LARGE_PT, NUMBERED_HIGH_SHARE, fitted, in_two_columns
from kitbuild.output.panels import PANELS
from kitbuild.output.pdf import render_pdf
from kitbuild.output.pdf_breaks import FOOT
from kitbuild.output.pdf_flow import stack_height
from kitbuild.output.pdf_pages import lay_out
from kitbuild.output.pdf_settings import neutral_settings
from kitbuild.output.pdf_story import Studio, sections
from kitbuild.output.pdf_style import FOOT_RGB, SHADE_RGB, glyph_box, load_fonts, mm, style
from kitbuild.spec.records import Kit
from tests.documents.demo import document, figures, flat, kits, made
from tests.documents.dump import cell_text
from tests.figures import rows
from tests.output.reading import POINTS_PER_MM, open_pdf, page_texts, picture

LARGE = ("chart-booklet.large", "instructions.large", "chart-booklet.left.large.letter")
CODES = ("CAIRN", "HEATH", "ROWAN", "WHIN")
STYLES = ("h1", "h2", "h3", "body", "lead", "small", "step", "marker", "caption", "table caption")
STYLES += ("plain", "plain head", "big", "big head", "signal", "note", "note bold")


@cache
def printed(code: str, name: str) -> bytes:
    return render_pdf(document(code, name))


def size_of(use: str, points: str) -> dict[str, str]:
    (found,) = [row for row in rows("type_sizes.csv") if row["use"] == use and row["min_point"] == points]
    return found


def letters(data: bytes) -> Iterator[tuple[str, float]]:
    """Each character with its size in points; symbols of colours, which are pictures, left out."""
    for page in pypdfium2.PdfDocument(data):
        words = page.get_textpage()
        for at in range(words.count_chars()):
            char = chr(pdfium.FPDFText_GetUnicode(words.raw, at))
            if char not in SYMBOLS.values() and char.strip():
                yield char, pdfium.FPDFText_GetFontSize(words.raw, at)


@pytest.mark.parametrize("name", STYLES)
def test_running_text_of_large_print_is_as_large_as_published(name: str) -> None:
    """18 points, x-height 4 mm, lines 1.25 times that (published guidelines of an education department)."""
    load_fonts()
    asked, look = size_of("large print", "18"), style(name, large=True)
    _, _, _, high = glyph_box("x", look.fontName)
    assert look.fontSize >= float(asked["min_point"])
    assert high * look.fontSize / POINTS_PER_MM >= float(asked["min_x_height_mm"])
    assert look.leading >= float(asked["line_spacing"]) * look.fontSize
    assert look.fontSize > style(name).fontSize


@pytest.mark.parametrize("name", LARGE)
@pytest.mark.parametrize("code", CODES)
def test_no_letter_of_large_print_is_small(code: str, name: str) -> None:
    least = float(size_of("large print", "18")["min_point"])
    told = "numbers" in document(code, name).fallbacks
    small = {char for char, size in letters(printed(code, name)) if size < least - 0.01}
    assert {char for char in small if not char.isdigit()} == set()
    assert bool(small) == told


@pytest.mark.parametrize("code", CODES)
@pytest.mark.parametrize(("word", "least"), [("large", 5.0), ("imposed", 2.5), ("mono", 2.5), ("left", 2.5)])
def test_holes_of_charts_can_be_counted(code: str, word: str, least: float) -> None:
    charts = [
        mark for figure in figures(document(code, f"chart-booklet.{word}")) for mark in stitched(figure)
    ]
    assert charts
    assert min(mark.hole_mm for mark in charts) >= least


def stitched(figure: Figure) -> list[StitchMarks]:
    return [mark for mark in figure.marks if isinstance(mark, StitchMarks) and mark.clip_mm]


@pytest.mark.parametrize("name", ["chart-booklet.mono", "instructions.mono", "instructions.fr.mono.letter"])
@pytest.mark.parametrize("code", CODES)
def test_black_alone_has_no_colour(code: str, name: str) -> None:
    data = printed(code, name)
    for number in range(len(pypdfium2.PdfDocument(data))):
        image = picture(data, number, 1.5).astype(int)
        assert (np.ptp(image, axis=2) == 0).all()
    usual = printed(code, name.replace(".mono", ""))
    assert any(np.ptp(picture(usual, at, 1.0).astype(int), axis=2).any() for at in range(2))


@pytest.mark.parametrize("name", ["chart-booklet.mono", "instructions.mono"])
def test_black_alone_sets_greys_only(name: str) -> None:
    pdf = open_pdf(printed("WHIN", name))
    forms = [
        each for each in pdf.objects if isinstance(each, pikepdf.Stream) and each.get("/Subtype") == "/Form"
    ]
    colours = [
        ("g" if str(operator) in ("g", "G") else str(operator), tuple(map(float, operands)))
        for drawn in (*pdf.pages, *forms)
        for operands, operator in pikepdf.parse_content_stream(drawn)
        if str(operator) in ("rg", "RG", "g", "G", "k", "K", "sc", "SC")
    ]
    assert {
        operator for operator, values in colours if len(set(values)) > 1 or operator not in "g rg"
    } == set()
    assert {0.0, 1.0} < {values[0] for _, values in colours}
    assert {values[0] for operator, values in colours if operator == "rg"} <= {0.0}


def test_in_black_alone_each_colour_has_a_grey_and_its_symbol() -> None:
    for mark in (
        mark for figure in figures(document("HEATH", "chart-booklet.mono")) for mark in stitched(figure)
    ):
        levels = sorted(ink.rgb[0] for ink in mark.inks)
        assert all(len(set(ink.rgb)) == 1 for ink in mark.inks)
        assert min(b - a for a, b in pairwise(levels)) >= 14
        assert all(contrast(ink.rgb, ink_on(ink.rgb)) >= 6 for ink in mark.inks)
        assert len({ink.symbol for ink in mark.inks}) == len(mark.inks)
        assert mark.symbols
    cover = figures(document("HEATH", "chart-booklet.mono"))[0]
    assert all(mark.shade for mark in cover.marks if isinstance(mark, StitchMarks))


SIZES = {"": "A4", ".letter": "Letter (ANSI A)"}


@pytest.mark.parametrize("paper", SIZES)
@pytest.mark.parametrize("edition", ["", ".left", ".large", ".left.large", ".mono", ".left.mono", "imposed"])
def test_paper_is_as_large_as_the_standard_says(edition: str, paper: str) -> None:
    name = f"{paper}.imposed" if edition == "imposed" else f"{edition}{paper}"
    (row,) = (row for row in rows("paper_sizes.csv") if row["name"] == SIZES[paper])
    wanted = [float(row["w_pt"]), float(row["h_pt"])]
    for page in pypdfium2.PdfDocument(printed("WHIN", f"chart-booklet{name}")):
        assert page.get_size() == pytest.approx(wanted[::-1] if edition == "imposed" else wanted, abs=0.02)


@pytest.mark.parametrize("name", ["chart-booklet.large", "instructions.large", "instructions.de.mono"])
@pytest.mark.parametrize("code", CODES)
def test_nothing_is_printed_where_printers_cannot(code: str, name: str) -> None:
    """13 mm at all sides, two lines of the foot included."""
    sheet, data = document(code, name).sheet, printed(code, name)
    for number in range(len(pypdfium2.PdfDocument(data))):
        ink = np.argwhere((picture(data, number, 1.0) < 235).any(axis=2)) / POINTS_PER_MM
        assert ink.min() >= sheet.margin_mm - 0.8
        assert ink[:, 1].max() <= sheet.width_mm - sheet.margin_mm + 0.8
        assert ink[:, 0].max() <= sheet.height_mm - sheet.margin_mm + 0.8


@pytest.mark.parametrize("name", ["chart-booklet.imposed", "instructions.letter.imposed"])
@pytest.mark.parametrize("code", CODES)
def test_each_half_of_a_folded_sheet_has_its_margins(code: str, name: str) -> None:
    each, data = document(code, name), printed(code, name)
    folded, margin = each.press.folded, each.sheet.margin_mm - 0.8
    assert folded is not None
    middle = folded.height_mm / 2
    for number in range(len(pypdfium2.PdfDocument(data))):
        ink = np.argwhere((picture(data, number, 1.0) < 235).any(axis=2)) / POINTS_PER_MM
        assert margin <= ink[:, 0].min()
        assert ink[:, 0].max() <= folded.width_mm - margin
        assert margin <= ink[:, 1].min()
        assert ink[:, 1].max() <= folded.height_mm - margin
        assert np.abs(ink[:, 1] - middle).min() >= margin - 0.5


@pytest.mark.parametrize(
    "name", ["chart-booklet", "instructions", "chart-booklet.large", "chart-booklet.mono"]
)
def test_pages_are_labelled_as_they_are_numbered(name: str) -> None:
    pdf = open_pdf(printed("WHIN", name))
    assert [page.label for page in pdf.pages] == [str(at) for at in range(1, len(pdf.pages) + 1)]
    for number, text in enumerate(page_texts(printed("WHIN", name)), 1):
        assert f"page {number} of {len(pdf.pages)}" in " ".join(text.split())


def test_names_of_files_have_their_words_in_order() -> None:
    words = {
        each.name.removeprefix("instructions") for each in made("WHIN").documents if "instr" in each.name
    }
    order = r"(\.(fr|de))?(\.left)?(\.large)?(\.mono)?(\.letter)?(\.imposed)?"
    assert all(re.fullmatch(order, word) for word in words)
    assert len(words) == 3 * 2 * 7
    assert {"", ".left.large", ".de.left.large.letter", ".fr.letter.imposed", ".left.mono.letter"} < words


def test_a_workshop_gets_the_editions_that_it_asks_for() -> None:
    assert list(editions(())) == [Edition()]
    assert list(editions(("large",))) == [Edition(), Edition(large=True)]
    assert {each.word for each in editions(("imposed", "left"))} == {"", ".left", ".imposed"}
    joined = ("mono.imposed", "left.mono", "left.large.mono")
    assert [each.word for each in editions(joined)] == ["", ".left.mono", ".left.large.mono", ".mono.imposed"]
    assert Edition("left", True, True, True).suffix(".de", ".letter") == ".de.left.large.mono.letter.imposed"


def test_words_joined_in_a_workshop_are_one_edition() -> None:
    whin = kits()["WHIN"]
    house = replace(whin.house, editions=("left.mono", "mono.imposed"), languages=("en",), papers=("A4",))
    each = make(replace(whin, house=house))
    sheets = {d.name: d for d in each.documents if d.name.startswith("instructions")}
    assert list(sheets) == ["instructions", "instructions.left.mono", "instructions.mono.imposed"]
    assert sheets["instructions.left.mono"].press.mono
    usual, left = (
        page_texts(render_pdf(sheets[name])) for name in ("instructions", "instructions.left.mono")
    )
    assert left != usual
    folded = sheets["instructions.mono.imposed"].press
    assert folded.mono
    assert folded.folded is not None
    assert [row[0] for row in proof(each)] == [
        "usual",
        "left hand and black ink alone",
        "black ink alone and to be folded",
    ]


@pytest.mark.parametrize("row", rows("contrast.csv"), ids=lambda row: f"{row['fg']}{row['bg']}")
def test_contrast_is_reckoned_as_published(row: dict[str, str]) -> None:
    assert contrast(parse_rgb(row["fg"]), parse_rgb(row["bg"])) == pytest.approx(
        float(row["ratio"]), abs=1e-4
    )


def test_words_can_be_read_on_what_they_stand_on() -> None:
    """WCAG 2.2, 1.4.3: 4.5:1 for words."""
    assert contrast(FOOT_RGB, WHITE) >= 4.5
    assert contrast((0, 0, 0), SHADE_RGB) >= 4.5
    assert all(contrast(fill, ink) >= 4.5 for fill, ink in PANELS.values())


def proof(each: Made) -> list[tuple[str, ...]]:
    """The rows of the proof's table of editions."""
    (found,) = [d for d in each.documents if d.name == "proof"]
    tables = [b for b in flat(found.blocks) if isinstance(b, Table) and b.header[0] == "Edition"]
    return [tuple(cell_text(cell) for cell in row) for row in tables[0].rows]


def test_the_proof_lists_what_stands_otherwise() -> None:
    told = {row[0]: row[1:] for row in proof(made("HEATH"))}
    assert list(told) == [
        "usual",
        "left hand",
        "large print",
        "left hand and large print",
        "black ink alone",
        "left hand and black ink alone",
        "to be folded",
    ]
    assert told["usual"][1] == told["black ink alone"][1] == "nothing"
    assert "too wide for the page: in two columns" in told["large print"][1]
    assert "smaller than 18 points" in told["large print"][1]
    pages = {name: int(re.findall(r": (\d+) pages", row[0])[0]) for name, row in told.items()}
    assert pages["usual"] < pages["to be folded"] < pages["large print"]
    alone = replace(kits()["WHIN"], house=replace(kits()["WHIN"].house, editions=()))
    (plain,) = [each for each in make(alone).documents if each.name == "proof"]
    assert not any(isinstance(block, Heading) and block.text == "Editions" for block in plain.blocks)


def crowded(kit: Kit, name: str) -> Kit:
    """The same kit with so long a name for its first colour."""
    first = replace(kit.palette[0], name=name)
    house = replace(kit.house, papers=("A4",), languages=("en",))
    return replace(kit, palette=(first, *kit.palette[1:]), house=house)


def test_a_strip_of_colours_that_does_not_fit_is_left_to_the_key() -> None:
    each = make(crowded(kits()["WHIN"], "The deepest bark of the very oldest oak of the whole wood"))
    for made_document in each.documents:
        render_pdf(made_document)
    told = {row[0]: row[2] for row in proof(each)}
    assert "no strip of colours below the charts of Coaster" in told["large print"]
    assert "no strip" not in told["usual"]


def test_a_title_that_a_cover_cannot_hold_is_told() -> None:
    whin = kits()["WHIN"]
    kit = replace(whin, title="Wintersternenweihnachtsbaumschmuck to hang")
    (warning,) = [problem for problem in make(kit).warnings if problem.code == "KB707"]
    assert str(warning) == (
        "kits/whin.yaml:5:8: KB707 warning: the word Wintersternenweihnachtsbaumschmuck of the title is "
        "broken on the cover of: large, imposed (divide it by a hyphen and a space, or write a shorter title)"
    )
    for each in make(kit).documents:
        if each.name in ("chart-booklet.large", "chart-booklet.imposed"):
            render_pdf(each)
    assert not [problem for problem in made("WHIN").warnings if problem.code == "KB707"]


def test_a_wide_table_is_told_in_two_columns() -> None:
    (key,) = [
        b
        for b in flat(document("WHIN", "chart-booklet").blocks)
        if isinstance(b, Table) and b.header[0] == "Colour"
    ]
    narrow = in_two_columns(key)
    assert narrow.header == ("Colour", "")
    for row, short in zip(key.rows, narrow.rows, strict=True):
        assert isinstance(short[0], Patch)
        assert short[0] == row[0]
        lines = str(short[1]).split("\n")
        assert lines == [f"{head}: {cell}" for head, cell in zip(key.header[1:], row[1:], strict=True)]
    large = [
        block for block in flat(document("WHIN", "chart-booklet.large").blocks) if isinstance(block, Table)
    ]
    assert narrow in large


def test_the_key_tells_the_share_of_each_colour() -> None:
    for code in kits():
        (key,) = [
            b
            for b in flat(document(code, "chart-booklet").blocks)
            if isinstance(b, Table) and b.header[0] == "Colour"
        ]
        at = key.header.index("Share of the area")
        assert sum(float(str(row[at]).split()[0]) for row in key.rows) == pytest.approx(100, abs=0.3)


@pytest.mark.parametrize("name", ["chart-booklet", "chart-booklet.large", "chart-booklet.imposed"])
def test_a_bar_of_five_centimetres_stands_on_each_chart_page(name: str) -> None:
    charts = [
        f for f in figures(document("FERN", name)) if f.alt.startswith("Chart of the Tin band, columns")
    ]
    assert charts
    for figure in charts:
        (words,) = [m for m in figure.marks if isinstance(m, TextMark) and "measure it" in m.text]
        (bar,) = [m for m in figure.marks if getattr(m, "pen_mm", 0) == 0.3 and hasattr(m, "ends_mm")]
        left = bar.ends_mm[:, 0].min()
        assert {round(x - left, 2) for x in bar.ends_mm[1:7, 0]} == {0, 10, 20, 30, 40, 50}
        assert bar.ends_mm[:, 2].max() - left == pytest.approx(2 * 25.4)
        assert words.y_mm < figure.height_mm


def whole(code: str, name: str = "chart-booklet") -> list[Figure]:
    return [f for f in figures(document(code, name)) if ", hole rows" in f.alt]


def words_of(figure: Figure) -> set[str]:
    return {mark.text for mark in figure.marks if isinstance(mark, TextMark)}


def test_edges_name_the_pages_that_carry_on_and_the_seam() -> None:
    first, second = whole("FERN")
    assert {"seam", "chart page 2"} <= words_of(first)
    assert {"seam", "chart page 1"} <= words_of(second)
    heath = [{word for word in words_of(figure) if "chart page" in word} for figure in whole("HEATH")]
    assert heath[0] == {"chart page 2", "chart page 4"}
    assert heath[4] == {"chart page 2", "chart page 4", "chart page 6", "chart page 8"}
    assert not any("seam" in words_of(figure) for figure in whole("HEATH"))
    large = [word for word in words_of(whole("HEATH", "chart-booklet.large")[0]) if word[0] in "←→↑↓"]
    assert large == ["↓ 7"]


def test_the_trim_line_runs_round_the_piece() -> None:
    """Outside a straight piece; along the steps of a shape, as long as its outline."""
    (coaster,) = whole("WHIN")
    (marks,) = stitched(coaster)
    (trim,) = [m for m in coaster.marks if getattr(m, "dash_mm", ()) == (2.2, 1.2)]
    left, top, wide, high = marks.clip_mm or (0, 0, 0, 0)
    assert trim.ends_mm[:, 0].min() < left
    assert trim.ends_mm[:, 1].min() < top
    assert trim.ends_mm[:, 2].max() > left + wide
    assert trim.ends_mm[:, 3].max() > top + high
    for figure, piece in zip(whole("ROWAN"), kits()["ROWAN"].pieces, strict=True):
        (line,) = [m for m in figure.marks if getattr(m, "dash_mm", ()) == (2.2, 1.2)]
        hole = stitched(figure)[0].hole_mm
        columns = [set(), *(set(range(first, last + 1)) for first, last in piece.outline), set()]
        level = 2 * len(piece.outline)
        upright = sum(len(one ^ other) for one, other in pairwise(columns))
        lengths = np.abs(line.ends_mm[:, 2:] - line.ends_mm[:, :2]).sum() / hole
        assert lengths == pytest.approx(level + upright)


@pytest.mark.parametrize("name", ["chart-booklet", "chart-booklet.left", "chart-booklet.large"])
def test_turns_of_the_line_carry_the_count_of_their_groups(name: str) -> None:
    """Four groups from the edge to the valley, the group there counted in: a box of its own at the turn.

    The left hand's chart shows the repeat that it works first, which holds a peak too.
    """
    (line,) = [each for each in figures(document("WHIN", name)) if each.alt.startswith("Chart of the line")]
    boxes = [
        at for at, mark in enumerate(line.marks) if isinstance(mark, PolygonMark) and mark.pen_mm == 0.25
    ]
    told = [getattr(line.marks[at + 1], "text", "") for at in boxes]
    assert told == (["4", "7"] if "left" in name else ["4"])
    (marks,) = stitched(line)
    box = line.marks[boxes[0]]
    middle = round((box.points_mm[0][0] + box.points_mm[1][0]) / 2, 3)
    lowest = marks.x1[marks.y2 == marks.y2.max()]
    assert middle == pytest.approx(marks.origin_mm[0] + lowest.mean() * marks.hole_mm, abs=1e-3)


def test_the_demo_range_prints_every_edition() -> None:
    assert next(iter(kits().values())).house.editions == ("left", "large", "mono", "imposed", "left.mono")
    assert {each.press.folded for each in made("WHIN").documents} == {None, *SHEETS.values()}


def test_an_edition_is_the_same_document_otherwise_printed() -> None:
    """In black alone nothing but ink differs: the same words in the same places."""
    usual, mono = document("CAIRN", "chart-booklet"), document("CAIRN", "chart-booklet.mono")
    assert (
        page_texts(printed("CAIRN", "chart-booklet"))[3:]
        == page_texts(printed("CAIRN", "chart-booklet.mono"))[3:]
    )
    assert (usual.title, usual.footer, usual.sheet) == (mono.title, mono.footer, mono.sheet)


@pytest.mark.parametrize("code", ["FERN", "HEATH", "RILL", "ROWAN"])
@pytest.mark.parametrize("name", ["chart-booklet", "chart-booklet.large", "chart-booklet.de.large.letter"])
def test_no_page_holds_a_heading_alone(code: str, name: str) -> None:
    """Nor the last lines of a paragraph: a drawing fills more than a fifth of a page, and so do words."""
    each = document(code, name)
    with neutral_settings():
        load_fonts()
        pages = lay_out(sections(Studio(large=each.press.large), each.blocks), each.sheet)
        width, height = (mm(side) for side in (each.sheet.frame_width_mm, each.sheet.frame_height_mm))
        assert min(stack_height(page, width) / height for page in pages) > FOOT


def picture_of(*marks: PolygonMark | TextMark) -> Figure:
    return Figure("A picture.", 60.0, 90.0, marks, "Words below it.")


def test_pictures_in_a_row_or_side_by_side_share_a_page_of_large_print() -> None:
    large, one = Edition(large=True), picture_of()
    sheet = large.sheet(SHEETS["A4"])
    for blocks, share in (
        ((one,), HIGH_SHARE),
        ((one, one), HIGH_SHARE),
        ((Heading(1, "One"), one, Heading(1, "Two"), one), 2 * HIGH_SHARE),
        ((Grid((0.5, 0.5), ((one,), (one,))),), NUMBERED_HIGH_SHARE),
    ):
        made = [block for block in fitted(blocks, large, sheet).blocks if isinstance(block, Figure)]
        least = len(made) * one.height_mm
        assert sum(each.height_mm for each in made) == pytest.approx(
            max(least, share * sheet.frame_height_mm), abs=0.1
        )


def test_a_number_in_no_disc_is_large_in_large_print_however_small_its_picture() -> None:
    large = Edition(large=True)
    sheet = large.sheet(SHEETS["A4"])
    disc = PolygonMark(((8, 8), (12, 8), (12, 12), (8, 12)), fill=WHITE)
    free, held = picture_of(TextMark(10, 10, "2", 9.0)), picture_of(disc, TextMark(10, 10, "2", 9.0))
    (made,) = fitted((Grid((1.0,), ((free,),)),), large, sheet).blocks
    assert [mark.size_pt for mark in made.marks if isinstance(mark, TextMark)] == [LARGE_PT]
    (made,) = fitted((held,), large, sheet).blocks
    (size,) = [mark.size_pt for mark in made.marks if isinstance(mark, TextMark)]
    assert size == pytest.approx(9.0 * made.height_mm / held.height_mm)
    assert made.height_mm > HIGH_SHARE * sheet.frame_height_mm
