"""`thread`: what a kit takes by each policy, for both hands, and with other needlefuls."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from kitbuild.base.units import money_text
from kitbuild.pattern.expand import panels
from kitbuild.pattern.panel import Panel
from kitbuild.production.cost import whole
from kitbuild.production.picks import thread_cost
from kitbuild.quantity.amounts import Amounts, measure
from kitbuild.quantity.direction import POLICIES
from kitbuild.quantity.order import HANDS
from kitbuild.quantity.thread import uses
from kitbuild.spec.records import Hand, Kit, Policy

NEEDLEFULS_MM = (450.0, 600.0, 760.0)


@dataclass(frozen=True, slots=True)
class Row:
    """One way to work a kit: thread on front and back in mm, needlefuls, put-ups and their cost."""

    policy: Policy
    needleful_mm: float
    hand: Hand
    length_mm: float
    needlefuls: int
    put_ups: int
    cost_minor: int


def rows(kit: Kit) -> Iterator[Row]:
    """Every policy for both hands with the kit's own needleful, then its policy with other needlefuls.

    What test stitches found of the kit's own way is taken to hold for all.
    """
    made = panels(kit)
    own = replace(measure(kit, made).kit, trials=())
    for policy in POLICIES:
        yield from _rows(replace(own, policy=policy), made)  # type: ignore[arg-type]
    for length in NEEDLEFULS_MM:
        if length != own.house.thread.needleful_mm:
            thread = replace(own.house.thread, needleful_mm=length)
            yield from _rows(replace(own, house=replace(own.house, thread=thread)), made)


def _rows(kit: Kit, made: tuple[Panel, ...]) -> Iterator[Row]:
    amounts = measure(kit, made)
    for hand in HANDS:
        yield _row(amounts, hand)


def _row(amounts: Amounts, hand: Hand) -> Row:
    kit = amounts.kit
    taken = uses(kit, tuple(each.thread for each in amounts.pieces), amounts.joins, (hand,))
    return Row(
        policy=kit.policy,
        needleful_mm=kit.house.thread.needleful_mm,
        hand=hand,
        length_mm=sum(use.stitch_mm + use.finish_mm for use in taken),
        needlefuls=sum(use.needlefuls for use in taken),
        put_ups=sum(use.put_ups for use in taken),
        cost_minor=sum(whole(thread_cost(use)) for use in taken),
    )


def table(kit: Kit, found: Sequence[Row]) -> Iterator[str]:
    """The rows as lines of text under a header; the kit's own way is marked."""
    cells = [("", "policy", "needleful", "hand", "thread", "needlefuls", "put-ups", "cost")]
    own = (kit.policy, kit.house.thread.needleful_mm)
    for row in found:
        cells.append(
            (
                "*" if (row.policy, row.needleful_mm) == own else "",
                row.policy,
                f"{row.needleful_mm / 10:g} cm",
                row.hand,
                f"{row.length_mm / 1000:.2f} m",
                str(row.needlefuls),
                str(row.put_ups),
                money_text(row.cost_minor, kit.house.currency),
            )
        )
    widths = [max(len(line[at]) for line in cells) for at in range(len(cells[0]))]
    for line in cells:
        yield "  ".join(cell.ljust(width) for cell, width in zip(line, widths, strict=True)).rstrip()
