"""What is ordered: orders.csv, one row a kit of an order."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from kitbuild.base.problem import Place, Problem
from kitbuild.production.cells import Row, Wrong, date, name, read_cells, whole, wrong
from kitbuild.spec.words import shown, suggestion

COLUMNS: Final = ("order", "kit", "quantity", "due")


@dataclass(frozen=True, slots=True)
class Order:
    """So many boxes of one kit for one order, wanted on a day (year-month-day)."""

    order: str
    kit: str
    quantity: int
    due: str
    place: Place


def read_orders(
    file: str, content: bytes, codes: Iterable[str]
) -> tuple[tuple[Order, ...], tuple[Problem, ...]]:
    """All orders as written, by due date, then as the file has them; and every problem with its place."""
    cells, known = read_cells(file, content, COLUMNS), frozenset(codes)
    orders: list[Order] = []
    problems = list(cells.problems)
    seen: dict[tuple[str, str, str], Place] = {}
    for row in cells.rows:
        found = _order(row, known)
        if isinstance(found, Order):
            key = (found.order, found.kit, found.due)
            if key in seen:
                message = f"order {shown(found.order)} has {found.kit} for that day already, at {seen[key]}"
                cure = "add the two rows together, or take one out"
                problems.append(Problem(row.place("order"), "KB613", message, cure))
            seen.setdefault(key, found.place)
            orders.append(found)
        else:
            problems += found
    if not orders and not problems:
        problems.append(Problem(Place(file, 1, 1), "KB610", "nothing is ordered", "write a row an order"))
    return tuple(sorted(orders, key=lambda each: each.due)), tuple(problems)


def _order(row: Row, known: frozenset[str]) -> Order | list[Problem]:
    problems: list[Problem] = []
    read: dict[str, str | int] = {}
    for column, reader in (("order", _named), ("due", date), ("quantity", lambda text: whole(text, 1))):
        try:
            read[column] = reader(row.texts[column])
        except Wrong as error:
            problems.append(wrong(row, column, "KB611", error))
    code = row.texts["kit"]
    if code not in known:
        cure = suggestion(code, known, "write the code of a kit of the range")
        message = f"no kit has the code {shown(code)}" if code else "no kit is named"
        problems.append(Problem(row.place("kit"), "KB612", message, cure))
    if problems:
        return problems
    return Order(str(read["order"]), code, int(read["quantity"]), str(read["due"]), row.place())


def _named(text: str) -> str:
    if not text:
        raise Wrong("it is empty", "give each order a name or a number")
    return name(text)
