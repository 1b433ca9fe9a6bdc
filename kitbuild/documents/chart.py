"""Charts as figures: a square is a hole, the grid lines are the bars, a stitch joins the middles of holes."""

from __future__ import annotations

import numpy as np

from kitbuild.base.blocks import (
    Figure,
    Floats,
    Ink,
    LineMarks,
    Mark,
    PolygonMark,
    StitchMarks,
    TextMark,
)
from kitbuild.base.colour import BLACK, WHITE, Rgb
from kitbuild.documents.brackets import Span, bracket_marks, words_right_mm
from kitbuild.documents.chart_key import Key, key_strip, strip_lines, strip_mm, type_mm
from kitbuild.documents.chart_type import MM, USUAL, ChartType
from kitbuild.documents.first_frame import frame
from kitbuild.documents.hatching import hatching
from kitbuild.documents.scale_bar import scale_bar, scale_width_mm
from kitbuild.documents.window import Window, brackets_mm
from kitbuild.pattern.panel import Stitches

DARK: Rgb = (50, 50, 50)


def room_mm(
    frame_width_mm: float,
    frame_height_mm: float,
    key: Key,
    bracket_lines: int,
    sizes: ChartType = USUAL,
    *,
    scaled: bool = False,
) -> tuple[float, float]:
    """Width and height that a frame leaves for the grid, with all that stands round it allowed for."""
    strip = strip_lines(key, sizes.least_strip_mm, sizes) * sizes.strip_line_mm + 3 if key else 0
    around = 2 * sizes.band_mm + brackets_mm(bracket_lines, sizes) + strip
    around += sizes.scale_mm if scaled else 0
    return frame_width_mm - 2 * sizes.side_mm, frame_height_mm - around


def chart(
    alt: str,
    window: Window,
    stitches: Stitches,
    inks: tuple[Ink, ...],
    panel_size: tuple[int, int],
    *,
    first_stitch: tuple[int, int, int, int] | None = None,
    spans: tuple[Span, ...] = (),
    notes: tuple[Mark, ...] = (),
    key: Key = (),
    scale: str = "",
    caption: str = "",
) -> Figure:
    """The chart of a window; `panel_size` is (columns, rows) of the whole stitched area.

    `first_stitch` (x1, y1, x2, y2) is framed; `key` draws a strip of colour patches below the grid, `scale` a
    bar to measure with these words.
    """
    marks: list[Mark] = [*_grid(window), *_heavy_lines(window)]
    marks += _worked(window, stitches, inks)
    marks += [*_numbers(window), *_centre_marks(window, panel_size)]
    if first_stitch:
        marks += frame(window, first_stitch)
    marks += bracket_marks(window, spans)
    foot, width, height = _below(window, key, scale)
    width = max(window.figure_mm, width, words_right_mm(window, spans))
    return Figure(alt, width, height, (*marks, *foot, *notes), caption)


def _below(window: Window, key: Key, scale: str) -> tuple[list[Mark], float, float]:
    """What stands below the grid and its numbers; how far right and how far down it reaches in the figure."""
    sizes, left, height = window.sizes, window.left_mm, window.foot_mm + window.sizes.band_mm
    strip_width = max(window.width_mm + sizes.side_mm, sizes.least_strip_mm)
    marks, lines = key_strip(key, left, height + 2, strip_width, sizes)
    width = left + strip_mm(key, strip_width, sizes)
    height += 2 + lines * sizes.strip_line_mm if key else 0
    if scale:
        marks += scale_bar(left, height + 1, scale, sizes)
        width, height = max(width, left + scale_width_mm(scale, sizes)), height + sizes.scale_mm
    return marks, width, height


def visible(window: Window, stitches: Stitches) -> tuple[Stitches, Floats, Floats]:
    """Stitches that the window shows, in display columns, with the middles of their visible parts.

    A middle is not a number where less than a bar is visible, so that no symbol is drawn there.
    """
    place = np.zeros(int(max(window.columns.max(), stitches.x2.max(), 1)) + 2, dtype=np.int64)
    place[window.columns] = np.arange(1, len(window.columns) + 1)
    shown = (place[stitches.x1] > 0) | (place[stitches.x2] > 0)
    shown &= (stitches.y2 >= window.top) & (stitches.y1 <= window.bottom)
    part = stitches.take(shown)
    x1 = np.where(place[part.x1] > 0, place[part.x1], place[part.x2] - (part.x2 - part.x1))
    x2 = x1 + (part.x2 - part.x1)
    moved = Stitches(x1, part.y1, x2, part.y2, part.colour, part.row, part.course)
    low_y, high_y = np.maximum(part.y1, window.top - 0.5), np.minimum(part.y2, window.bottom + 0.5)
    low_x, high_x = np.maximum(x1, 0.5), np.minimum(x2, len(window.columns) + 0.5)
    clear = (high_y - low_y) + (high_x - low_x) >= 1
    middle_x = np.where(clear, (low_x + high_x) / 2, np.nan)
    return moved, middle_x, np.where(clear, (low_y + high_y) / 2, np.nan)


def _worked(window: Window, stitches: Stitches, inks: tuple[Ink, ...]) -> list[Mark]:
    """The stitches, and slanting lines over what stood on the page before."""
    if not len(stitches):
        return []
    shown, middle_x, middle_y = visible(window, stitches)
    origin = (window.x_mm(0), window.y_mm(0))
    box = (window.left_mm, window.top_mm, window.width_mm, window.height_mm)
    ends = (each.astype(np.float64) for each in (shown.x1, shown.y1, shown.x2, shown.y2))
    return [
        StitchMarks(
            *ends,
            shown.colour,
            inks,
            origin,
            window.hole_mm,
            symbol_x=middle_x,
            symbol_y=middle_y,
            clip_mm=box,
        ),
        *hatching(window, middle_x, middle_y),
    ]


