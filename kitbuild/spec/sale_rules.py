"""Rules for what goes with the sale of a kit: the number in its bar code, the warnings that it accepts."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

from kitbuild.base.problem import Place, Problem
from kitbuild.spec.codes import acceptable, catalogue
from kitbuild.spec.draft import Draft, sold
from kitbuild.spec.words import listed, shown, suggestion

#: GTIN-13 prefixes that are not for sale everywhere: who may use them, and whether the source was read.
#: 04: GS1 General Specifications, release 18, section 2.1.13.2. The others are known from memory only, so
#: that they warn and do not stop. A GTIN-12 has a zero before it: 2 and 4 there are 02 and 04 here.
RESTRICTED: Final[dict[str, tuple[str, bool]]] = {
    "02": ("goods that are weighed or priced in one region", False),
    "04": ("use within one company", True),
    **{f"2{digit}": ("use within one region", False) for digit in range(10)},
}


def gtins_have_their_check_digit(draft: Draft) -> Iterator[Problem]:
    """The last digit of a GTIN follows from the others (GS1 General Specifications, section 7.9)."""
    for gtin, place in _gtins(draft):
        from stdnum.ean import calc_check_digit

        right = calc_check_digit(gtin[:-1])
        if gtin[-1] != right:
            message = f"the check digit of {shown(gtin)} is wrong"
            cure = f'if the other digits are right, it is {right}: `"{gtin[:-1]}{right}"`'
            yield Problem(place, "KB324", message, cure)


def gtins_are_for_sale_anywhere(draft: Draft) -> Iterator[Problem]:
    """Some prefixes are for use within a shop, a company or a region, and mean something else elsewhere."""
    for gtin, place in _gtins(draft):
        prefix = f"{gtin:0>13}"[-13:][:2]
        if len(gtin) > 8 and prefix in RESTRICTED:
            use, published = RESTRICTED[prefix]
            begins = gtin[0] if len(gtin) == 12 else prefix
            message = f"a GTIN-{len(gtin)} with the prefix {begins} is kept for {use}"
            cure = "take a number of a range that GS1 has given you, or leave `gtin` out"
            yield Problem(place, "KB325", message, cure, warning=not published)


def gtins_differ(draft: Draft) -> Iterator[Problem]:
    """A GTIN stands for one kit."""
    seen: dict[str, Place] = {}
    for gtin, place in _gtins(draft):
        number = gtin.zfill(14)
        if number in seen:
            message = f"the GTIN {shown(gtin)} is taken, first at {seen[number]}"
            yield Problem(place, "KB326", message, "give each kit a number of its own")
        seen.setdefault(number, place)


def boxes_are_known(draft: Draft) -> Iterator[Problem]:
    """The box of a kit is one of the workshop's; told only where the workshop's boxes could be read."""
    if len(draft.workshops) != 1:
        return
    workshop = draft.workshops[0]
    known = workshop.names("boxes") if "boxes" in workshop.written else frozenset()
    for kit in draft.kits if known is not None and workshop.told() else ():
        box = kit.data.get("box")
        if box is not None and box not in known:
            cure = suggestion(box, known, "write it under `boxes` in the workshop file")
            yield Problem(kit.at("box"), "KB349", f"the workshop has no box {shown(box)}", cure)


def _gtins(draft: Draft) -> Iterator[tuple[str, Place]]:
    for one in (one for kit in draft.kits for one in sold(kit)):
        if "gtin" in one.data:
            yield one.data["gtin"], one.at("gtin")


def warnings_can_be_accepted(draft: Draft) -> Iterator[Problem]:
    """Only warnings can be accepted, and only those that there are."""
    for place, code in _acceptances(draft):
        if code not in acceptable():
            known = code in catalogue()
            message = f"{code} cannot be accepted" if known else f"there is no warning {code}"
            yield Problem(place, "KB322", message, f"these can: {listed(acceptable(), 'and')}")


def _acceptances(draft: Draft) -> Iterator[tuple[Place, str]]:
    for kit in draft.kits:
        ways = [one.at for one in sold(kit) if one.at.path]
        for at in (kit.at, *ways):
            for code in kit.value((*at.path, "accept")) or ():
                yield at.key("accept", code), code


RULES: Final[tuple[Callable[[Draft], Iterator[Problem]], ...]] = (
    gtins_have_their_check_digit,
    gtins_are_for_sale_anywhere,
    gtins_differ,
    boxes_are_known,
    warnings_can_be_accepted,
)
