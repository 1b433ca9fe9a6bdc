"""A document with every block, in every style, and helpers that read a PDF back."""

from __future__ import annotations

import numpy as np

from kitbuild.base.blocks import (
    Caution,
    Figure,
    Grid,
    Heading,
    Ink,
    LineMarks,
    PageBreak,
    Paragraph,
    Patch,
    PolygonMark,
    Steps,
    StitchMarks,
    Table,
    TextMark,
    TickBox,
)
from kitbuild.base.document import SHEETS, Document
from kitbuild.base.glyphs import SYMBOLS

RGBS = ((120, 72, 40), (60, 110, 60), (190, 190, 120), (20, 20, 30), (255, 255, 255), (230, 120, 150))
INKS = tuple(Ink(rgb, symbol) for rgb, symbol in zip(RGBS, SYMBOLS.values(), strict=False))
TRIANGLE = PolygonMark(((0, 30), (40, 30), (20, 0)), fill=(0, 90, 160))


def stitches(columns: int, rows: int, hole_mm: float, **options: object) -> StitchMarks:
    """Upright stitches over four holes, brick by brick, in all inks."""
    x, y = (grid.ravel() for grid in np.meshgrid(np.arange(columns), np.arange(rows), indexing="ij"))
    top = y * 4.0 + (x % 4)
    colour = ((x // 2 + y) % len(INKS)).astype(np.int64)
    settings = {"origin_mm": (hole_mm, hole_mm), "hole_mm": hole_mm, "inks": INKS} | options
    x = x.astype(float)
    return StitchMarks(x1=x, y1=top, x2=x, y2=top + 4, colour=colour, **settings)


def grid_lines(columns: int, rows: int, step_mm: float) -> LineMarks:
    """Lines between holes."""
    across = [(0, y * step_mm, columns * step_mm, y * step_mm) for y in range(rows + 1)]
    down = [(x * step_mm, 0, x * step_mm, rows * step_mm) for x in range(columns + 1)]
    return LineMarks(np.array(across + down, dtype=float), pen_mm=0.1, rgb=(170, 170, 170))


def chart(caption: str = "Rows 1 to 27, columns 1 to 40", shade: bool = False) -> Figure:
    """A chart with a frame, numbers and stitches cut by a clip."""
    marks = (
        grid_lines(44, 30, 4.0),
        stitches(40, 6, 4.0, clip_mm=(0.0, 0.0, 164.0, 100.0), shade=shade),
        PolygonMark(((0, 0), (164, 0), (164, 100), (0, 100)), outline=(200, 0, 0), pen_mm=0.5),
        TextMark(164, 106, "40 columns", anchor="end"),
        TextMark(170, 50, "27 rows", turned=True, anchor="middle", bold=True),
    )
    return Figure(f"Chart of the band, {'as stitched' if shade else 'by colour'}", 176, 120, marks, caption)


def every_block() -> tuple:
    """All blocks."""
    key_rows = tuple(
        (Patch(ink, f"colour {n}"), f"wool-{n:04}", str(n * 37), TickBox()) for n, ink in enumerate(INKS)
    )
    return (
        Heading(1, "Larch-wood tea-tin band"),
        Paragraph("A band of 3 repeats, stitched on plastic canvas & <b>sewn</b> into a sleeve.", "lead"),
        Paragraph("Work with one strand. Keep the back tidy: never cross a bar that is still open. " * 5),
        Heading(2, "What is in the box"),
        Table(("Colour", "Thread", "Stitches", "Here"), key_rows, (0.4, 0.3, 0.15, 0.15), "llrc", "Threads"),
        Paragraph("Thread is measured with an allowance of one needleful for each colour.", "small"),
        Heading(2, "Before you start"),
        Caution("DANGER", "Needles are sharp.", "danger"),
        Caution("WARNING", "Small parts: not for children under three years. Keep away. " * 2, "warning"),
        Caution("CAUTION", "Scissors cut.", "caution"),
        Caution("NOTICE", "Wash by hand at 30 °C.", "notice"),
        Caution("", "Plastic canvas has 7 holes to the inch, 3.63 mm from middle to middle."),
        Heading(3, "Steps"),
        Steps((f"Step with a long sentence that runs over the line end. {'More. ' * 20}",) * 3, first=9),
        Steps(("Canvas, 2 pieces", "Needle", "Threads, 6 cards"), "tick"),
        Steps(("Left hand: mirror all.", "Right hand: as drawn."), "dot"),
        PageBreak(),
        Heading(1, "Chart"),
        chart(),
        chart("As it will look", shade=True),
        Heading(2, "Side by side"),
        Grid(
            (0.5, 0.5),
            (
                (Heading(3, "Left"), Paragraph("Words. " * 30)),
                (Figure("A triangle", 40, 30, (TRIANGLE,), "Figure"),),
                (Steps(("one", "two")),),
                (Table(("A", "B"), (("1", TickBox("lot no.")),), (0.5, 0.5), "lr"),),
            ),
        ),
        Heading(2, "Picks"),
        Table(
            ("Bin", "Item", "Quantity", "Done"),
            tuple((f"B{n:02}", f"Item number {n} with a description", str(n), TickBox()) for n in range(40)),
            (0.15, 0.55, 0.15, 0.15), "llrc", "Pick in this order", "big",
        ),
    )  # fmt: skip


def document(blocks: tuple | None = None, **changes: object) -> Document:
    """A document of `blocks`."""
    values = {
        "name": "sample", "title": "Larch band: everything", "code": "LARCH", "edition": 2, "language": "en",
        "sheet": SHEETS["A4"], "blocks": every_block() if blocks is None else blocks,
        "footer": "LARCH, edition 2 · Larch-wood tea-tin band · page {page} of {pages}",
        "author": "Tide & Loom", "date": "2026-10-01",
    }  # fmt: skip
    return Document(**(values | changes))
