"""Flowables: what is drawn knows its element, and stacks of pieces split over pages. Lengths are points.

`split` is platypus's: parts that look well, or nothing. `tear` is asked of what stands alone at the top of an
empty page and still does not fit: any parts that fit, or nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus.flowables import Flowable

from kitbuild.output.pdf_tags import Element

#: What rounding may add to a height.
HAIR = 1e-4

Content = list["Piece"]


class Piece(Flowable):
    """A flowable that can be torn; `air` is the share of its wish for space that it gets below it."""

    air = 1.0
    heads = False
    titled = False
    """heads: what it says is the heading of what follows; titled: it begins with one."""

    def tear(self, width: float, height: float) -> Content:
        """Parts of which the first fits; nothing when that cannot be."""
        return self.split(width, height)

    def loosened(self, _width: float, _height: float) -> Content:
        """Parts of what is bound to something that may stand on the next page; nothing when nothing is."""
        return []

    def breathe(self, air: float) -> None:
        """Take this share of the usual space between pieces."""
        self.air = air

    def figures(self) -> list[str]:
        """The figures within, for the message when they do not fit."""
        return []


class Tagged(Piece):
    """The only way on to a page: `inner` is drawn as marked content of `element`."""

    def __init__(self, inner: Flowable, element: Element) -> None:
        super().__init__()
        self.inner, self.element, self.hAlign = inner, element, getattr(inner, "hAlign", "LEFT")
        self.measured: float | None = None

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Width and height of what it holds, broken into lines once for each width."""
        if self.measured != width:
            self.width, self.height = self.inner.wrap(width, height)
            self.measured = width
        return self.width, self.height

    def split(self, width: float, height: float) -> Content:
        """Each part belongs to the same element."""
        self.measured = None
        parts = [Tagged(part, self.element) for part in self.inner.split(width, height)]
        for part in parts:
            part.air = self.air
        return parts if len(parts) > 1 else []

    def drawOn(self, canvas: Canvas, x: float, y: float, _sW: float = 0) -> None:
        """Draw at (x, y), the lower left corner, in the page's coordinates."""
        x = self._hAlignAdjust(x, _sW)
        if self.element.role == "Figure":
            self.element.box_pt = (x, y, x + self.width, y + self.height)
        with self.element.marked(canvas):
            self.inner.drawOn(canvas, x, y)

    def getSpaceBefore(self) -> float:
        """As what it holds says."""
        return self.inner.getSpaceBefore()

    def getSpaceAfter(self) -> float:
        """As what it holds says."""
        return self.inner.getSpaceAfter()

    def figures(self) -> list[str]:
        """As what it holds says."""
        return self.inner.figures() if isinstance(self.inner, Piece) else []


def tagged(inner: Flowable, element: Element) -> Tagged:
    """`inner` as marked content of `element`."""
    return Tagged(inner, element)


def gap(above: Piece | None, below: Piece) -> float:
    """The space between two neighbours: the larger of their wishes, as air allows; none at the top."""
    return above.air * max(above.getSpaceAfter(), below.getSpaceBefore()) if above else 0.0


def stack_height(content: Sequence[Piece], width: float) -> float:
    """Height of pieces one below the other."""
    pairs = zip([None, *content], content, strict=False)
    return sum(gap(above, piece) + piece.wrap(width, 1e6)[1] for above, piece in pairs)


def draw_stack(canvas: Canvas, content: Sequence[Piece], x: float, top: float, width: float) -> None:
    """Draw pieces one below the other, from `top` down."""
    above = None
    for piece in content:
        used, height = piece.wrap(width, 1e6)
        top -= gap(above, piece) + height
        piece.drawOn(canvas, x, top, _sW=max(width - used, 0))
        above = piece


def split_stack(content: Content, width: float, height: float) -> tuple[Content, Content] | None:
    """What fits into `height`, and the rest; None when nothing fits, however torn."""
    room = height
    above = None
    for index, piece in enumerate(content):
        room -= gap(above, piece)
        if (needed := piece.wrap(width, 1e6)[1]) > room + HAIR:
            parts = piece.split(width, room) if index else piece.tear(width, room)
            if not parts and not index:
                return None
            return [*content[:index], *parts[:1]], [*(parts[1:] or [piece]), *content[index + 1 :]]
        room -= needed
        above = piece
    return content, []


class Kept(Piece):
    """Pieces that stay together: a heading with the start of what follows, a figure with its caption.

    What is not `firm` is words that lead to a drawing, which may stand on the next page where that fills one.
    """

    def __init__(self, content: Content, *, firm: bool = True) -> None:
        super().__init__()
        self.content, self.firm = content, firm

    def wrap(self, width: float, _height: float) -> tuple[float, float]:
        """Width given, height of the stack."""
        self.width, self.height = width, stack_height(self.content, width)
        return self.width, self.height

    def breathe(self, air: float) -> None:
        """All of its pieces do."""
        self.air = air
        for piece in self.content:
            piece.breathe(air)

    def split(self, width: float, height: float) -> Content:
        """Only the last piece splits."""
        return self._part(width, height, self.content[-1].split)

    def tear(self, width: float, height: float) -> Content:
        """The last piece is torn; when that fails, the bond."""
        return self._part(width, height, self.content[-1].tear) or self._loosen(width, height)

    def loosened(self, width: float, height: float) -> Content:
        """The words, where they fit, and the drawing; never a heading alone."""
        if self.firm:
            return []
        leads = self.content[:-1]
        if stack_height(leads, width) > height or leads[-1].heads:
            return []
        return [self._alike(leads), self.content[-1]]

    @property
    def heads(self) -> bool:
        """Whether it ends in a heading."""
        return self.content[-1].heads

    @property
    def titled(self) -> bool:
        """Whether it begins with a heading itself."""
        return self.content[0].heads

    def _part(self, width: float, height: float, cut: Callable[[float, float], Content]) -> Content:
        leads, last = self.content[:-1], self.content[-1]
        room = height - stack_height(leads, width) - gap(leads[-1], last)
        parts = cut(width, room) if room > 0 else []
        return [self._alike([*leads, parts[0]]), *parts[1:]] if len(parts) > 1 else []

    def _loosen(self, width: float, height: float) -> Content:
        parts = split_stack(self.content, width, height)
        return [self._alike(parts[0]), *parts[1]] if parts else []

    def _alike(self, content: Content) -> Piece:
        """Some of its pieces, bound as they were."""
        if len(content) == 1:
            return content[0]
        kept = Kept(content, firm=self.firm)
        kept.air = self.air
        return kept

    def drawOn(self, canvas: Canvas, x: float, y: float, _sW: float = 0) -> None:
        """Draw the stack with its foot at y."""
        draw_stack(canvas, self.content, x, y + self.height, self.width)

    def getSpaceBefore(self) -> float:
        """As the first says."""
        return self.content[0].getSpaceBefore()

    def getSpaceAfter(self) -> float:
        """As the last says."""
        return self.content[-1].getSpaceAfter()

    def figures(self) -> list[str]:
        """Those of all pieces."""
        return [name for piece in self.content for name in piece.figures()]
