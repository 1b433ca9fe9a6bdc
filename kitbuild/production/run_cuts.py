"""Canvas of a whole run: what is cut from which sheets, rolls and offcuts in stock, and for which boxes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from kitbuild.base.units import down, up
from kitbuild.production.cut_records import CutJob, Cutting, Layout, Lie, Supply, Wanted
from kitbuild.production.cutting import Blank, CutSheet, Placed
from kitbuild.production.stock import Lot
from kitbuild.spec.formats import read_sheet
from kitbuild.spec.materials import Canvas, Stock

Cutter = Callable[[CutJob], Cutting]
Demand = tuple[tuple[Blank, int], ...]
"""Blanks, each with how many of it."""


@dataclass(frozen=True, slots=True)
class Source:
    """A supply with the stock it is; `lots` are those of whole sheets, or the one of a roll, oldest first."""

    supply: Supply
    stock: Stock
    lots: tuple[Lot, ...]


@dataclass(frozen=True, slots=True)
class Draw:
    """What the cutter takes of a lot: sheets, or cm of a roll."""

    lot: Lot
    quantity: int


@dataclass(frozen=True, slots=True)
class CanvasCut:
    """The plan of one canvas: each different layout with its first sheet, then all sheets one by one."""

    canvas: Canvas
    cutting: Cutting
    layouts: tuple[tuple[Layout, CutSheet], ...]
    sheets: tuple[CutSheet, ...]
    draws: tuple[Draw, ...]
    used: Fraction
    waste: Fraction
    """used: the blanks' share of the cost in minor units; waste: that of what is neither blank nor offcut."""


def sources(canvas: Canvas, lots: Iterable[Lot]) -> tuple[Source, ...]:
    """Everything in stock that can be cut: offcuts (at no cost), sheets, and each lot of a roll."""
    held: dict[str, list[Lot]] = {}
    for lot in lots:
        if lot.quantity:
            held.setdefault(lot.item, []).append(lot)
    found = [_offcut(canvas, lot) for lot in held.get(canvas.key, ())]
    for stock in canvas.stock:
        mine = tuple(held.get(stock.key, ()))
        if stock.form == "roll":
            found += [source for lot in mine for source in _rolls(canvas, stock, lot)]
        elif mine:
            limit = sum(lot.quantity for lot in mine)
            supply = Supply(stock.key, "sheet", stock.columns, stock.rows, stock.cost_minor, limit)
            found.append(Source(supply, stock, mine))
    return tuple(found)


def shops(canvas: Canvas) -> tuple[Source, ...]:
    """The same as it can be bought, as much as is needed."""
    return tuple(
        Source(
            Supply(f"{stock.key}|bought", stock.form, stock.columns, stock.rows, stock.cost_minor), stock, ()
        )
        for stock in canvas.stock
    )


def job_of(canvas: Canvas, demand: Demand, found: Sequence[Source]) -> CutJob:
    """The cut job of all blanks, those of one size together."""
    many: Counter[str] = Counter()
    blanks: dict[str, Blank] = {}
    for blank, count in demand:
        many[_size(blank)] += count
        blanks.setdefault(_size(blank), blank)
    wanted = tuple(
        Wanted(key, blanks[key].columns, blanks[key].rows, blanks[key].piece.may_turn, count)
        for key, count in sorted(many.items())
        if count
    )
    return CutJob(wanted, tuple(each.supply for each in found), canvas.kerf, canvas.stages)


def plenty(canvas: Canvas, demand: Demand, found: Iterable[Source]) -> bool:
    """Whether one kind of sheet is sure to do, each blank on sheets of its own; False says nothing."""
    return any(_alone(canvas, demand, each.supply) for each in found if each.supply.form == "sheet")


