"""A figure's marks on paper, in the order in which they are given."""

from __future__ import annotations

from reportlab.lib.utils import simpleSplit
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas

from kitbuild.base.blocks import (
    Figure,
    LineMarks,
    Mark,
    PolygonMark,
    StitchMarks,
    TextBoxMark,
    TextMark,
    TextStackMark,
)
from kitbuild.base.colour import BLACK
from kitbuild.base.document import DoesNotFit
from kitbuild.output.pdf_flow import Piece
from kitbuild.output.pdf_stitches import Forms, draw_stitches
from kitbuild.output.pdf_style import BOLD, PLAIN, colour, mm

#: Millimetres by which a figure may exceed its frame through rounding.
_SLACK_MM = 0.02
_LEADING = 1.2
_APART = 1.5
"""Points between two paragraphs of a stack, at least."""


class Drawing(Piece):
    """A figure at its own size, centred."""

    def __init__(self, figure: Figure, forms: Forms) -> None:
        super().__init__()
        self.figure, self.forms, self.hAlign = figure, forms, "CENTER"
        self.width, self.height = mm(figure.width_mm), mm(figure.height_mm)

    def wrap(self, width: float, _height: float) -> tuple[float, float]:
        """Its own size; DoesNotFit when it is wider than the frame or cell it stands in."""
        if self.width > width + mm(_SLACK_MM):
            room_mm = round(width / mm(1), 2)
            name, size_mm = self.figure.alt, self.figure.width_mm
            raise DoesNotFit(f"figure {name!r} is {size_mm:.1f} mm wide, but there are {room_mm} mm")
        return self.width, self.height

    def figures(self) -> list[str]:
        """Its description and height."""
        return [f"figure {self.figure.alt!r} is {self.figure.height_mm} mm high"]

    def draw(self) -> None:
        """All marks; the origin is the lower left corner."""
        for mark in self.figure.marks:
            self._draw_mark(mark)

    def _draw_mark(self, mark: Mark) -> None:
        match mark:
            case StitchMarks():
                draw_stitches(self.canv, mark, self.height, self.forms)
            case LineMarks():
                _draw_lines(self.canv, mark, self.height)
            case PolygonMark():
                _draw_polygon(self.canv, mark, self.height)
            case TextMark():
                _draw_text(self.canv, mark, self.height)
            case TextStackMark():
                _draw_stack(self.canv, mark, self.height)
            case TextBoxMark():
                _draw_box(self.canv, mark, self.height)


def _draw_lines(canvas: Canvas, mark: LineMarks, height: float) -> None:
    if not len(mark.ends_mm):
        return
    points = mark.ends_mm * mm(1)
    points[:, 1::2] = height - points[:, 1::2]
    canvas.saveState()
    canvas.setStrokeColor(colour(mark.rgb))
    canvas.setLineWidth(round(mm(mark.pen_mm), 3))
    if mark.dash_mm:
        canvas.setDash([round(mm(dash), 3) for dash in mark.dash_mm])
    path = " ".join([f"{a} {b} m {c} {d} l" for a, b, c, d in points.round(2).tolist()])
    canvas.addLiteral(f"{path} S")
    canvas.restoreState()


def _draw_polygon(canvas: Canvas, mark: PolygonMark, height: float) -> None:
    canvas.saveState()
    canvas.setLineWidth(round(mm(mark.pen_mm), 3))
    canvas.setLineJoin(1)
    if mark.fill is not None:
        canvas.setFillColor(colour(mark.fill))
    if mark.outline is not None:
        canvas.setStrokeColor(colour(mark.outline))
    path = canvas.beginPath()
    (x, y), *others = mark.points_mm
    path.moveTo(mm(x), height - mm(y))
    for x, y in others:
        path.lineTo(mm(x), height - mm(y))
    path.close()
    if mark.fill is not None or mark.outline is not None:
        canvas.drawPath(path, stroke=int(mark.outline is not None), fill=int(mark.fill is not None))
    canvas.restoreState()


