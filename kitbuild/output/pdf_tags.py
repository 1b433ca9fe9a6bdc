"""The structure tree of a PDF: which mark on which page belongs to which element, in reading order.

Elements are made in the order of blocks, before anything is drawn; drawing adds marks to them. A block that
runs over several pages is one element with several marks (ISO 32000-1, 14.7 and 14.8).
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

from reportlab.pdfbase.pdfdoc import (
    PDFArray,
    PDFDictionary,
    PDFName,
    PDFObject,
    PDFObjectReference,
    PDFString,
)
from reportlab.pdfgen.canvas import Canvas

from kitbuild.output import pdf_ink

#: Roles that mean something even with nothing in them: an empty cell still has its column.
_KEPT_EMPTY = frozenset({"TH", "TD"})


@dataclass(eq=False, slots=True)
class Element:
    """One node of the tree; `marks` are (place, page from 1, marked content identifier).

    The place is that of the page in reading order, which folded sheets do not follow.

    `language` is "" where it is the document's; `numbering` says how a list's items are marked.
    """

    tree: Tree
    role: str
    alt: str = ""
    language: str = ""
    numbering: str = ""
    box_pt: tuple[float, float, float, float] | None = None
    kids: list[Element] = field(default_factory=list)
    marks: list[tuple[int, int, int]] = field(default_factory=list)

    def add(self, role: str, alt: str = "", language: str = "") -> Element:
        """A new last child."""
        kid = Element(self.tree, role, alt, language)
        self.kids.append(kid)
        return kid

    @contextmanager
    def marked(self, canvas: Canvas) -> Iterator[None]:
        """What is drawn within belongs to this element."""
        if self.tree.quiet:
            yield
            return
        page = canvas.getPageNumber()
        row = self.tree.rows.setdefault(page, [])
        self.marks.append((self.tree.place or page, page, len(row)))
        canvas.addLiteral(f"/{self.role} <</MCID {len(row)}>> BDC")
        row.append(self)
        yield
        canvas.addLiteral("EMC")

    def filled(self) -> bool:
        """Whether the element, or anything in it, was drawn or must stand empty."""
        return bool(self.marks) or self.role in _KEPT_EMPTY or any(kid.filled() for kid in self.kids)


Places = dict[Element, PDFObjectReference]


class Tree:
    """The tree of one file; `rows` holds, for each page from 1, the element of each of its marks.

    `place` is where what is drawn now stands in reading order, 0 where that is the page.
    """

    def __init__(self) -> None:
        self.root = Element(self, "Document")
        self.rows: dict[int, list[Element]] = {}
        self.quiet = False
        self.place = 0

    @contextmanager
    def artifact(self, canvas: Canvas, properties: str = "") -> Iterator[None]:
        """What is drawn within is furniture: rules, shades, footers, repeated headers."""
        if self.quiet:
            yield
            return
        canvas.addLiteral(f"/Artifact {properties} BDC" if properties else "/Artifact BMC")
        self.quiet = True
        yield
        self.quiet = False
        canvas.addLiteral("EMC")

    def write(self, canvas: Canvas, pages: int) -> None:
        """Put the finished tree into the file; every page has been shown."""
        root = PDFDictionary({"Type": PDFName("StructTreeRoot")})
        top = pdf_ink.reference(canvas, root)
        places: Places = {}
        root["K"] = _write_element(canvas, self.root, top, places)
        root["ParentTree"] = pdf_ink.reference(canvas, self._parents(canvas, pages, places))
        root["ParentTreeNextKey"] = pages
        canvas.setCatalogEntry("StructTreeRoot", root)
        canvas.setCatalogEntry("MarkInfo", PDFDictionary({"Marked": "true"}))
        pdf_ink.prepare_pages(canvas)

    def _parents(self, canvas: Canvas, pages: int, places: Places) -> PDFDictionary:
        numbers: list[pdf_ink.Value] = []
        for page in range(1, pages + 1):
            row = pdf_ink.Row([places[element] for element in self.rows.get(page, [])])
            numbers += [page - 1, pdf_ink.reference(canvas, row)]
        return PDFDictionary({"Nums": PDFArray(numbers)})


def spoken(text: str) -> str:
    """The operator that opens a stretch of drawing which stands for `text`; EMC closes it."""
    return f"/Span <</ActualText <FEFF{text.encode('utf-16-be').hex().upper()}>>> BDC"


def _write_element(
    canvas: Canvas, element: Element, parent: PDFObjectReference, places: Places
) -> PDFObjectReference:
    entries: dict[str, pdf_ink.Value] = {}
    place = places[element] = pdf_ink.reference(canvas, pdf_ink.Entries(entries))
    if attributes := _attributes(element):
        entries["A"] = attributes
    if element.alt:
        entries["Alt"] = PDFString(element.alt)
    kids: list[pdf_ink.Value] = []
    marks = sorted(element.marks)
    first = marks[0][1] if marks else 0
    kids += [mark if page == first else _mark_elsewhere(page, mark) for _, page, mark in marks]
    kids += [_write_element(canvas, kid, place, places) for kid in element.kids if kid.filled()]
    if kids:
        entries["K"] = kids
    if element.language:
        entries["Lang"] = PDFString(element.language)
    entries["P"] = parent
    if first:
        entries["Pg"] = pdf_ink.page_reference(first)
    entries |= {"S": element.role, "Type": "StructElem"}
    return place


def _mark_elsewhere(page: int, mark: int) -> pdf_ink.Entries:
    return pdf_ink.Entries({"MCID": mark, "Pg": pdf_ink.page_reference(page), "Type": "MCR"})


def _attributes(element: Element) -> PDFObject | None:
    if element.role == "TH":
        return pdf_ink.Entries({"O": "Table", "Scope": "Column"})
    if element.numbering:
        return pdf_ink.Entries({"ListNumbering": element.numbering, "O": "List"})
    if element.box_pt:
        box = PDFArray([round(value, 2) for value in element.box_pt])
        return PDFDictionary({"O": PDFName("Layout"), "BBox": box, "Placement": PDFName("Block")})
    return None
