"""Cut plans: blanks on sheets or a roll, straight cuts from edge to edge, in at most three stages.

A shelf rule, first fit by decreasing height: the sheet is cut into strips, a strip into blanks, and a blank
shorter than its strip is trimmed. Strips are tried both ways of the sheet, and every stock of the canvas; the
cheapest plan wins. Where it costs more than the least that can be proven quickly, `cut_plan` looks for a
cheaper one. Between two blanks `kerf` rows of holes are lost, since a bar serves one piece only.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from kitbuild.base.problem import InputProblems, Problem
from kitbuild.base.units import mm2
from kitbuild.production.cut_plan import cut, least_cost
from kitbuild.production.cut_records import CutJob, Cutting, Supply, Wanted
from kitbuild.quantity.amounts import Amounts, PieceAmounts
from kitbuild.spec.materials import Canvas, Stock
from kitbuild.spec.piece import Piece
from kitbuild.spec.records import Kit

SHELF_STAGES: Final = 3
"""Into strips, strips into blanks, and blanks that are shorter than their strip are trimmed."""


@dataclass(frozen=True, slots=True)
class Blank:
    """One piece of canvas to cut, in holes."""

    kit: str
    piece: Piece
    columns: int
    rows: int


@dataclass(frozen=True, slots=True)
class Placed:
    """A blank on a sheet: its left upper corner in holes from 0, and its size as it lies."""

    blank: Blank
    x: int
    y: int
    columns: int
    rows: int
    turned: bool


@dataclass(frozen=True, slots=True)
class CutSheet:
    """One sheet, or the length cut off a roll, with what comes out of it; `number` from 1."""

    number: int
    canvas: Canvas
    stock: Stock
    columns: int
    rows: int
    placed: tuple[Placed, ...]


@dataclass(frozen=True, slots=True)
class CutPlan:
    """All sheets of one job."""

    sheets: tuple[CutSheet, ...]


@dataclass(frozen=True, slots=True)
class _Strip:
    """A strip across a sheet: where it begins, how deep it is, how far it is filled."""

    start: int
    depth: int
    filled: int


def blanks(amounts: Amounts) -> tuple[Blank, ...]:
    """Every blank of one box, copies singly."""
    return tuple(
        blank_of(amounts.kit, each) for each in amounts.pieces for _ in range(each.panel.piece.copies)
    )


def blank_of(kit: Kit, each: PieceAmounts) -> Blank:
    """The blank of one copy of a piece."""
    return Blank(kit.code, each.panel.piece, each.sizes.blank.columns, each.sizes.blank.rows)


def plan(wanted: Iterable[Blank]) -> CutPlan:
    """The cheapest plan found for all blanks; InputProblems names each blank that no stock can hold."""
    jobs: dict[str, list[Blank]] = {}
    for blank in wanted:
        jobs.setdefault(blank.piece.canvas.key, []).append(blank)
    problems = {_too_large(blank) for job in jobs.values() for blank in job if not _stocks_for([blank])}
    if problems:
        raise InputProblems(problems)
    sheets = [sheet for key in sorted(jobs) for sheet in _best(jobs[key])]
    return CutPlan(tuple(replace(sheet, number=at) for at, sheet in enumerate(sheets, 1)))


def sheet_cost(sheet: CutSheet) -> Fraction:
    """What a sheet costs, or its share of the roll, in minor units."""
    if sheet.stock.form == "sheet":
        return Fraction(sheet.stock.cost_minor)
    return Fraction(sheet.stock.cost_minor * sheet.rows, sheet.stock.rows)


def blank_cost(blank: Blank) -> Fraction:
    """What one blank takes of the stock that yields it cheapest, its waste included, in minor units."""
    return min(_yield_cost(blank, stock) for stock in _stocks_for([blank]))


def size_mm(sheet: Placed) -> tuple[float, float]:
    """Width and height as laid, in mm: the holes and the closing bar."""
    canvas = sheet.blank.piece.canvas
    return (
        mm2(sheet.columns * canvas.pitch_mm + canvas.bar_mm),
        mm2(sheet.rows * canvas.pitch_mm + canvas.bar_mm),
    )


def _ways(blank: Blank) -> list[tuple[int, int, bool]]:
    """The ways in which a blank may lie: columns, rows, turned."""
    upright = (blank.columns, blank.rows, False)
    if not blank.piece.may_turn or blank.columns == blank.rows:
        return [upright]
    return [upright, (blank.rows, blank.columns, True)]


def _holds(stock: Stock, blank: Blank) -> bool:
    return any(columns <= stock.columns and rows <= stock.rows for columns, rows, _ in _ways(blank))


def _stocks_for(job: list[Blank]) -> list[Stock]:
    """The stocks of the job's canvas that can hold each of its blanks."""
    return [stock for stock in job[0].piece.canvas.stock if all(_holds(stock, blank) for blank in job)]


def _too_large(blank: Blank) -> Problem:
    canvas = blank.piece.canvas
    largest = max(canvas.stock, key=lambda stock: stock.columns * stock.rows)
    turn = "" if blank.piece.may_turn else ", or let it turn"
    return Problem(
        blank.piece.at("canvas"),
        "KB601",
        f"the blank of piece {blank.piece.key} is {blank.columns} x {blank.rows} holes; no stock of "
        f"{canvas.key} holds it, the largest is {largest.columns} x {largest.rows}",
        f"make the piece smaller{turn}, or add a larger stock to the materials",
    )


