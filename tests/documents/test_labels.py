"""Bar codes are read back as they were meant, keep their quiet zones, and never leave their label."""

from __future__ import annotations

from dataclasses import replace

import pypdfium2
import pytest
import segno
import zxingcpp
from PIL import Image

from kitbuild.base.blocks import (
    Figure,
    LineMarks,
    Mark,
    PolygonMark,
    TextBoxMark,
    TextMark,
    TextPart,
    TextStackMark,
)
from kitbuild.base.document import SHEETS, Document, DoesNotFit, Sheet
from kitbuild.batch import documents_of
from kitbuild.documents import barcodes
from kitbuild.documents.run_job import RunJob
from kitbuild.documents.run_labels import box_label, bundle_label, run_labels
from kitbuild.documents.wording import wording
from kitbuild.output.pdf import render_pdf
from kitbuild.spec.house import LabelStock
from tests.documents.dump import words_of
from tests.documents.runs import job_of, run_job
from tests.figures import rows
from tests.production.stores import ALL, order, plenty

PUBLISHED = [
    row for row in rows("gtin_check_digit.csv") if row["kind"] in ("GTIN-13", "GTIN-12", "EAN-8", "RCN-13")
]


def page(marks: list[Mark], width: float, height: float) -> Document:
    sheet = Sheet("label", width, height, 0.0, 0.0)
    figure = Figure("a label", width, height, tuple(marks))
    return Document("label", "Label", "X", 0, "en", sheet, (figure,), "")


def picture(document: Document, dpi: int, number: int = 0) -> Image.Image:
    return pypdfium2.PdfDocument(render_pdf(document))[number].render(scale=dpi / 72).to_pil()


def read(image: Image.Image) -> list[str]:
    return sorted(found.text for found in zxingcpp.read_barcodes(image))


@pytest.mark.parametrize("row", PUBLISHED, ids=lambda row: row["full"])
@pytest.mark.parametrize("dpi", [203, 300])
@pytest.mark.parametrize("room", [29.9, 37.3])
def test_numbers_are_read_back(row: dict[str, str], dpi: int, room: float) -> None:
    made = barcodes.ean(row["full"], room, 40)
    assert made is not None
    marks = barcodes.ean_marks(made, 0, 0)
    (found,) = read(picture(page(marks, made.width_mm, made.height_mm), dpi))
    assert found.lstrip("0") == row["full"].lstrip("0")


@pytest.mark.parametrize("row", rows("gtin_invalid.csv"), ids=lambda row: row["error"])
def test_a_wrong_check_digit_is_never_drawn(row: dict[str, str]) -> None:
    if row["detected"] == "1":
        with pytest.raises(ValueError, match="not a GTIN"):
            barcodes.ean(row["number"], 100, 100)


@pytest.mark.parametrize("row", rows("ean13_sizes.csv"), ids=lambda row: row["magnification"])
def test_sizes_are_those_of_the_specification(row: dict[str, str]) -> None:
    made = barcodes.ean("6291041500213", float(row["width_with_quiet_mm"]) + 0.01, 100)
    assert made is not None
    assert made.magnification == float(row["magnification"])
    assert made.width_mm == pytest.approx(float(row["width_with_quiet_mm"]), abs=0.011)
    assert made.height_mm == pytest.approx(float(row["overall_height_mm"]), abs=0.011)
    lines = [mark for mark in barcodes.ean_marks(made, 0, 0) if isinstance(mark, LineMarks)]
    left = min(mark.ends_mm[:, 0].min() - mark.pen_mm / 2 for mark in lines)
    right = max(mark.ends_mm[:, 0].max() + mark.pen_mm / 2 for mark in lines)
    assert left == pytest.approx(float(row["left_quiet_mm"]), abs=0.011)
    assert made.width_mm - right == pytest.approx(float(row["right_quiet_mm"]), abs=0.011)
    assert right - left == pytest.approx(float(row["bars_mm"]), abs=0.011)
    assert max(mark.ends_mm[:, 3].max() for mark in lines) == pytest.approx(
        float(row["bar_height_mm"]), abs=0.011
    )


