"""Rules for selling and replacing: rates follow each other, names lead somewhere, no circles."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from itertools import pairwise
from typing import Any, Final

from kitbuild.base.problem import Place, Problem
from kitbuild.spec.check import Checked
from kitbuild.spec.draft import Draft, sold
from kitbuild.spec.source import At
from kitbuild.spec.words import shown, suggestion

_LAST: Final = "9999-12-31"
Rate = tuple[str, str, Place]
"""The first and last day of a rate, and its place."""


def tax_rates_follow_each_other(draft: Draft) -> Iterator[Problem]:
    """On one day there is one rate of a name, and a rate ends after it begins."""
    for file in draft.workshops:
        for rates in _rates(file).values():
            for first, last, place in rates:
                if last < first:
                    cure = "write the later day under `until`"
                    yield Problem(place, "KB350", f"the rate ends on {last}, before it begins", cure)
            ordered = sorted(rate for rate in rates if rate[0] <= rate[1])
            for before, after in pairwise(ordered):
                if after[0] <= before[1]:
                    message = f"the rate counts from {after[0]}, while the one at {before[2]} still does"
                    yield Problem(after[2], "KB350", message, "end the earlier one with `until`")


def _rates(file: Checked) -> dict[str, list[Rate]]:
    """The rates of each name, those that are told without fault."""
    found: dict[str, list[Rate]] = {}
    for number, tax in enumerate(file.data.get("taxes", ())):
        if tax and {"name", "from"} <= tax.keys() and file.told("taxes", number):
            place = file.at("taxes", number, "from")
            found.setdefault(tax["name"], []).append((tax["from"], tax.get("until", _LAST), place))
    return found


def channels_have_their_tax(draft: Draft) -> Iterator[Problem]:
    """The rate that a channel names is there, and counts on the day of each kit's edition."""
    for file in draft.workshops:
        if not file.told() or not file.whole("taxes"):
            continue
        rates = _rates(file)
        for key, channel in file.data.get("channels", {}).items():
            name = channel.get("tax", "")
            if name and name not in rates:
                cure = suggestion(name, rates, "write it under `taxes`")
                place = file.at("channels", key, "tax")
                yield Problem(place, "KB351", f"there is no tax rate {shown(name)}", cure)
        used = {channel.get("tax", "") for channel in file.data.get("channels", {}).values()}
        yield from _days_without_rate(draft, {name: rates[name] for name in sorted(used & rates.keys())})


def _days_without_rate(draft: Draft, rates: Mapping[str, list[Rate]]) -> Iterator[Problem]:
    for kit in draft.kits:
        day = kit.data.get("date")
        for name, each in rates.items():
            if day and not any(first <= day <= last for first, last, _ in each):
                message = f"on {day} no tax rate {shown(name)} counts"
                cure = "write under `taxes` what counts on that day"
                yield Problem(kit.at("date"), "KB351", message, cure)


def prices_are_of_channels(draft: Draft) -> Iterator[Problem]:
    """A price of a kit's own is for a channel that there is."""
    if len(draft.workshops) != 1 or not draft.workshops[0].told():
        return
    shop = draft.workshops[0]
    known = shop.names("channels") if "channels" in shop.written else frozenset()
    for one in (one for kit in draft.kits for one in sold(kit)):
        for key in one.data.get("prices", {}) if known is not None else ():
            if key not in known:
                cure = suggestion(key, known, "write it under the workshop's `channels`")
                message = f"there is no channel {shown(key)}"
                yield Problem(one.at.key("prices", key), "KB352", message, cure)


def licences_tell_the_royalty(draft: Draft) -> Iterator[Problem]:
    """A royalty is a share of the price or a sum each, one of the two."""
    for kit in draft.kits:
        if "licence" not in kit.data or not kit.told("licence"):
            continue
        ways = {"royalty", "royalty_each"} & (kit.names("licence") or set())
        if len(ways) != 1:
            how = "is told twice" if ways else "is missing"
            cure = "write either `royalty: 6 %` or `royalty_each: 1.20`"
            yield Problem(kit.at.key("licence"), "KB353", f"the royalty {how}", cure)


def replacements_lead_somewhere(draft: Draft) -> Iterator[Problem]:
    """What takes a material's place is there, is of its kind, and does not lead back to it."""
    for section, noun in (("threads", "thread"), ("canvases", "canvas")):
        known = draft.names(section)
        if known is None:
            continue
        parts = {key: (part, at) for key, part, at in draft.parts(section)}
        links = {key: _target(part) for key, (part, _) in parts.items() if _target(part)}
        for key, to in links.items():
            place = parts[key][1]("replaced_by", "key")
            if to not in known:
                cure = suggestion(to, known, f"add it to `{section}` in a materials file")
                yield Problem(place, "KB354", f"there is no {noun} {shown(to)}", cure)
            elif section == "canvases" and (fault := _other_weave(parts[key], parts.get(to))):
                yield Problem(place, "KB354", *fault)
        yield from _circles(links, {key: at("replaced_by", "key") for key, (_, at) in parts.items()})


def _target(part: Mapping[str, Any]) -> str:
    """The key that a material says takes its place, "" for none."""
    return str((part.get("replaced_by") or {}).get("key", ""))


Part = tuple[Mapping[str, Any], At]


def _other_weave(old: Part, new: Part | None) -> tuple[str, str] | None:
    """Plastic is trimmed, woven canvas keeps a border: neither can stand for the other."""
    weaves = [part[0].get("weave") for part in (old, new) if part]
    if len(weaves) < 2 or None in weaves or weaves[0] == weaves[1]:
        return None
    message = (
        f"a {weaves[0]} canvas cannot be replaced by a {weaves[1]} one: it is cut and finished otherwise"
    )
    return message, "name a canvas of the same weave"


def _circles(links: Mapping[str, str], places: Mapping[str, Place]) -> Iterator[Problem]:
    """One problem for each circle, at the first of it as it is written."""
    met: set[str] = set()
    for start in links:
        chain: list[str] = []
        key = start
        while key in links and key not in met and key not in chain:
            chain.append(key)
            key = links[key]
        met |= set(chain)
        if key in chain:
            circle = [*chain[chain.index(key) :], key]
            path = " → ".join(circle)
            message = f"{shown(key)} is replaced by itself" if len(circle) == 2 else f"a circle: {path}"
            yield Problem(places[key], "KB355", message, "end it with the one that can be bought")


RULES: Final[tuple[Callable[[Draft], Iterator[Problem]], ...]] = (
    tax_rates_follow_each_other,
    channels_have_their_tax,
    prices_are_of_channels,
    licences_tell_the_royalty,
    replacements_lead_somewhere,
)
