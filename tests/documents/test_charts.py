"""What charts show: each stitch where it can be seen, its colour and symbol; repeats rebuild all columns."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from functools import cache
from itertools import combinations, pairwise

import numpy as np
import pytest

from kitbuild.base.blocks import Figure, LineMarks, PolygonMark, StitchMarks, TextMark
from kitbuild.base.document import WALLS
from kitbuild.build import amounts_of
from kitbuild.documents.brackets import Span, bracket_lines
from kitbuild.documents.chart import chart
from kitbuild.documents.chart_key import type_mm
from kitbuild.documents.chart_pages import shows_news
from kitbuild.documents.chart_type import LARGE, MM, USUAL, ChartType, for_wall
from kitbuild.documents.first_frame import BESIDE, BEYOND, LAYERS, MOST_MM, frame
from kitbuild.documents.hatching import CLEAR_HOLES, PEN_MM
from kitbuild.documents.window import Window
from kitbuild.pattern.panel import Panel, Stitches
from kitbuild.quantity.amounts import PieceAmounts
from tests.documents.demo import CODES, branches, document, figures, kits

PIECES = [(code, piece.title) for code, kit in kits().items() for piece in kit.pieces]
BOOKLETS = ("chart-booklet", "chart-booklet.letter")
Bar = tuple[float, float, float, float, int]


@cache
def piece_of(code: str, title: str) -> PieceAmounts:
    """One piece of a demo kit with its amounts."""
    (found,) = (each for each in amounts_of(kits()[code])[0].pieces if each.panel.piece.title == title)
    return found


def panel_of(code: str, title: str) -> Panel:
    return piece_of(code, title).panel


def stitch_marks(figure: Figure) -> StitchMarks:
    (found,) = (mark for mark in figure.marks if isinstance(mark, StitchMarks))
    return found


def charts(code: str, title: str, name: str, kind: str) -> list[Figure]:
    """The figures of one kind of a piece: line, repeat, or whole (whose words name their hole rows).

    A repeat is shown of pieces that have more than one.
    """
    say = {"line": "Chart of the line alone of the", "repeat": "Chart of one repeat with the ends of the"}
    start = f"{say.get(kind, 'Chart of the')} {title}, columns "
    found = [figure for figure in figures(document(code, name)) if figure.alt.startswith(start)]
    assert bool(found) == (kind != "repeat" or panel_of(code, title).repeat.count > 1)
    assert all((", hole rows" in figure.alt) == (kind == "whole") for figure in found)
    return found


def upright(mark: StitchMarks | Stitches) -> np.ndarray:
    """Which stitches lie in one column."""
    return mark.x1 == mark.x2


def box(mark: StitchMarks) -> tuple[int, int, int, int]:
    """First and last column and row that the clip shows, in the marks' own columns."""
    assert mark.clip_mm is not None
    left, top, wide, high = mark.clip_mm
    first_x = (left - mark.origin_mm[0]) / mark.hole_mm + 0.5
    first_y = (top - mark.origin_mm[1]) / mark.hole_mm + 0.5
    sides = (first_x, first_x + wide / mark.hole_mm - 1, first_y, first_y + high / mark.hole_mm - 1)
    whole = tuple(round(side) for side in sides)
    assert np.allclose(whole, sides, atol=1e-6)
    return whole  # type: ignore[return-value]


def bars(mark: StitchMarks, shift: int = 0) -> Counter[Bar]:
    ends = (mark.x1 + shift, mark.y1, mark.x2 + shift, mark.y2, mark.colour)
    return Counter(zip(*(each.tolist() for each in ends), strict=True))


def of_panel(stitches: Stitches) -> list[Bar]:
    ends = (stitches.x1, stitches.y1, stitches.x2, stitches.y2, stitches.colour)
    return list(zip(*(each.tolist() for each in ends), strict=True))


def first_column(figure: Figure) -> int:
    """The piece's column that stands first on a chart of the whole piece, by its words."""
    return int(figure.alt.split("columns ")[1].split(" to ")[0])


