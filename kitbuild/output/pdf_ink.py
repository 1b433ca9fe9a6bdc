"""All that leans on private names of reportlab, in one place.

Checked against reportlab 5.1; pyproject.toml ends the range before the next major version, and
tests/output/test_pdf_ink.py compares what is done here with the slow public route.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from io import BytesIO

from reportlab.lib.colors import Color
from reportlab.pdfbase.pdfdoc import (
    PDFArray,
    PDFDictionary,
    PDFInfo,
    PDFName,
    PDFObject,
    PDFObjectReference,
    PDFString,
    xObjectName,
)
from reportlab.pdfgen.canvas import Canvas

from kitbuild.base.colour import grey


class Info(PDFInfo):
    """Document information that names a date only when the document has one."""

    def __init__(self, title: str, author: str, subject: str, date: str) -> None:
        super().__init__()
        self.title, self.author, self.subject, self.date = title, author, subject, date

    def format(self, document: object) -> bytes:
        """The dictionary in PDF syntax; `date` is ISO 8601, taken as midnight UTC."""
        texts = {"Title": self.title, "Author": self.author, "Subject": self.subject, "Creator": "kitbuild"}
        if self.date:
            texts["CreationDate"] = texts["ModDate"] = f"D:{self.date.replace('-', '')}000000Z"
        entries = {key: PDFString(text) for key, text in texts.items() if text}
        return PDFDictionary({**entries, "Producer": PDFString(self.producer)}).format(document)


class BlackCanvas(Canvas):
    """A canvas with black ink alone: each colour is a grey as light as it is (PDF's DeviceGray)."""

    def setFillColor(self, aColor: Color, alpha: float | None = None) -> None:
        """A grey."""
        self.setFillGray(_grey(aColor), alpha)

    def setStrokeColor(self, aColor: Color, alpha: float | None = None) -> None:
        """A grey."""
        self.setStrokeGray(_grey(aColor), alpha)


def _grey(tint: Color) -> float:
    red, green, blue = (round(255 * channel) for channel in tint.rgb())
    return round(grey((red, green, blue))[0] / 255, 3)


Value = int | str | PDFObject | list["Value"]


class Entries(PDFObject):
    """A dictionary in PDF syntax, written straight out: structure trees have thousands of them.

    Keys come in order; a value that is a str is a name.
    """

    def __init__(self, entries: dict[str, Value]) -> None:
        self.entries = entries

    def format(self, document: object) -> bytes:
        """The bytes that reportlab's own dictionary has."""
        rows = [b"/%s %s" % (key.encode(), _syntax(value, document)) for key, value in self.entries.items()]
        return b"<<\n" + _row(rows, 6) + b"\n>>"


class Row(PDFObject):
    """An array in PDF syntax, written straight out."""

    def __init__(self, values: list[Value]) -> None:
        self.values = values

    def format(self, document: object) -> bytes:
        """The bytes that reportlab's own array has."""
        return _syntax(self.values, document)


def _syntax(value: Value, document: object) -> bytes:
    match value:
        case int():
            return b"%d" % value
        case str():
            return b"/" + value.encode()
        case list():
            return b"[ " + _row([_syntax(each, document) for each in value], 10) + b" ]"
        case PDFObjectReference():
            return b"%d %d R" % document.idToObjectNumberAndVersion[value.name]
        case _:
            return value.format(document)


def _row(words: list[bytes], most: int) -> bytes:
    """Words with blanks between them, on a new line after each `most`."""
    rows = [b" ".join(words[at : at + most]) for at in range(0, len(words), most)]
    return b" \n  ".join(rows)


def open_canvas(
    target: BytesIO, size_pt: tuple[float, float], font: str, language: str, info: Info, *, mono: bool = False
) -> Canvas:
    """A canvas that starts in `font`, so that no page names a font that is not embedded."""
    canvas = (BlackCanvas if mono else Canvas)(
        target, pagesize=size_pt, pageCompression=1, pdfVersion=(1, 7), initialFontName=font, lang=language
    )
    canvas._doc.info = info
    return canvas


def place_forms(canvas: Canvas, placements: str, names: Iterable[str]) -> None:
    """Add `placements`, operators that draw the forms `names`, to the page as they are."""
    canvas._code.append(placements)
    canvas._formsinuse.extend(names)


def operator(name: str) -> str:
    """What draws the form `name` in a content stream."""
    return f"/{xObjectName(name)} Do"


def reference(canvas: Canvas, thing: PDFObject) -> PDFObjectReference:
    """`thing` made an object of the file; PDF objects refer to it by what is returned."""
    return canvas._doc.Reference(thing)


def page_reference(number: int) -> PDFObjectReference:
    """The page `number`, counted from 1."""
    return PDFObjectReference(f"Page{number}")


def prepare_pages(canvas: Canvas) -> None:
    """Tie each finished page to its row of the structure's parent tree; tab order follows the structure."""
    for row, page in enumerate(canvas._doc.Pages.pages):
        page.__NoDefault__ = [*page.__NoDefault__, "StructParents", "Tabs"]
        page.StructParents = row
        page.Tabs = PDFName("S")


def label_pages(canvas: Canvas, labels: Iterable[str]) -> None:
    """What each page is called in a viewer, the numbers that are printed on it (ISO 32000-1, 12.4.2)."""
    numbers: list[object] = []
    for at, label in enumerate(labels):
        numbers += [at, PDFDictionary({"P": PDFString(label)})]
    canvas.setCatalogEntry("PageLabels", PDFDictionary({"Nums": PDFArray(numbers)}))


def seal(canvas: Canvas) -> None:
    """Give the file an identifier made from its pages."""
    document = canvas._doc
    digest = hashlib.md5(usedforsecurity=False)
    for page in document.Pages.pages:
        digest.update(page.stream.encode("utf-8"))
    document.updateSignature(digest.digest())