def _best(job: list[Blank]) -> list[CutSheet]:
    """The shelf plan, or a cheaper one where there is; shelves take three stages, the third to trim."""
    canvas = job[0].piece.canvas
    by_size: dict[str, list[Blank]] = {}
    for blank in job:
        by_size.setdefault(f"{blank.kit} {blank.piece.key} {blank.columns} {blank.rows}", []).append(blank)
    asked = _asked(by_size, canvas)
    if canvas.stages < SHELF_STAGES:
        return _sheets(cut(asked), by_size, canvas)
    simple = _cheapest(job)
    cost = sum(map(sheet_cost, simple))
    if cost <= least_cost(asked):
        return simple
    made = cut(asked)
    return simple if made.short or made.cost >= cost else _sheets(made, by_size, canvas)


def _asked(by_size: dict[str, list[Blank]], canvas: Canvas) -> CutJob:
    """The job of one canvas, from as many of its stocks as it takes."""
    wanted = (
        Wanted(key, same[0].columns, same[0].rows, same[0].piece.may_turn, len(same))
        for key, same in by_size.items()
    )
    supplies = (
        Supply(each.key, each.form, each.columns, each.rows, each.cost_minor) for each in canvas.stock
    )
    return CutJob(tuple(wanted), tuple(supplies), canvas.kerf, canvas.stages, tries=20, work=150_000)


def _sheets(made: Cutting, by_size: dict[str, list[Blank]], canvas: Canvas) -> list[CutSheet]:
    """Each sheet of a plan by itself, with the blanks on it."""
    stocks = {stock.key: stock for stock in canvas.stock}
    left = {key: list(same) for key, same in by_size.items()}
    return [
        CutSheet(
            0,
            canvas,
            stocks[layout.supply],
            layout.columns,
            layout.rows,
            tuple(
                Placed(left[lie.key].pop(0), lie.x, lie.y, lie.columns, lie.rows, lie.turned)
                for lie in layout.lies
            ),
        )
        for layout in made.layouts
        for _ in range(layout.count)
    ]


def _cheapest(job: list[Blank]) -> list[CutSheet]:
    """The best single-stock plan; blanks that share no stock are planned apart."""
    stocks = _stocks_for(job)
    if not stocks:
        first = _stocks_for([job[0]])[0]
        together = [blank for blank in job if _holds(first, blank)]
        return [*_cheapest(together), *_cheapest([blank for blank in job if not _holds(first, blank)])]
    plans = [_shelves(job, stock, across) for stock in stocks for across in (True, False)]
    return min(plans, key=lambda sheets: (sum(map(sheet_cost, sheets)), len(sheets)))


def _shelves(job: list[Blank], stock: Stock, across: bool) -> list[CutSheet]:
    """First fit by decreasing depth into strips that run across the sheet, or down it."""
    canvas = job[0].piece.canvas
    wide, deep = (stock.columns, stock.rows) if across else (stock.rows, stock.columns)
    if stock.form == "roll" and not across:
        wide = _roll_length(job, stock, canvas.kerf)
    sheets: list[tuple[list[_Strip], list[Placed]]] = []
    ordered = sorted(
        job, key=lambda blank: (-max(blank.columns, blank.rows), -min(blank.columns, blank.rows))
    )
    for blank in sorted(ordered, key=lambda blank: -(blank.rows if across else blank.columns)):
        if not any(_put(blank, strips, placed, wide, deep, across) for strips, placed in sheets):
            sheets.append(([], []))
            _put(blank, *sheets[-1], wide, deep, across)
    return [_sheet(canvas, stock, placed) for _, placed in sheets]


def _roll_length(job: list[Blank], stock: Stock, kerf: int) -> int:
    """Length for strips that run down a roll: enough for the longest blank, or for an even share of them."""
    longest = max(max(rows for columns, rows, _ in _ways(blank) if columns <= stock.columns) for blank in job)
    area = sum((blank.columns + kerf) * (blank.rows + kerf) for blank in job)
    return min(stock.rows, max(longest, -(-area // stock.columns)))


def _put(
    blank: Blank, strips: list[_Strip], placed: list[Placed], wide: int, deep: int, across: bool
) -> bool:
    """Lay a blank in the first strip with room, or in a new strip; whether it went in."""
    kerf = blank.piece.canvas.kerf
    ways = [((c, r) if across else (r, c), turned) for c, r, turned in _ways(blank)]
    for at, strip in enumerate(strips):
        for (long, depth), turned in ways:
            start = strip.filled + kerf
            if depth <= strip.depth and start + long <= wide:
                strips[at] = replace(strip, filled=start + long)
                placed.append(_placed(blank, start, strip.start, long, depth, turned, across))
                return True
    begin = strips[-1].start + strips[-1].depth + kerf if strips else 0
    for (long, depth), turned in sorted(ways, key=lambda way: way[0][1]):
        if long <= wide and begin + depth <= deep:
            strips.append(_Strip(begin, depth, long))
            placed.append(_placed(blank, 0, begin, long, depth, turned, across))
            return True
    return False


def _placed(
    blank: Blank, along: int, begin: int, long: int, depth: int, turned: bool, across: bool
) -> Placed:
    if across:
        return Placed(blank, along, begin, long, depth, turned)
    return Placed(blank, begin, along, depth, long, turned)


def _sheet(canvas: Canvas, stock: Stock, placed: list[Placed]) -> CutSheet:
    rows = stock.rows if stock.form == "sheet" else max(each.y + each.rows for each in placed)
    return CutSheet(0, canvas, stock, stock.columns, rows, tuple(placed))


def _yield_cost(blank: Blank, stock: Stock) -> Fraction:
    kerf = blank.piece.canvas.kerf
    costs = []
    for columns, rows, _ in _ways(blank):
        across = (stock.columns + kerf) // (columns + kerf)
        down = (stock.rows + kerf) // (rows + kerf)
        if across and down:
            costs.append(Fraction(stock.cost_minor, across * down))
    return min(costs)