@pytest.mark.parametrize("name", BOOKLETS)
@pytest.mark.parametrize(("code", "title"), PIECES)
def test_every_stitch_is_on_each_page_that_shows_a_part_of_it(code: str, title: str, name: str) -> None:
    everything, seen = of_panel(panel_of(code, title).stitches), Counter[Bar]()
    for figure in charts(code, title, name, "whole"):
        mark, start = stitch_marks(figure), first_column(figure) - 1
        left, right, top, bottom = box(mark)
        wanted = Counter(
            (x1, y1, x2, y2, colour)
            for x1, y1, x2, y2, colour in everything
            if left + start <= x2 and x1 <= right + start and top <= y2 and y1 <= bottom
        )
        assert bars(mark, start) == wanted
        seen |= wanted
    assert seen == Counter(everything)


@pytest.mark.parametrize("name", BOOKLETS)
@pytest.mark.parametrize(("code", "title"), PIECES)
def test_a_symbol_stands_on_every_stitch_that_shows_a_bar_or_more(code: str, title: str, name: str) -> None:
    for kind in ("line", "repeat", "whole"):
        for figure in charts(code, title, name, kind):
            mark = stitch_marks(figure)
            left, right, top, bottom = box(mark)
            low_x, low_y = np.maximum(mark.x1, left - 0.5), np.maximum(mark.y1, top - 0.5)
            high_x, high_y = np.minimum(mark.x2, right + 0.5), np.minimum(mark.y2, bottom + 0.5)
            seen = np.where(upright(mark), high_y - low_y, high_x - low_x)
            assert (upright(mark) | (mark.y1 == mark.y2)).all()
            assert mark.symbols
            assert mark.symbol_x is not None
            assert mark.symbol_y is not None
            shown = np.isfinite(mark.symbol_x)
            assert (shown == (seen >= 1)).all()
            assert (np.abs(mark.symbol_x - (low_x + high_x) / 2)[shown] < 1e-9).all()
            assert (np.abs(mark.symbol_y - (low_y + high_y) / 2)[shown] < 1e-9).all()


@pytest.mark.parametrize("name", BOOKLETS)
@pytest.mark.parametrize("code", CODES)
def test_inks_are_the_palette(code: str, name: str) -> None:
    kit = kits()[code]
    for figure in figures(document(code, name)):
        for mark in figure.marks:
            if isinstance(mark, StitchMarks):
                wanted = [(colour.rgb, colour.symbol) for colour in kit.palette]
                assert [(ink.rgb, ink.symbol) for ink in mark.inks] == wanted


@pytest.mark.parametrize("name", BOOKLETS)
@pytest.mark.parametrize(("code", "title"), PIECES)
def test_the_repeat_and_its_count_rebuild_every_column(code: str, title: str, name: str) -> None:
    """Left end, so many repeats and right end, side by side, are the piece in the rows that are shown."""
    panel, figs = panel_of(code, title), charts(code, title, name, "repeat")
    repeat = panel.repeat
    if not figs:
        assert repeat.count <= 1
        return
    assert upright(panel.stitches).all()
    spans = [mark.text for mark in figs[0].marks if isinstance(mark, TextMark) and mark.size_pt == 8]
    assert f"repeat of {repeat.columns}: work {repeat.count} times" in spans
    columns: dict[int, Counter[Bar]] = {}
    rows: set[tuple[int, int]] = set()
    at = 0
    for figure in figs:
        mark = stitch_marks(figure)
        left, right, top, bottom = box(mark)
        skip = 4 if at else 0
        rows.add((top, bottom))
        for (x, y1, _, y2, colour), _ in bars(mark).items():
            if x > skip:
                columns.setdefault(int(x) - skip + at, Counter())[0, y1, 0, y2, colour] += 1
        at += right - left + 1 - skip
    assert at == repeat.left + repeat.columns + repeat.right
    ((top, bottom),) = rows
    order = [
        *range(1, repeat.left + 1),
        *list(range(repeat.left + 1, repeat.left + repeat.columns + 1)) * repeat.count,
        *range(repeat.left + repeat.columns + 1, at + 1),
    ]
    assert len(order) == panel.cover.columns
    for column, shown in enumerate(order, 1):
        wanted = Counter(
            (0, y1, 0, y2, colour)
            for x, y1, _, y2, colour in of_panel(panel.stitches)
            if x == column and y2 >= top and y1 <= bottom
        )
        assert columns[shown] == wanted


