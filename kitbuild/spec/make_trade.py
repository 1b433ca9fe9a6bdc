"""Records from checked data: how kits are sold, and what takes the place of a material."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from types import MappingProxyType
from typing import Any

from kitbuild.base.units import money_minor
from kitbuild.spec.formats import read_exact_share
from kitbuild.spec.source import At
from kitbuild.spec.trade import Channel, Licence, Replacement, TaxRate, Trade


def trade_record(data: Mapping[str, Any], currency: str) -> Trade:
    """How the workshop sells."""
    taxes = tuple(
        TaxRate(tax["name"], read_exact_share(tax["rate"]), tax["from"], tax.get("until", ""))
        for tax in data["taxes"]
    )
    channels = tuple(_channel(key, channel, currency) for key, channel in data["channels"].items())
    return Trade(money_minor(str(data["setup_cost"]), currency), taxes, channels)


def _channel(key: str, data: Mapping[str, Any], currency: str) -> Channel:
    return Channel(
        key=key,
        title=data["title"],
        tax=data.get("tax", ""),
        price_with_tax=data["price_with_tax"],
        discount=read_exact_share(data["discount"]),
        fee=read_exact_share(data["fee"]),
        fee_each_minor=money_minor(str(data["fee_each"]), currency),
    )


def own_prices(data: Mapping[str, Any], currency: str) -> Mapping[str, int]:
    """A kit's own prices by channel, in minor units."""
    written = data.get("prices", {}).items()
    return MappingProxyType({key: money_minor(str(price), currency) for key, price in written})


def licence_record(data: Mapping[str, Any], at: At, currency: str) -> Licence | None:
    """The licence of a kit file, None where it has none."""
    if "licence" not in data:
        return None
    said = data["licence"]
    return Licence(
        designer=said["designer"],
        credit=said["credit"],
        royalty=read_exact_share(said["royalty"]) if "royalty" in said else Fraction(0),
        royalty_each_minor=money_minor(str(said["royalty_each"]), currency) if "royalty_each" in said else 0,
        number=said["number"],
        at=at.below("licence"),
    )


def replacement_record(data: Mapping[str, Any], at: At) -> Replacement | None:
    """What takes the place of a material, None where nothing does."""
    if "replaced_by" not in data:
        return None
    said = data["replaced_by"]
    return Replacement(said["key"], said["from"], said.get("why", ""), at.below("replaced_by"))