def _draw_text(canvas: Canvas, mark: TextMark, height: float) -> None:
    canvas.saveState()
    canvas.translate(mm(mark.x_mm), height - mm(mark.y_mm))
    if mark.turned:
        canvas.rotate(90)
    canvas.setFillColor(colour(mark.rgb))
    canvas.setFont(BOLD if mark.bold else PLAIN, mark.size_pt)
    draw = {"start": canvas.drawString, "middle": canvas.drawCentredString, "end": canvas.drawRightString}
    draw[mark.anchor](0, 0, mark.text)
    canvas.restoreState()


def _draw_box(canvas: Canvas, mark: TextBoxMark, height: float) -> None:
    """Lines from the top of the rectangle down; DoesNotFit where the least size is too large."""
    font, width, room = BOLD if mark.bold else PLAIN, mm(mark.width_mm), mm(mark.height_mm)
    size = mark.size_pt
    rows = _rows(mark.text, font, size, width)
    while not _fits(rows, font, size, width, room):
        size -= 0.25
        if size < mark.least_pt:
            raise DoesNotFit(f"{mark.text[:40]!r} in {mark.width_mm:g} x {mark.height_mm:g} mm")
        rows = _rows(mark.text, font, size, width)
    canvas.saveState()
    canvas.setFillColor(colour(BLACK))
    canvas.setFont(font, size)
    for at, row in enumerate(rows):
        canvas.drawString(mm(mark.left_mm), height - mm(mark.top_mm) - size * (0.95 + _LEADING * at), row)
    canvas.restoreState()


def _draw_stack(canvas: Canvas, mark: TextStackMark, height: float) -> None:
    """Paragraphs from the top of the rectangle to its foot, with what is free between them."""
    made = _stacked(mark)
    free = mm(mark.height_mm) - sum(_deep(rows, size) for rows, _, size in made)
    top = mm(mark.top_mm)
    canvas.saveState()
    canvas.setFillColor(colour(BLACK))
    for rows, font, size in made:
        canvas.setFont(font, size)
        for at, row in enumerate(rows):
            canvas.drawString(mm(mark.left_mm), height - top - size * (0.95 + _LEADING * at), row)
        top += _deep(rows, size) + free / max(1, len(made) - 1)
    canvas.restoreState()


def _stacked(mark: TextStackMark) -> list[tuple[list[str], str, float]]:
    """Rows, font and size of each paragraph, as large as they fit; DoesNotFit below their least size."""
    width, room, less = mm(mark.width_mm), mm(mark.height_mm), 0.0
    while True:
        made = []
        for part in mark.parts:
            font, size = BOLD if part.bold else PLAIN, max(part.least_pt, part.size_pt - less)
            made.append((_rows(part.text, font, size, width), font, size))
        deep = sum(_deep(rows, size) for rows, _, size in made)
        if deep + _APART * (len(made) - 1) <= room and all(_fits(*each, width, room) for each in made):
            return made
        if all(part.size_pt - less <= part.least_pt for part in mark.parts):
            longest = max(mark.parts, key=lambda part: len(part.text))
            raise DoesNotFit(f"{longest.text[:40]!r} in {mark.width_mm:g} x {mark.height_mm:g} mm")
        less += 0.25


def _rows(text: str, font: str, size: float, width: float) -> list[str]:
    return [row for line in text.split("\n") for row in simpleSplit(line, font, size, width) or [""]]


def _deep(rows: list[str], size: float) -> float:
    """The height of some lines, the descenders of the last in."""
    return size * (_LEADING * (len(rows) - 1) + 1.2)


def _fits(rows: list[str], font: str, size: float, width: float, room: float) -> bool:
    """Whether all lines stand within the rectangle, its last line's descenders too."""
    return _deep(rows, size) <= room and all(stringWidth(row, font, size) <= width for row in rows)