@pytest.mark.parametrize(("code", "title"), PIECES)
def test_the_rows_left_out_return(code: str, title: str) -> None:
    """Where a repeat chart leaves rows out, the colours below it are those shown `bars` higher.

    Where single bars are crossed by the stitch beside them, the outermost bar has that one's colour.
    """
    panel = panel_of(code, title)
    bars_down, rows = panel.repeat.bars, panel.cover.rows
    figs = charts(code, title, "chart-booklet", "repeat")
    if not figs:
        assert panel.repeat.count <= 1
        return
    figure = figs[0]
    _, _, top, bottom = box(stitch_marks(figure))
    if (top, bottom) == (1, rows):
        return
    assert bottom - top >= bars_down
    links = np.full((rows + 1, panel.cover.columns + 1), -1)
    for x, y1, _, y2, colour in of_panel(panel.stitches):
        links[y1:y2, x] = colour
    edge = int(panel.piece.pattern.edges == "lengthen")
    first, last = 1 + edge, rows - edge
    assert last - first > bars_down
    assert (links[first : last - bars_down, 1:] == links[first + bars_down : last, 1:]).all()


@pytest.mark.parametrize(("code", "title"), PIECES)
def test_the_line_chart_counts_every_group(code: str, title: str) -> None:
    """The counts of a chart's groups add up to its stitches; each group is level, in neighbouring columns."""
    panel = panel_of(code, title)
    line = panel.stitches.take(panel.stitches.course == 0)
    drawn: set[int] = set()
    for figure in charts(code, title, "chart-booklet", "line"):
        mark = stitch_marks(figure)
        bold = [
            text for text in figure.marks if isinstance(text, TextMark) and text.bold and text.size_pt == 7
        ]
        assert upright(mark).all()
        assert sum(int(text.text) for text in bold) == len(mark.x1)
        shown = {x: (y1, y2) for x, y1, y2 in _rows(mark.x1, mark.y1, mark.y2)}
        for text in bold:
            column = (text.x_mm - mark.origin_mm[0]) / mark.hole_mm
            first = round(column - (int(text.text) - 1) / 2)
            assert len({shown[x] for x in range(first, first + int(text.text))}) == 1
        drawn |= set(_rows(mark.y1, mark.y2, mark.colour))
        left, right, *_ = box(mark)
        assert set(shown) <= set(range(left, right + 1))
    assert len(np.unique(line.x1)) == len(line)
    assert drawn == set(_rows(line.y1, line.y2, line.colour))
    area = panel.cover.upright.any(axis=0)
    whole = panel.cover.upright.all() and not panel.cover.sideways.any()
    assert len(line) == area.sum() if whole else 0 < len(line) <= area.sum()


def _rows(*arrays: np.ndarray) -> Iterator[tuple[int, ...]]:
    return zip(*(each.tolist() for each in arrays), strict=True)


@pytest.mark.parametrize(("code", "title"), PIECES)
def test_numbers_stand_on_their_columns_and_rows(code: str, title: str) -> None:
    for figure in charts(code, title, "chart-booklet", "whole"):
        mark, start = stitch_marks(figure), first_column(figure) - 1
        numbers = [
            text
            for before, text in pairwise(figure.marks)
            if isinstance(text, TextMark) and text.size_pt == 7 and text.text.isdigit() and not text.bold
            if not _is_box(before)
        ]
        assert numbers
        for text in numbers:
            if text.anchor == "middle":
                assert (text.x_mm - mark.origin_mm[0]) / mark.hole_mm + start == pytest.approx(int(text.text))
            else:
                row = (text.y_mm - 0.365 * 7 * MM - mark.origin_mm[1]) / mark.hole_mm
                assert row == pytest.approx(int(text.text))


