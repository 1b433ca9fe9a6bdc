"""What a released edition is made of, as open data."""

from __future__ import annotations

from kitbuild.base.document import Column, Listing
from kitbuild.production.used import FILE, Value, materials_of, used
from kitbuild.spec.records import Kit


def used_listing(kit: Kit) -> Listing:
    """One row a value of a material, a stock, a tool, the box, or the workshop's settings."""
    rows = tuple(used(materials_of(kit), kit.box, kit.house))
    return Listing(
        FILE, tuple(Column(name, [row[at] for row in rows]) for at, name in enumerate(Value._fields))
    )
