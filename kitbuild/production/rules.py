"""What is judged from what is in a box, and from its cost: flat lists of small rules."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

from kitbuild.base.problem import Problem
from kitbuild.base.units import money_text
from kitbuild.production.box import TOY_UNDER, box_of, least_age, words_in
from kitbuild.production.cautions import WORDS
from kitbuild.production.cost import Cost
from kitbuild.quantity.amounts import PieceAmounts
from kitbuild.spec.materials import Canvas
from kitbuild.spec.records import Kit
from kitbuild.spec.words import shown, suggestion

BoxRule = Callable[[Kit], Iterator[Problem]]
Rule = Callable[[Kit, Cost], Iterator[Problem]]


def hazards_have_a_note(kit: Kit) -> Iterator[Problem]:
    """What a sheet could not name must not go into a box: words lead to a note, or are known to need none."""
    for kind, word, place in words_in(kit):
        if word not in WORDS[kind]:
            message = f"no caution is written for the {kind} {shown(word)}: the sheet would not name it"
            yield Problem(place, "KB603", message, suggestion(word, WORDS[kind], ""))


def nothing_small_below_three(kit: Kit) -> Iterator[Problem]:
    """Small parts are banned from all that is for children under 3 (16 CFR 1500.18(a)(9), 1501.2(a))."""
    if least_age(kit) < 3 and (box := box_of(kit)).fits:
        what = "a needle" if box.needles else "a part"
        message = f"{what} fits the small-parts cylinder, and small parts are banned for children under 3"
        cure = "raise the age grade to `3 years` or more, or pack nothing that fits"
        yield Problem(kit.file("age_grade"), "KB604", message, cure)


def toys_are_said(kit: Kit) -> Iterator[Problem]:
    """A kit for children is taken for a toy where the maker does not say whether it is sold as one."""
    if kit.toy is None and least_age(kit) < TOY_UNDER:
        message = f"the kit is for children under {TOY_UNDER} and is taken for a toy"
        cure = "say `toy: true`, or `toy: false` if it is not sold as a toy or game"
        yield Problem(kit.file("age_grade"), "KB605", message, cure, warning=True)


def price_covers_the_cost(kit: Kit, cost: Cost) -> Iterator[Problem]:
    """A kit sold below what its box costs loses money with each sale."""
    currency = kit.house.currency
    total = money_text(cost.total_minor, currency)
    for sale in cost.sales:
        if sale.margin_minor >= 0:
            continue
        paid, left = (money_text(minor, currency) for minor in (sale.paid_minor, sale.before_cost_minor))
        message = f"the price {paid} is below the cost of the box, {total}"
        if sale.before_cost_minor < sale.paid_minor:
            taken = "tax, fee and royalty" if kit.licence else "tax and fee"
            where = shown(sale.channel.key)
            message = f"of the price {paid} in {where}, {taken} leave {left}, the box costs {total}"
        own = sale.channel.key in kit.prices_minor
        place = kit.at("prices", sale.channel.key) if own else kit.at("price")
        yield Problem(place, "KB602", message, "raise the price, or pack less", warning=True)


def blanks_lie_flat(kit: Kit, cost: Cost) -> Iterator[Problem]:
    """A plastic blank lies flat on one of the box's sides; nothing is said where no box is named."""
    if kit.box is None:
        return
    wide, long = sorted(kit.box.inside_mm)[-2:]
    for source in (pick.source for pick, _ in cost.lines):
        if isinstance(source, PieceAmounts) and source.sizes.piece.canvas.weave == "plastic":
            blank = source.sizes.blank
            if min(blank.width_mm, blank.height_mm) > wide or max(blank.width_mm, blank.height_mm) > long:
                message = (
                    f"the blank of {source.sizes.piece.key}, {blank.width_mm:g} x {blank.height_mm:g} mm, "
                    f"does not lie flat in the box {kit.box.key}, {wide:g} x {long:g} mm"
                )
                yield Problem(kit.file("box"), "KB609", message, "name a larger box", warning=True)


def materials_can_be_had(kit: Kit) -> Iterator[Problem]:
    """An edition from the day on that a material is replaced should have the new one."""
    used = [(colour.thread, colour.at("thread")) for colour in kit.palette]
    used += [(piece.canvas, piece.at("canvas")) for piece in kit.pieces]
    for material, place in used:
        new = material.replaced_by
        if new and new.begins <= kit.date:
            old_mm = (
                f" ({material.pitch_mm:.2f} mm from hole to hole)" if isinstance(material, Canvas) else ""
            )
            new_mm = f" ({new.pitch_mm:.2f} mm)" if new.pitch_mm else ""
            message = (
                f"{material.key}{old_mm} is replaced by {new.key}{new_mm} from {new.begins}: "
                f"edition {kit.edition} has it"
            )
            cure = f"name {new.key} instead, or see what it changes: kitbuild replaced {material.key}"
            yield Problem(place, "KB641", message, cure, warning=True)


BEFORE: Final[tuple[BoxRule, ...]] = (
    hazards_have_a_note,
    nothing_small_below_three,
    toys_are_said,
    materials_can_be_had,
)
RULES: Final[tuple[Rule, ...]] = (price_covers_the_cost, blanks_lie_flat)


def before(kit: Kit) -> tuple[Problem, ...]:
    """What can be told of a box before anything is counted; errors among it stop the kit."""
    return tuple(problem for rule in BEFORE for problem in rule(kit))


def judged(kit: Kit, cost: Cost) -> tuple[Problem, ...]:
    """What all rules of cost find."""
    return tuple(problem for rule in RULES for problem in rule(kit, cost))