def _is_box(mark: object) -> bool:
    """Whether it is the box of the count that follows it."""
    return isinstance(mark, PolygonMark) and mark.outline is not None and mark.fill is not None


@pytest.mark.parametrize(("code", "title"), PIECES)
def test_heavy_lines_follow_each_tenth_hole(code: str, title: str) -> None:
    for figure in charts(code, title, "chart-booklet", "whole"):
        mark, start = stitch_marks(figure), first_column(figure) - 1
        left, right, top, bottom = box(mark)
        heavy = max(
            (m for m in figure.marks if isinstance(m, LineMarks) and not m.dash_mm and _is_grid(m)),
            key=lambda m: m.pen_mm,
        )
        upright = {
            round((x1 - mark.origin_mm[0]) / mark.hole_mm + start - 0.5, 3)
            for x1, _, x2, _ in heavy.ends_mm.tolist()
            if x1 == x2
        }
        across = {
            round((y1 - mark.origin_mm[1]) / mark.hole_mm - 0.5, 3)
            for _, y1, _, y2 in heavy.ends_mm.tolist()
            if y1 == y2
        }
        tens = {n for n in range(left + start, right + start + 1) if n % 10 == 0}
        assert upright == {left + start - 1, right + start} | tens
        assert across == {top - 1, bottom} | {n for n in range(top, bottom + 1) if n % 10 == 0}


def _is_grid(lines: LineMarks) -> bool:
    """Whether there are both upright and level lines, and no others."""
    upright = lines.ends_mm[:, 0] == lines.ends_mm[:, 2]
    level = lines.ends_mm[:, 1] == lines.ends_mm[:, 3]
    return bool(upright.any() and level.any() and (upright | level).all() and len(upright) > 3)


