"""Rows of cells that split over pages: tables, grids, framed notes, hanging indents. Lengths are points."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from reportlab.pdfgen.canvas import Canvas

from kitbuild.base.colour import Rgb
from kitbuild.output.pdf_flow import HAIR, Content, Piece, draw_stack, split_stack, stack_height
from kitbuild.output.pdf_style import colour
from kitbuild.output.pdf_tags import Tree

Widths = Callable[[float], list[float]]


@dataclass(eq=False, slots=True)
class Row:
    """Cells side by side; `least` is the row's least height, `rule` the breadth of the line below it."""

    cells: list[Content]
    header: bool = False
    fill: Rgb | None = None
    rule: float = 0.0
    least: float = 0.0
    measured: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class Look:
    """How rows of cells look: padding left-right and top-bottom, a frame's pen, where short cells stand."""

    across: float = 0.0
    down: float = 0.0
    frame: float = 0.0
    frame_rgb: Rgb = (0, 0, 0)
    rule_rgb: Rgb = (40, 40, 40)
    middle: bool = False
    whole: bool = False
    """whole: rows stay on one page when a page can hold them."""
    before: float = 0.0
    after: float = 0.0


class Cells(Piece):
    """Rows of cells; header rows are repeated, as furniture, on every page."""

    def __init__(self, tree: Tree, rows: list[Row], widths: Widths, look: Look) -> None:
        super().__init__()
        self.tree, self.rows, self.widths, self.look = tree, rows, widths, look
        self.again = False
        self.spaceBefore, self.spaceAfter = look.before, look.after

    def wrap(self, width: float, _height: float) -> tuple[float, float]:
        """Width and height of all rows."""
        self.width = sum(self.widths(width))
        self.height = sum(self._row_height(row, width) for row in self.rows)
        return self.width, self.height

    def split(self, width: float, height: float) -> Content:
        """Between rows, at least one row on each page; below a repeated header two, so that none is lost."""
        least = 2 if self.rows[0].header else 1
        return [] if self.look.whole else self._between(width, height, least)

    def tear(self, width: float, height: float) -> Content:
        """Between rows, or within the first one when it alone is too high."""
        return self._between(width, height) or self._within(width, height)

    def _between(self, width: float, height: float, least: int = 1) -> Content:
        heads = sum(row.header for row in self.rows)
        room = height + HAIR - sum(self._row_height(row, width) for row in self.rows[:heads])
        fits = heads
        for row in self.rows[heads:]:
            room -= self._row_height(row, width)
            if room < 0:
                break
            fits += 1
        fits = min(fits, len(self.rows) - least) if fits < len(self.rows) else fits
        whole = heads + least <= fits < len(self.rows)
        return self._parts(self.rows[:fits], self.rows[fits:]) if whole else []

    def _within(self, width: float, height: float) -> Content:
        heads = sum(row.header for row in self.rows)
        if len(self.rows) == heads:
            return []
        row = self.rows[heads]
        room = height - sum(self._row_height(head, width) for head in self.rows[:heads]) - 2 * self.look.down
        cuts = [split_stack(c, w, room) for c, w in zip(row.cells, self._inner(width), strict=True)]
        if room <= 0 or any(cut is None for cut in cuts):
            return []
        halves = ([cut[side] for cut in cuts if cut] for side in (0, 1))
        first, rest = (replace(row, cells=cells, measured=None) for cells in halves)
        return self._parts([*self.rows[:heads], first], [rest, *self.rows[heads + 1 :]])

    def _parts(self, first: list[Row], rest: list[Row]) -> Content:
        head = Cells(self.tree, first, self.widths, replace(self.look, after=0.0))
        heads = [row for row in first if row.header]
        tail = Cells(self.tree, [*heads, *rest], self.widths, replace(self.look, before=0.0))
        head.again, tail.again = self.again, True
        head.air = tail.air = self.air
        return [head, tail]

    def _inner(self, width: float) -> list[float]:
        return [max(share - 2 * self.look.across, 1.0) for share in self.widths(width)]

    def _row_height(self, row: Row, width: float) -> float:
        if row.measured is None or row.measured[0] != width:
            content = zip(row.cells, self._inner(width), strict=True)
            height = max((stack_height(cell, inner) for cell, inner in content), default=0.0)
            row.measured = (width, max(height + 2 * self.look.down, row.least))
        return row.measured[1]

    def drawOn(self, canvas: Canvas, x: float, y: float, _sW: float = 0) -> None:
        """Draw shades and rules as furniture, then the cells in reading order."""
        self.canv_width = self.width + _sW
        heights = [self._row_height(row, self.canv_width) for row in self.rows]
        with self.tree.artifact(canvas):
            self._paint(canvas, x, y, heights)
        top = y + self.height
        for row, height in zip(self.rows, heights, strict=True):
            if row.header and self.again:
                with self.tree.artifact(canvas, "<</Type /Pagination /Subtype /Header>>"):
                    self._draw_row(canvas, row, x, top, height)
            else:
                self._draw_row(canvas, row, x, top, height)
            top -= height

    def _draw_row(self, canvas: Canvas, row: Row, x: float, top: float, height: float) -> None:
        for cell, outer, inner in zip(
            row.cells, self.widths(self.canv_width), self._inner(self.canv_width), strict=True
        ):
            slack = height - 2 * self.look.down - stack_height(cell, inner) if self.look.middle else 0.0
            draw_stack(canvas, cell, x + self.look.across, top - self.look.down - slack / 2, inner)
            x += outer

    def figures(self) -> list[str]:
        """Those of all cells."""
        pieces = (piece for row in self.rows for cell in row.cells for piece in cell)
        return [name for piece in pieces for name in piece.figures()]

    def _paint(self, canvas: Canvas, x: float, y: float, heights: list[float]) -> None:
        canvas.saveState()
        top = y + self.height
        for row, height in zip(self.rows, heights, strict=True):
            top -= height
            if row.fill:
                canvas.setFillColor(colour(row.fill))
                canvas.rect(x, top, self.width, height, stroke=0, fill=1)
            if row.rule:
                canvas.setStrokeColor(colour(self.look.rule_rgb))
                canvas.setLineWidth(row.rule)
                canvas.line(x, top, x + self.width, top)
        if self.look.frame:
            canvas.setStrokeColor(colour(self.look.frame_rgb))
            canvas.setLineWidth(self.look.frame)
            canvas.rect(x, y, self.width, self.height)
        canvas.restoreState()
