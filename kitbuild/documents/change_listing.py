"""Every difference between two editions as open data."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from kitbuild.base.document import Column, Listing
from kitbuild.production.changes import Changes, Ends, RowChanged
from kitbuild.production.papers import Paper
from kitbuild.production.stock import Stale
from kitbuild.production.used import UsedChanged

Four = tuple[str, str, str, str]


def change_listing(
    found: Changes, papers: Iterable[Paper], used: Iterable[UsedChanged] = (), stale: Iterable[Stale] = ()
) -> Listing:
    """One row a difference: the part of the open data, what it is about, before and after.

    Then one row a file that is read or seen: what is to be done with it stands under `after`; and one a lot
    of printed matter that is `stale`, its quantity under `before`.
    """
    told = (("papers", paper.file, "", paper.again) for paper in papers)
    made_of = (
        ("materials", " ".join(filter(None, (each.kind, each.key, each.what))), each.before, each.after)
        for each in used
    )
    shelf = (("shelf", f"{each.lot.item} {each.lot.lot}", str(each.lot.quantity), "0") for each in stale)
    rows = (*made_of, *_rows(found), *told, *shelf)
    names = ("part", "what", "before", "after")
    return Listing(
        "changes.csv", tuple(Column(name, [row[at] for row in rows]) for at, name in enumerate(names))
    )


def _rows(found: Changes) -> Iterator[Four]:
    for part in ("facts", "palette", "sheets", "bins", "costs"):
        for each in getattr(found, part):
            yield part, each.name.strip(), each.before, each.after
    for part in ("threads", "pieces", "cautions"):
        for row in getattr(found, part):
            yield from _values(part, row)
    for each in found.stitches:
        yield from (("stitches", each.piece, "", _ends(ends)) for ends in each.new)
        yield from (("stitches", each.piece, _ends(ends), "") for ends in each.gone)
        yield from (("stitches", each.piece, _ends(ends), _ends(ends)) for ends in each.recoloured)
    yield from (("order", piece, "", "") for piece in found.order)
    yield from (
        ("items", f"{each.item} {each.colour}".strip(), str(each.before), str(each.after))
        for each in found.items
    )
    yield from (("wording", " ".join(each.documents), each.before, each.after) for each in found.texts)


def _values(part: str, row: RowChanged) -> Iterator[Four]:
    """Each value of a row that differs."""
    before, after = row.before or {}, row.after or {}
    for name in dict.fromkeys((*after, *before)):
        one, other = before.get(name, ""), after.get(name, "")
        if one != other:
            yield part, f"{row.key} {name}", one, other


def _ends(ends: Ends) -> str:
    return "{} {} {} {}".format(*ends)