@pytest.mark.parametrize(("code", "title"), PIECES)
def test_the_first_stitch_is_framed_where_the_order_begins(code: str, title: str) -> None:
    order = piece_of(code, title).thread.works["right"].order
    up_x, up_y, down_x, down_y = order.holes()
    framed = []
    for figure in charts(code, title, "chart-booklet", "whole"):
        mark, start = stitch_marks(figure), first_column(figure) - 1
        pens = [pen * min(mark.hole_mm, MOST_MM) for pen, _ in LAYERS]
        layers = [m for m in figure.marks if isinstance(m, PolygonMark) and m.pen_mm in pens]
        assert [m.pen_mm for m in layers] == pens * (len(layers) // len(pens))
        for layer in layers:
            xs, ys = zip(*layer.points_mm, strict=True)
            columns = [(x - mark.origin_mm[0]) / mark.hole_mm + start for x in (min(xs), max(xs))]
            rows = [(y - mark.origin_mm[1]) / mark.hole_mm for y in (min(ys), max(ys))]
            across, along = (BESIDE, BEYOND) if up_x[0] == down_x[0] else (BEYOND, BESIDE)
            framed.append((columns[0] + across, rows[0] + along, columns[1] - across, rows[1] - along))
    up, down = (up_x[0], up_y[0]), (down_x[0], down_y[0])
    assert framed
    for ends in framed:
        assert ends == pytest.approx((*np.minimum(up, down), *np.maximum(up, down)))


@pytest.mark.parametrize("code", CODES)
def test_marks_lie_inside_their_figure(code: str) -> None:
    for name in ("chart-booklet", "instructions", "pick-list", "cut-list"):
        for figure in figures(document(code, name)):
            for mark in figure.marks:
                points = _points(mark)
                assert points[:, 0].min() >= -0.01, figure.alt
                assert points[:, 1].min() >= -0.01, figure.alt
                assert points[:, 0].max() <= figure.width_mm + 0.01, figure.alt
                assert points[:, 1].max() <= figure.height_mm + 0.01, figure.alt


def _points(mark: object) -> np.ndarray:
    match mark:
        case StitchMarks():
            if mark.clip_mm:
                left, top, wide, high = mark.clip_mm
                return np.array([(left, top), (left + wide, top + high)])
            x = np.concatenate([mark.x1, mark.x2]) * mark.hole_mm + mark.origin_mm[0]
            y = np.concatenate([mark.y1, mark.y2]) * mark.hole_mm + mark.origin_mm[1]
            return np.column_stack([x, y])
        case LineMarks():
            return mark.ends_mm.reshape(-1, 2)
        case PolygonMark():
            return np.array(mark.points_mm)
        case TextMark():
            wide = len(mark.text) * mark.size_pt * 0.5 * 25.4 / 72
            back = {"start": 0.0, "middle": 0.5, "end": 1.0}[mark.anchor]
            if mark.turned:
                return np.array(
                    [(mark.x_mm, mark.y_mm + wide * back), (mark.x_mm, mark.y_mm - wide * (1 - back))]
                )
            return np.array(
                [(mark.x_mm - wide * back, mark.y_mm), (mark.x_mm + wide * (1 - back), mark.y_mm)]
            )
    raise TypeError(mark)


def test_pages_of_one_chart_carry_on() -> None:
    """HEATH's pages name their neighbours, and hatch what stood on the page before."""
    whole = charts("HEATH", "Cushion front", "chart-booklet", "whole")
    assert len(whole) == 9
    for before, after in pairwise(whole[:3]):
        mark = stitch_marks(after)
        assert first_column(after) + 3 == first_column(before) + box(stitch_marks(before))[1] - 1
        hatched = [m for m in after.marks if isinstance(m, LineMarks) and m.pen_mm == PEN_MM]
        wide = max(float(m.ends_mm[:, [0, 2]].max()) for m in hatched)
        assert wide - USUAL.side_mm <= 4 * mark.hole_mm + 1e-6


def test_a_chart_without_stitches_is_a_bare_grid() -> None:
    empty = Stitches(*(np.zeros(0, dtype=np.int64) for _ in range(7)))
    figure = chart("bare", Window(np.arange(1, 6), 1, 4, 5.0), empty, (), (5, 4))
    assert not [mark for mark in figure.marks if isinstance(mark, StitchMarks)]


@pytest.mark.parametrize("hole_mm", [2.5, 3.7, 6.0])
@pytest.mark.parametrize("parts", [(3, 1, 1), (1, 1, 1), (1, 3, 1), (12, 30, 9), (2, 18)])
def test_words_over_brackets_do_not_meet(parts: tuple[int, ...], hole_mm: float) -> None:
    starts = [sum(parts[:at]) + 1 for at in range(len(parts))]
    names = ("left end 3", "repeat of 18: work 12 times", "right end 12")
    spans = tuple(
        Span(start, start + wide - 1, name) for start, wide, name in zip(starts, parts, names, strict=False)
    )
    bare = Window(np.arange(1, sum(parts) + 1), 1, 9, hole_mm)
    window = Window(bare.columns, 1, 9, hole_mm, bracket_lines=bracket_lines(bare, spans))
    empty = Stitches(*(np.zeros(0, dtype=np.int64) for _ in range(7)))
    figure = chart("brackets", window, empty, (), (sum(parts), 9), spans=spans)
    words = [mark for mark in figure.marks if isinstance(mark, TextMark) and mark.size_pt == 8]
    assert sorted(mark.text for mark in words) == sorted(span.text for span in spans)
    boxes = [(*sides(mark), mark.y_mm) for mark in words]
    for left, right, y in boxes:
        assert left >= -1e-6
        assert right <= figure.width_mm + 1e-6
        assert y >= 2.5
    for one, other in combinations(boxes, 2):
        assert max(one[0] - other[1], other[0] - one[1]) >= -1e-6 or abs(one[2] - other[2]) > 3.5
    low = max(y for *_, y in boxes)
    for span, (left, right, y) in zip(spans, boxes, strict=True):
        for other in (each for each in spans if each is not span and y == low):
            first, last = window.x_mm(other.first) - hole_mm / 2, window.x_mm(other.last) + hole_mm / 2
            assert right <= first + 1e-6 or left >= last - 1e-6, "words over another's bracket"
    for lines in (mark for mark in figure.marks if isinstance(mark, LineMarks) and len(mark.ends_mm) == 5):
        x, _, _, top = lines.ends_mm[3].tolist()
        assert not [box for box in boxes if box[0] < x < box[1] and box[2] > top + 1.2]


def sides(mark: TextMark) -> tuple[float, float]:
    """Where words begin and end."""
    wide = type_mm(mark.text, mark.size_pt)
    left = mark.x_mm - {"start": 0.0, "middle": 0.5, "end": 1.0}[mark.anchor] * wide
    return left, left + wide


@pytest.mark.parametrize(("code", "title"), PIECES)
def test_hatching_keeps_clear_of_symbols(code: str, title: str) -> None:
    for figure in charts(code, title, "chart-booklet", "whole"):
        mark = stitch_marks(figure)
        assert mark.symbol_x is not None
        assert mark.symbol_y is not None
        middles = np.column_stack([mark.symbol_x, mark.symbol_y])
        middles = middles[np.isfinite(mark.symbol_x)] * mark.hole_mm + mark.origin_mm
        hatched = [m for m in figure.marks if isinstance(m, LineMarks) and m.pen_mm == PEN_MM]
        for line in (line for m in hatched for line in m.ends_mm):
            spots = np.linspace(line[:2], line[2:], 20)
            apart = np.hypot(*(spots[:, None] - middles).T)
            assert apart.min() >= CLEAR_HOLES * mark.hole_mm - 0.01


def test_a_sideways_stitch_is_framed_along_its_length() -> None:
    window = Window(np.arange(1, 12), 1, 9, 4.0)
    for layer in frame(window, (3, 5, 7, 5)):
        (left, top), _, (right, foot), _ = layer.points_mm
        assert (right - left) / 4.0 == pytest.approx(4 + 2 * BEYOND)
        assert (foot - top) / 4.0 == pytest.approx(2 * BESIDE)
    assert frame(window, (3, 5, 3, 10)) == []


def test_a_kit_of_two_pieces_charts_both() -> None:
    from kitbuild.build import make

    kit, warnings = branches()["MIXED"]
    booklet = make(kit, warnings).documents[0]
    alts = [figure.alt for figure in figures(booklet) if figure.alt.startswith("Chart of the Mat")]
    assert alts == ["Chart of the Mat, columns 1 to 8, hole rows 1 to 12."]


@pytest.mark.parametrize("sizes", [USUAL, LARGE, for_wall(WALLS["A2"])])
def test_arrow_heads_at_the_centre_grow_with_the_numbers_and_do_not_meet_them(sizes: ChartType) -> None:
    window = Window(np.arange(1, 40), 1, 39, 6.0, sizes=sizes)
    nothing = Stitches(*(np.zeros(0, dtype=np.int64) for _ in range(7)))
    marks = chart("Heads.", window, nothing, (), (39, 39)).marks
    heads = [mark for mark in marks if isinstance(mark, PolygonMark) and len(mark.points_mm) == 3]
    assert len(heads) == 4
    for head in heads:
        spans = sorted(np.ptp(np.array(head.points_mm), axis=0).tolist())
        assert spans[1] >= 0.75 * sizes.number_pt * MM
        assert spans[0] + 0.2 <= 3.0
    numbers = [mark for mark in marks if isinstance(mark, TextMark) and mark.text == "20"]
    tops = [y for head in heads for x, y in head.points_mm if y < window.top_mm]
    assert {mark.text for mark in numbers} == {"20"}
    assert min(mark.y_mm for mark in numbers) < min(tops)


def test_a_page_of_the_line_shows_what_none_before_it_showed() -> None:
    """Columns 8 to 20 and hole rows 5 to 12, of which three columns and two rows stood on pages before."""
    window = Window(np.arange(8, 21), 5, 12, 3.0, repeated_columns=3, repeated_rows=2)

    def news(x: int, y: int) -> bool:
        one = np.array([x])
        return shows_news(window, Stitches(one, np.array([y]), one, np.array([y + 4]), one * 0, one, one))

    assert [x for x in range(1, 25) if news(x, 7)] == list(range(11, 21))
    assert [y for y in range(1, 14) if news(12, y)] == list(range(5, 12))
