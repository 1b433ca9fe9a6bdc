"""What was really picked for a run: the pick list as it came back, with a column `picked` or other lots.

A cell left empty means what the packed boxes take; a number means that so much left the shelf. A box is
packed where everything for it was picked, its thread of one colour from one lot, and boxes are packed for the
orders that are due first.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from kitbuild.base.problem import Place, Problem
from kitbuild.production.cells import Row, Wrong, read_cells, whole, wrong
from kitbuild.production.cost import whole as whole_units
from kitbuild.production.packing import PackedLine, PackedOrder, Packing, served
from kitbuild.production.stock import BUNDLE, Lot
from kitbuild.spec.words import shown, suggestion

COLUMNS: Final = ("line", "item", "lot", "run", "kit", "picked")
CODE: Final = "KB630"
_STOCKED: Final = ("thread", "needle", "extra")
"""What may come from another lot than the one that was planned."""
Key = tuple[str, str]


@dataclass(frozen=True, slots=True)
class PickedRow:
    """A row of the list that came back: `lot` is where it was picked, `picked` None for what is packed."""

    line: PackedLine
    lot: str | None
    picked: int | None
    row: Row


def read_picked(
    file: str, content: bytes, packed: Packing, lots: Iterable[Lot]
) -> tuple[tuple[PickedRow, ...], tuple[Problem, ...]]:
    """The rows of the list, and every problem with its place; lines that it does not name are as planned."""
    cells = read_cells(file, content, COLUMNS)
    lines = {line.number: line for line in packed.lines}
    known: dict[str, list[str]] = {}
    for lot in lots:
        known.setdefault(lot.item, []).append(lot.lot)
    rows: list[PickedRow] = []
    problems = list(cells.problems)
    for row in cells.rows:
        try:
            rows.append(_row(row, packed.run, lines, known))
        except _Fault as fault:
            problems.append(fault.problem)
    problems += _twice(rows)
    return tuple(rows), tuple(problems)


class _Fault(Exception):
    def __init__(self, problem: Problem) -> None:
        super().__init__(str(problem))
        self.problem = problem


def _fault(row: Row, column: str, message: str, cure: str) -> _Fault:
    return _Fault(Problem(row.place(column), CODE, message, cure))


def _row(row: Row, run: str, lines: Mapping[int, PackedLine], known: Mapping[str, list[str]]) -> PickedRow:
    texts = row.texts
    line = lines.get(int(texts["line"]) if texts["line"].isascii() and texts["line"].isdigit() else 0)
    if line is None or texts["run"] != run:
        message = f"run {run} has no line {shown(texts['line'])}"
        column = "line" if texts["run"] == run else "run"
        message = message if column == "line" else f"the row is of run {shown(texts['run'])}, not of {run}"
        raise _fault(row, column, message, "write into the run's own pick-list.csv")
    for column, planned in (("item", line.item), ("kit", line.kit)):
        if texts[column] != planned:
            message = f"line {line.number} is {planned} in the plan, not {shown(texts[column])}"
            raise _fault(row, column, message, "write into the run's own pick-list.csv")
    lot = _lot(row, line, known)
    return PickedRow(line, lot, _many(row, line), row)


def _lot(row: Row, line: PackedLine, known: Mapping[str, list[str]]) -> str | None:
    """The lot that a row was picked from; a _Fault where there is no such lot, or none may be named."""
    text = row.texts["lot"]
    if text == (line.lot or ""):
        return line.lot
    if line.kind not in _STOCKED:
        raise _fault(row, "lot", f"{line.item} is of no other lot", f"write {shown(line.lot or '')}")
    if text not in known.get(line.item, ()):
        cure = suggestion(text, known.get(line.item, ()), "count it in first")
        raise _fault(row, "lot", f"the stock has no lot {shown(text)} of {line.item}", cure)
    return text


def _many(row: Row, line: PackedLine) -> int | None:
    text = row.texts["picked"]
    if not text:
        return None
    try:
        many = whole(text, 0)
    except Wrong as error:
        raise _Fault(wrong(row, "picked", CODE, error)) from None
    if many > line.quantity and line.kind not in _STOCKED:
        message = f"line {line.number} has {line.quantity} of {line.item}, no more can be booked"
        raise _fault(row, "picked", message, "count the stock for what else was used")
    return many


def _twice(rows: Iterable[PickedRow]) -> Iterator[Problem]:
    """Rows that cannot both be meant: of one line and lot, or of a divided line without a number."""
    seen: Counter[tuple[int, str | None]] = Counter()
    many = Counter(each.line.number for each in rows)
    for each in rows:
        key = (each.line.number, each.lot)
        seen[key] += 1
        if seen[key] > 1:
            message = f"line {each.line.number} stands here twice with the same lot"
            yield Problem(each.row.place("line"), CODE, message, "add the two rows together")
        elif many[each.line.number] > 1 and each.picked is None:
            message = f"line {each.line.number} is divided, and this part has no number"
            yield Problem(each.row.place("picked"), CODE, message, "write how many were picked")


@dataclass(frozen=True, slots=True)
class Outturn:
    """What became of a plan: its lines and orders as they were picked and packed, and what leaves each lot.

    `over` are rows of which more left the shelf than the packed boxes take.
    """

    packing: Packing
    taken: Mapping[Key, int]
    over: tuple[tuple[PickedRow, int], ...]


@dataclass(frozen=True, slots=True)
class _Part:
    """A line, or a part of it in one lot; `row` is None for one that the list does not name."""

    line: PackedLine
    row: PickedRow | None = None

    @property
    def picked(self) -> int | None:
        return self.row.picked if self.row else None

    @property
    def fills(self) -> int:
        """How much of it can be packed: thread of one lot fills whole boxes."""
        many = self.line.quantity if self.picked is None else self.picked
        return many // self.line.per_kit * self.line.per_kit if self.line.kind == "thread" else many

    def packed(self, need: int) -> PackedLine:
        """The line as it was packed when the boxes take `need` of it."""
        quantity = need if self.picked is None else self.picked
        return replace(self.line, boxes=-(-need // self.line.per_kit), quantity=quantity)


def outturn(packed: Packing, planned: Mapping[Key, int], rows: Sequence[PickedRow]) -> Outturn:
    """What the rows make of a plan that takes `planned` of each lot."""
    named = {each.line.number for each in rows}
    parts = [_Part(line) for line in packed.lines if line.number not in named]
    parts += [_Part(replace(each.line, lot=each.lot), each) for each in rows]
    boxes = _boxes(packed, parts)
    ready = _ready(parts, boxes)
    left = {_group(part.line): _boxes_for(part.line, boxes, ready) * part.line.per_kit for part in parts}
    lines, over = [], []
    for part in sorted(parts, key=lambda part: part.line.turn):
        group = _group(part.line)
        need = min(part.fills, left[group])
        left[group] -= need
        lines.append(part.packed(need))
        if part.row and lines[-1].quantity > need:
            over.append((part.row, lines[-1].quantity - need))
    lines.sort(key=lambda line: line.number)
    made = replace(packed, lines=tuple(lines), orders=served(packed.orders, boxes))
    return Outturn(made, _taken(packed, planned, lines), tuple(over))


def _boxes(packed: Packing, parts: Iterable[_Part]) -> dict[str, int]:
    """How many boxes of each kit can be packed: as many as every line of the box was picked for."""
    boxes: Counter[str] = Counter()
    for order in packed.orders:
        boxes[order.kit] += order.boxes
    fills: Counter[tuple[str, ...]] = Counter()
    for part in parts:
        fills[_group(part.line)] += part.fills
    ready = _ready(parts, boxes)
    for line in packed.lines:
        beside = ready[line.kit] if line.kind == "thread" else 0
        if line.kind != BUNDLE:
            boxes[line.kit] = min(boxes[line.kit], fills[_group(line)] // line.per_kit + beside)
    threads = {line.kit for line in packed.lines if line.kind == "thread"}
    return {kit: many if kit in threads else min(many, ready[kit]) for kit, many in boxes.items()}


def _ready(parts: Iterable[_Part], boxes: Mapping[str, int]) -> Counter[str]:
    """How many boxes of each kit are filled from bundles made ahead."""
    ready: Counter[str] = Counter()
    for part in parts:
        if part.line.kind == BUNDLE:
            ready[part.line.kit] += part.fills
    return Counter({kit: min(many, boxes[kit]) for kit, many in ready.items()})


def _boxes_for(line: PackedLine, boxes: Mapping[str, int], ready: Mapping[str, int]) -> int:
    """How many boxes a line's place is filled in: bundles first, thread in the others."""
    if line.kind == BUNDLE:
        return ready[line.kit]
    return boxes[line.kit] - (ready[line.kit] if line.kind == "thread" else 0)


