"""Licensed designs: no more kits are packed than the licence allows, all colourways together."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from kitbuild.base.problem import Place, Problem
from kitbuild.production.orders import Order
from kitbuild.spec.records import Kit
from kitbuild.spec.trade import Licence


@dataclass(frozen=True, slots=True)
class Licensed:
    """A licence with the codes of all kits that it is for, and the boxes of them that were packed before."""

    licence: Licence
    codes: tuple[str, ...]
    packed: int

    @property
    def left(self) -> int:
        """How many boxes may still be packed; below 0 where there were too many."""
        return self.licence.number - self.packed


def licensed(kits: Iterable[Kit], packed: Mapping[str, int]) -> tuple[Licensed, ...]:
    """The licences of a range; those of one file's colourways are one. `packed` is by code of a kit."""
    found: dict[Place, list[Kit]] = {}
    for kit in kits:
        if kit.licence:
            found.setdefault(kit.licence.at(), []).append(kit)
    return tuple(_licensed(each, packed) for each in found.values())


def _licensed(kits: Sequence[Kit], packed: Mapping[str, int]) -> Licensed:
    licence = kits[0].licence
    assert licence is not None
    codes = tuple(kit.code for kit in kits)
    return Licensed(licence, codes, sum(packed.get(code, 0) for code in codes))


def licence_faults(
    kits: Iterable[Kit], orders: Iterable[Order], packed: Mapping[str, int]
) -> Iterator[Problem]:
    """A problem at the order with which a run would pass each licence's number."""
    asked = sorted(orders, key=lambda order: (order.due, order.place))
    for each in licensed(kits, packed):
        boxes = 0
        for order in (order for order in asked if order.kit in each.codes):
            boxes += order.quantity
            if boxes > each.left:
                yield _fault(order.place, each, boxes)
                break


def posting_faults(
    kits: Iterable[Kit], boxes: Mapping[str, int], packed: Mapping[str, int]
) -> Iterator[Problem]:
    """A problem at each licence that a planned run's boxes, by code, would pass by now."""
    for each in licensed(kits, packed):
        planned = sum(boxes.get(code, 0) for code in each.codes)
        if planned and planned > each.left:
            yield _fault(each.licence.at("number"), each, planned)


def _fault(place: Place, each: Licensed, boxes: int) -> Problem:
    codes = " and ".join(each.codes)
    message = (
        f"{boxes} of {codes} would pass the licence of {each.licence.designer} for {each.licence.number}: "
        f"{each.packed} were packed before"
    )
    cure = f"order {max(each.left, 0)} at most, or have the licence's number raised"
    return Problem(place, "KB640", message, cure)