def test_no_room_is_no_code() -> None:
    assert barcodes.ean("6291041500213", 29.8, 100) is None
    assert barcodes.ean("6291041500213", 100, 20.7) is None
    assert barcodes.qr_size_mm("kit=WHIN", 5) is None


@pytest.mark.parametrize("text", ["kit=WHIN;edition=1;run=w41", "lot=" + "é" * 40])
def test_a_qr_code_keeps_four_modules_free(text: str) -> None:
    module = barcodes.qr_size_mm(text, 25)
    assert module is not None
    (mark,) = barcodes.qr_marks(text, 0, 0, module)
    assert isinstance(mark, LineMarks)
    assert mark.ends_mm[:, 0].min() == pytest.approx(4 * module)
    assert mark.ends_mm[:, 2].max() <= 25 - 4 * module + 1e-9
    assert mark.ends_mm[:, 1].min() - module / 2 == pytest.approx(4 * module)
    for dpi in (203, 300):
        assert read(picture(page([mark], 25, 25), dpi)) == [text]


def test_the_matrix_is_as_large_as_its_version_says() -> None:
    """17 + 4 V modules a side (ISO/IEC 18004)."""
    made = segno.make_qr("kit=WHIN;edition=1;run=w41", error="m", boost_error=False)
    assert len(made.matrix) == 17 + 4 * made.version


@pytest.mark.parametrize("dpi", [203, 300])
def test_every_label_of_a_run_is_read_back(dpi: int) -> None:
    job = run_job()
    document = run_labels(job)
    pages = [block for block in document.blocks if isinstance(block, Figure)]
    found = [text for at in range(len(pages)) for text in read(picture(document, dpi, at))]
    wanted = [
        f"kit={code};edition=1;run=w41;box=w41-{code}-{number:03}"
        for code in job.run.kits
        for number in range(1, job.run.boxes(code) + 1)
    ]
    for line in job.run.lines:
        if line.pick.kind == "thread" and line.lot:
            text = f"kit={line.kit};edition=1;run=w41;item={line.pick.item};lot={line.lot.lot}"
            wanted += [text] * line.boxes
    assert sorted(found) == sorted(wanted)


def with_gtin(job: RunJob, code: str) -> RunJob:
    one = job.jobs[code]
    amounts = replace(one.amounts, kit=replace(one.kit, gtin="7300011000017"))
    return replace(job, jobs={**job.jobs, code: replace(one, amounts=amounts)})


def corners(mark: Mark) -> list[tuple[float, float]]:
    match mark:
        case TextBoxMark() | TextStackMark():
            left, top = mark.left_mm, mark.top_mm
            return [(left, top), (left + mark.width_mm, top + mark.height_mm)]
        case LineMarks():
            return [(x, y) for a, b, c, d in mark.ends_mm.tolist() for x, y in ((a, b), (c, d))]
        case PolygonMark():
            return list(mark.points_mm)
        case TextMark():
            return [(mark.x_mm, mark.y_mm)]
        case _:
            return []


@pytest.mark.parametrize("gtin", [False, True])
def test_nothing_leaves_its_label(gtin: bool) -> None:
    job = with_gtin(run_job(), "WHIN") if gtin else run_job()
    labels = job.house.labels
    made = [(box_label(job, "WHIN", labels.box, 7), labels.box)]
    thread = next(line for line in job.run.lines if line.pick.kind == "thread")
    made.append((bundle_label(job, thread, labels.bundle), labels.bundle))
    for label, stock in made:
        points = [point for mark in label for point in corners(mark)]
        assert all(0 <= x <= stock.width_mm and 0 <= y <= stock.height_mm for x, y in points)