def _group(line: PackedLine) -> tuple[str, ...]:
    """Lines that fill the same place in a box from several lots; each blank has a place of its own."""
    own = str(line.number) if line.kind == "canvas" else ""
    return (line.kit, line.item, line.colour, own)


def _taken(packed: Packing, planned: Mapping[Key, int], lines: Iterable[PackedLine]) -> dict[Key, int]:
    """What leaves each lot; canvas leaves as it was planned, since it is cut by then."""
    ours = {(line.item, line.lot) for line in packed.lines if line.lot is not None}
    exact: dict[Key, Fraction | int] = {key: many for key, many in planned.items() if key not in ours}
    for line in lines:
        if line.lot is not None:
            key = (line.item, line.lot)
            exact[key] = exact.get(key, Fraction(0)) + line.quantity * line.share
    return {key: units for key, many in sorted(exact.items()) if (units := whole_units(Fraction(many)))}


def beyond(rows: Iterable[PickedRow], taken: Mapping[Key, int], free: Iterable[Lot]) -> Iterator[Problem]:
    """A problem at the first row of each lot that more was picked of than is there."""
    there = {(lot.item, lot.lot): lot.quantity for lot in free}
    told: set[Key] = set()
    for each in rows:
        key = (each.line.item, each.lot or "")
        has = there.get(key, 0)
        if each.lot is not None and key not in told and taken.get(key, 0) > has:
            told.add(key)
            lot = f" lot {each.lot}" if each.lot else ""
            message = f"{each.line.item}{lot}: {taken[key]} were picked, {has} are there for this run"
            cure = "count the lot, or write the lot that it came from"
            yield Problem(each.row.place("picked"), CODE, message, cure)


def waiting(before: Iterable[PackedOrder], after: Iterable[PackedOrder], file: str) -> Iterator[Problem]:
    """A problem for each order of which fewer boxes are packed than were planned."""
    for old, new in zip(before, after, strict=True):
        if new.boxes < old.boxes:
            message = f"order {new.order} waits for {new.quantity - new.boxes} of {new.quantity} {new.kit}"
            cure = "plan them with the next run"
            yield Problem(Place(file, new.line, 1), "KB620", f"{message}: fewer were picked", cure)