def _grid(window: Window) -> list[Mark]:
    """Thin lines along every bar."""
    across = np.arange(len(window.columns) + 1) * window.hole_mm + window.left_mm
    below = np.arange(window.bottom - window.top + 2) * window.hole_mm + window.top_mm
    return [LineMarks(_ruled(window, across, below), window.sizes.grid_mm, window.sizes.grid_rgb)]


def _heavy_lines(window: Window) -> list[Mark]:
    """Heavy lines after each tenth hole, and round the whole grid."""
    tenth = [at for at, column in enumerate(window.columns.tolist(), 1) if column % 10 == 0]
    across = np.array([0, *tenth, len(window.columns)]) * window.hole_mm + window.left_mm
    rows = [row - window.top + 1 for row in range(window.top, window.bottom + 1) if row % 10 == 0]
    below = np.array([0, *rows, window.bottom - window.top + 1]) * window.hole_mm + window.top_mm
    breaks = [(window.x_mm(at) - window.hole_mm / 2) for at in window.breaks]
    cut = [(x, window.top_mm - 2, x, window.top_mm + window.height_mm + 2) for x in breaks]
    marks: list[Mark] = [LineMarks(_ruled(window, across, below), 0.4, DARK)]
    if cut:
        marks.append(LineMarks(np.array(cut), 0.5, BLACK, (1.5, 1.0)))
    return marks


def _ruled(window: Window, across: Floats, below: Floats) -> Floats:
    """Lines over the whole grid at these x and y."""
    left, top = window.left_mm, window.top_mm
    right, bottom = window.right_mm, window.foot_mm
    upright = [(x, top, x, bottom) for x in across.tolist()]
    return np.array([*upright, *((left, y, right, y) for y in below.tolist())])


def _numbers(window: Window) -> list[Mark]:
    """Hole numbers at each tenth column and row, at all four sides, and where the columns jump."""
    marks: list[Mark] = []
    size = window.sizes.number_pt
    left, right = window.left_mm - 3, window.right_mm + 3
    above, below = window.top_mm - 3, window.foot_mm + 3.4 + 0.73 * size * MM
    for at in numbered(window):
        x, text = window.x_mm(at), str(int(window.columns[at - 1]))
        marks.append(TextMark(x, above, text, size, "middle"))
        marks.append(TextMark(x, below, text, size, "middle"))
    for row in tenths(window.top, window.bottom):
        y = window.y_mm(row) + 0.365 * size * MM
        marks.append(TextMark(left, y, str(row), size, "end"))
        marks.append(TextMark(right, y, str(row), size))
    return marks


def tenths(first: int, last: int) -> list[int]:
    """The hole rows with a number: the first of the piece and each tenth."""
    return [row for row in range(first, last + 1) if row % 10 == 0 or row == 1]


def numbered(window: Window) -> list[int]:
    """Display columns with a number: column 1, each tenth, the first after a jump; else the first shown."""
    columns = window.columns.tolist()
    tenth = [at for at, column in enumerate(columns, 1) if column % 10 == 0 or column == 1]
    jumps = [at for at in window.breaks if columns[at - 1] != columns[at - 2] + 1]
    room = 2 * window.sizes.number_pt * MM / window.hole_mm
    found = {*tenth, *(at for at in jumps if all(abs(at - other) >= room for other in tenth))}
    return sorted(found) or [1]


def _centre_marks(window: Window, panel_size: tuple[int, int]) -> list[Mark]:
    """Arrow heads at the centre column and row; of two, the left and the upper."""
    column, row = (panel_size[0] + 1) // 2, (panel_size[1] + 1) // 2
    marks: list[Mark] = []
    right, bottom, size = window.right_mm, window.foot_mm, window.sizes.arrow_mm
    for at in np.flatnonzero(window.columns == column):
        x = window.x_mm(int(at) + 1)
        marks.append(_arrow(x, window.top_mm - 0.2, 0, 1, size))
        marks.append(_arrow(x, bottom + 0.2, 0, -1, size))
    if window.top <= row <= window.bottom:
        y = window.y_mm(row)
        marks.append(_arrow(window.left_mm - 0.2, y, 1, 0, size))
        marks.append(_arrow(right + 0.2, y, -1, 0, size))
    return marks


def paper_behind(x: float, y: float, text: str, size_pt: float) -> PolygonMark:
    """White under a number about `x` on the base line `y`, so that no line of the grid runs through it."""
    half, high = type_mm(text, size_pt) / 2 + 0.1, 0.73 * size_pt * MM
    left, right, top, foot = x - half, x + half, y - high - 0.25, y + 0.25
    return PolygonMark(((left, top), (right, top), (right, foot), (left, foot)), fill=WHITE)


def _arrow(x: float, y: float, dx: int, dy: int, size_mm: tuple[float, float]) -> PolygonMark:
    """A filled triangle of this breadth and length with its tip at (x, y), pointing along (dx, dy)."""
    breadth, length = size_mm
    back_x, back_y, half = x - dx * length, y - dy * length, breadth / 2
    return PolygonMark(
        ((x, y), (back_x + dy * half, back_y + dx * half), (back_x - dy * half, back_y - dx * half)),
        fill=BLACK,
    )
