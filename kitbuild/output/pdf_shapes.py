"""Small drawings that stand in text and tables: swatches, boxes to tick, the safety alert sign. Points."""

from __future__ import annotations

from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus.flowables import Flowable

from kitbuild.base.blocks import Ink
from kitbuild.base.colour import BLACK, Rgb, ink_on, outline_of
from kitbuild.output.pdf_flow import Piece
from kitbuild.output.pdf_style import PLAIN, centred_glyph, colour
from kitbuild.output.pdf_tags import Tree, spoken


class Furniture(Piece):
    """What readers need not be told: `inner`, drawn as an artifact."""

    def __init__(self, inner: Flowable, tree: Tree) -> None:
        super().__init__()
        self.inner, self.tree, self.hAlign = inner, tree, inner.hAlign

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Width and height of what it holds."""
        self.width, self.height = self.inner.wrap(width, height)
        return self.width, self.height

    def drawOn(self, canvas: Canvas, x: float, y: float, _sW: float = 0) -> None:
        """Draw at the lower left corner (x, y)."""
        with self.tree.artifact(canvas):
            self.inner.drawOn(canvas, x, y, _sW)


class Swatch(Flowable):
    """A patch of colour with its symbol, in a box as high as a line of text."""

    def __init__(self, ink: Ink, leading: float, align: str = "LEFT") -> None:
        super().__init__()
        self.ink, self.width, self.height, self.hAlign = ink, 1.45 * leading, leading, align

    def draw(self) -> None:
        """The patch, its outline, and the symbol in the ink that reads on it."""
        canvas, width, height = self.canv, self.width, self.height
        canvas.setFillColor(colour(self.ink.rgb))
        canvas.setStrokeColor(colour(outline_of(self.ink.rgb)))
        canvas.setLineWidth(0.6)
        canvas.roundRect(0.3, 0.3, width - 0.6, height - 0.6, 1.5, stroke=1, fill=1)
        draw_symbol(canvas, self.ink.symbol, width / 2, height / 2, 0.68 * height, ink_on(self.ink.rgb))


class TickSquare(Flowable):
    """An empty square to tick, in the middle of a line of text."""

    def __init__(self, side: float, leading: float, align: str = "LEFT") -> None:
        super().__init__()
        self.side, self.leading, self.hAlign = side, leading, align
        self.width, self.height = side, max(side, leading)

    def draw(self) -> None:
        """The square; it is read out as a ballot box."""
        canvas = self.canv
        canvas.addLiteral(spoken("☐"))
        canvas.setStrokeColor(colour(BLACK))
        canvas.setLineWidth(0.8)
        canvas.rect(0.4, (self.height - self.side) / 2 + 0.4, self.side - 0.8, self.side - 0.8)
        canvas.addLiteral("EMC")


class AlertSign(Flowable):
    """The safety alert symbol of ANSI Z535.4: a triangle with an exclamation mark, in two plain colours."""

    def __init__(self, height: float, rgb: Rgb, mark_rgb: Rgb) -> None:
        super().__init__()
        self.rgb, self.mark_rgb = rgb, mark_rgb
        self.width, self.height = 1.15 * height, height

    def draw(self) -> None:
        """Triangle, then the mark as a wedge and a dot."""
        canvas, width, height = self.canv, self.width, self.height
        canvas.setFillColor(colour(self.rgb))
        _fill(canvas, [(0, 0), (width, 0), (width / 2, height)])
        canvas.setFillColor(colour(self.mark_rgb))
        middle, half = width / 2, 0.075 * height
        wedge = ((-1, 0.68), (1, 0.68), (0.5, 0.3), (-0.5, 0.3))
        _fill(canvas, [(middle + side * half, up * height) for side, up in wedge])
        canvas.circle(middle, 0.17 * height, 0.075 * height, stroke=0, fill=1)


def _fill(canvas: Canvas, points: list[tuple[float, float]]) -> None:
    path = canvas.beginPath()
    path.moveTo(*points[0])
    for point in points[1:]:
        path.lineTo(*point)
    path.close()
    canvas.drawPath(path, stroke=0, fill=1)


def draw_symbol(canvas: Canvas, char: str, x: float, y: float, size: float, rgb: Rgb) -> None:
    """The character's ink centred on (x, y), fitted into a square of `size`; open shapes get a firm line."""
    pen = 0.05 * size
    font_size, left, base = centred_glyph(char, size - pen)
    canvas.setFillColor(colour(rgb))
    canvas.setStrokeColor(colour(rgb))
    canvas.setLineWidth(round(pen, 3))
    canvas.setFont(PLAIN, font_size)
    canvas.drawString(x + left, y + base, char, mode=2)