def _alone(canvas: Canvas, demand: Demand, supply: Supply) -> bool:
    sheets = 0
    for blank, count in demand:
        across = (supply.columns + canvas.kerf) // (blank.columns + canvas.kerf)
        down = (supply.rows + canvas.kerf) // (blank.rows + canvas.kerf)
        if not across * down:
            return False
        sheets += -(-count // (across * down))
    return sheets <= (supply.limit or 0)


def cut_canvas(canvas: Canvas, demand: Demand, found: Sequence[Source], cutting: Cutting) -> CanvasCut:
    """The plan with the boxes' blanks on its sheets, and what it takes of each lot."""
    by_key = {each.supply.key: each for each in found}
    queues: dict[str, Iterator[Blank]] = {}
    for size in {_size(blank) for blank, _ in demand}:
        same = [(blank, count) for blank, count in demand if _size(blank) == size]
        queues[size] = iter([blank for blank, count in same for _ in range(count)])
    layouts: list[tuple[Layout, CutSheet]] = []
    sheets: list[CutSheet] = []
    for layout in cutting.layouts:
        stock = by_key[layout.supply].stock
        laid = [_sheet(canvas, stock, layout, queues) for _ in range(layout.count)]
        layouts.append((layout, laid[0]))
        sheets += laid
    return CanvasCut(
        canvas,
        cutting,
        tuple(layouts),
        tuple(sheets),
        tuple(_draws(canvas, cutting, by_key)),
        *_costs(cutting, by_key),
    )


def _offcut(canvas: Canvas, lot: Lot) -> Source:
    columns, rows = read_sheet(lot.lot)
    stock = Stock(canvas.key, lot.lot, "sheet", columns, rows, 0, lot.bin, canvas.at)
    return Source(Supply(f"{canvas.key}|{lot.lot}", "sheet", columns, rows, 0, lot.quantity), stock, (lot,))


def _rolls(canvas: Canvas, stock: Stock, lot: Lot) -> Iterator[Source]:
    """A lot of whole rolls, and what is left of one more."""
    rows = down(lot.quantity * 10 / canvas.pitch_mm)
    full, rest = divmod(rows, stock.rows)
    for name, length, limit in (("", stock.rows, full), ("|rest", rest, 1)):
        if length and limit:
            cost = Fraction(stock.cost_minor * length, stock.rows)
            supply = Supply(f"{stock.key}|{lot.lot}{name}", "roll", stock.columns, length, cost, limit)
            yield Source(supply, stock, (lot,))


def _size(blank: Blank) -> str:
    return f"{blank.columns}x{blank.rows}{'t' if blank.piece.may_turn else ''}"


def _sheet(canvas: Canvas, stock: Stock, layout: Layout, queues: Mapping[str, Iterator[Blank]]) -> CutSheet:
    placed = tuple(_placed(lie, next(queues[lie.key])) for lie in layout.lies)
    return CutSheet(0, canvas, stock, layout.columns, layout.rows, placed)


def _placed(lie: Lie, blank: Blank) -> Placed:
    return Placed(blank, lie.x, lie.y, lie.columns, lie.rows, lie.turned)


def _draws(canvas: Canvas, cutting: Cutting, by_key: Mapping[str, Source]) -> Iterator[Draw]:
    """Sheets from the oldest lots on; of a roll the length of all that is cut off, rounded up once a lot."""
    used: Counter[str] = Counter()
    for layout in cutting.layouts:
        roll = by_key[layout.supply].supply.form == "roll"
        used[layout.supply] += layout.count * ((layout.rows + canvas.kerf) if roll else 1)
    lengths: dict[tuple[str, str], int] = {}
    for key, amount in used.items():
        source = by_key[key]
        if source.supply.form == "roll" and source.lots:
            lot = source.lots[0]
            lengths[lot.item, lot.lot] = lengths.get((lot.item, lot.lot), 0) + amount
            continue
        for lot in source.lots:
            taken = min(amount, lot.quantity)
            amount -= taken
            if taken:
                yield Draw(lot, taken)
    lots = {(lot.item, lot.lot): lot for source in by_key.values() for lot in source.lots}
    for key, rows in lengths.items():
        yield Draw(lots[key], min(lots[key].quantity, up(rows * canvas.pitch_mm / 10)))


def _costs(cutting: Cutting, by_key: Mapping[str, Source]) -> tuple[Fraction, Fraction]:
    """The cost of the area in blanks, and of that which is neither in a blank nor in an offcut."""
    used = waste = Fraction(0)
    for layout in cutting.layouts:
        supply = by_key[layout.supply].supply
        each = layout.count * Fraction(supply.cost) / (supply.columns * supply.rows)
        blanks = sum(lie.columns * lie.rows for lie in layout.lies)
        kept = sum(offcut.columns * offcut.rows for offcut in layout.offcuts)
        used += each * blanks
        waste += each * (layout.columns * layout.rows - blanks - kept)
    return used, waste