def test_a_kit_with_a_number_shows_it() -> None:
    job = with_gtin(run_job(), "WHIN")
    label, stock = box_label(job, "WHIN", job.house.labels.box, 7), job.house.labels.box
    assert read(picture(page(label, stock.width_mm, stock.height_mm), 300)) == ["7300011000017"]


def test_what_a_label_says() -> None:
    job = run_job()
    labels = replace(job.house.labels, origin="Made in Quillmere")
    job = replace(job, house=replace(job.house, labels=labels))
    words = " ".join(text for mark in box_label(job, "WHIN", labels.box, 7) for text in words_of(mark))
    kit = job.jobs["WHIN"].kit
    for wanted in (
        kit.title,
        "WHIN · edition 1 · batch w41",
        "Box w41-WHIN-007",
        "Yarn: wool",
        "Made in Quillmere",
        job.house.name,
        *job.house.address,
        job.house.contact,
        "2 × skein Bark",
        "WARNING",
    ):
        assert wanted in words


SMALL = LabelStock(4, 12, 40, 20, 5, 5, 0, 0)


def test_a_label_that_is_too_small_is_told() -> None:
    job = run_job()
    with pytest.raises(DoesNotFit):
        box_label(job, "WHIN", SMALL, 7)
    with pytest.raises(DoesNotFit):
        box_label(with_gtin(job, "WHIN"), "WHIN", SMALL, 7)


def test_words_that_do_not_fit_stop_the_page() -> None:
    mark = TextBoxMark(0, 0, 10, 5, "far too many words for so small a place", 8, 6)
    with pytest.raises(DoesNotFit, match="far too many"):
        render_pdf(page([mark], 20, 20))


def lines_drawn(document: Document) -> list[tuple[float, float, str]]:
    """Each line of a page: how far its foot is from the top in mm, the height of its letters, its words."""
    text = pypdfium2.PdfDocument(render_pdf(document))[0].get_textpage()
    high = document.sheet.height_mm
    boxes = [text.get_rect(at) for at in range(text.count_rects())]
    return [
        (high - low * 25.4 / 72, (up - low) * 25.4 / 72, text.get_text_bounded(left, low, right, up))
        for left, low, right, up in boxes
    ]


def stack(above: str, below: str) -> TextStackMark:
    return TextStackMark(0, 0, 40, 30, (TextPart(above, 12, 6), TextPart(below, 8, 6)))


def test_a_stack_fills_its_height_and_shrinks_all_its_words() -> None:
    """Two words stand at the top and at the foot; many more shrink together, down to the least size."""
    (above, large, _), (below, small, _) = lines_drawn(page([stack("Above", "Below")], 40, 30))
    assert (above < 6, 28 < below < 30) == (True, True)
    assert large / small == pytest.approx(12 / 8, rel=0.05)
    words = "word " * 44
    found = lines_drawn(page([stack("Above", words)], 40, 30))
    assert found[0][1] < large
    assert max(foot for foot, _, _ in found) < 30
    with pytest.raises(DoesNotFit, match="word"):
        render_pdf(page([stack("Above", words * 3)], 40, 30))


@pytest.mark.parametrize("language", ["en", "fr", "de"])
def test_every_kit_has_a_label_in_every_language(language: str) -> None:
    orders = [order(str(at), code, 1) for at, code in enumerate(ALL)]
    job = job_of(orders, plenty(), wording(language))
    assert render_pdf(run_labels(job))


def test_words_are_as_large_as_they_may_be() -> None:
    assert render_pdf(page([TextBoxMark(0, 0, 40, 5, "few", 8, 6)], 50, 20))


def test_labels_stand_on_their_own_paper() -> None:
    job = run_job()
    letter = replace(job.house, labels=replace(job.house.labels, paper="Letter"))
    assert run_labels(replace(job, house=letter)).sheet.width_mm == SHEETS["Letter"].width_mm
    names = [document.name for document in documents_of(job, job.jobs["WHIN"].kit)]
    assert names.count("labels") == 1
