"""Which papers, pages and pictures a change makes out of date, file by file."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final, Literal

from kitbuild.production.changes import Changes
from kitbuild.production.opened import Opened

Again = Literal["again", "edition", "same", "new", "gone"]

_WORK: Final = "piece,seq,colour,up_x,up_y,down_x,down_y"
_STITCHES: Final = {"stitches.csv": "piece,x1,y1,x2,y2,colour"}
_CHARTED: Final = {**_STITCHES, "palette.csv": "colour,rgb,symbol"}
_WORKED: Final = {
    **_CHARTED,
    "finishing.csv": "piece,kind,edge,hole,colour,stitches",
    "pieces.csv": "piece,copies,canvas,columns,rows,cover,blank_columns,blank_rows",
}
_DRAWN: Final[dict[str, dict[str, str]]] = {
    "chart-booklet": _CHARTED,
    "instructions": _WORKED,
    "pick-list": {
        **_STITCHES,
        "palette.csv": "colour,name,rgb,symbol",
        "pick-list.csv": "bin,item,description,colour,quantity,unit",
    },
    "cut-list": {
        "cut-list.csv": "sheet,canvas,stock,piece,x,y,width,height,turned",
        "pieces.csv": "piece,title",
    },
}
"""What of the open data each document draws or lists: file and columns. The rest is in wording.csv."""
_PACKED_BY: Final = "pick-list"
"""The packer must have the list of the edition that is packed, though it may say the same."""


@dataclass(frozen=True, slots=True)
class Paper:
    """A file that is read or seen; `document` is the one whose texts it has, in one language for one hand.

    `again` where it says or shows something else, `edition` where only edition and date are others.
    """

    file: str
    document: str
    language: str
    again: Again

    @property
    def screen(self) -> bool:
        """Whether it is for a screen or the shop's pages, and not for print."""
        return not self.file.endswith(".pdf")


def papers(found: Changes) -> Iterator[Paper]:
    """Every file of the later edition, then those that are made no more."""
    old, new = files(found.old), files(found.new)
    again = {document: _again(found, document) for document, _ in new.values()}
    listed = bool(found.old["documents.csv"])
    for file, (document, language) in new.items():
        yield Paper(file, document, language, "new" if listed and file not in old else again[document])
    for file, (document, language) in old.items():
        if file not in new:
            yield Paper(file, document, language, "gone")


def files(edition: Opened) -> Mapping[str, tuple[str, str]]:
    """File -> its document and language; editions of earlier versions name none but those with texts."""
    listed = {row["file"]: (row["document"], row["language"]) for row in edition["documents.csv"]}
    if listed:
        return listed
    told = {f"{row['document']}.pdf": (row["document"], row["language"]) for row in edition["wording.csv"]}
    lists = {f"{name}.pdf": (name, edition.facts["language"]) for name in ("pick-list", "cut-list")}
    return {**told, **lists}


def _again(found: Changes, document: str) -> Again:
    """What is to be done with a document; one whose earlier texts were not kept may say anything else."""
    kept = any(row["document"] == document for row in found.old["wording.csv"])
    if not kept or document in found.documents:
        return "again"
    if picture := _shown(found.new, document):
        return "same" if picture == _shown(found.old, document) else "again"
    if _drawn_otherwise(found, document):
        return "again"
    if not found.numbered:
        return "same"
    return "again" if document == _PACKED_BY else "edition"


def _shown(edition: Opened, document: str) -> set[str]:
    """What tells one drawing of a picture from another; pictures name no edition. Nothing for a document."""
    rows = (row for row in edition["documents.csv"] if row["document"] == document)
    return {row["shows"] for row in rows if row.get("shows")}


def _drawn_otherwise(found: Changes, document: str) -> bool:
    """Whether the drawings of a document are others."""
    name, *words = document.split(".")
    drawn = dict(_DRAWN.get(name, {}))
    if name == "instructions":
        drawn["work-order-left.csv" if "left" in words else "work-order.csv"] = _WORK
    return any(
        _values(found.old, file, columns) != _values(found.new, file, columns)
        for file, columns in drawn.items()
    )


def _values(edition: Opened, file: str, columns: str) -> list[tuple[str, ...]]:
    names = columns.split(",")
    return [tuple(row[name] for name in names) for row in edition[file]]
