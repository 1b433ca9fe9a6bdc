"""A kit as its open data tells it: the CSV files of a build, or of a released edition, read back."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from io import StringIO
from typing import Final

from kitbuild.base.glyphs import SYMBOLS

Row = Mapping[str, str]

#: The files that a comparison reads, each with the columns that it needs.
READ: Final[dict[str, str]] = {
    "kit.csv": "fact,value",
    "pieces.csv": (
        "piece,copies,canvas,columns,rows,pitch_mm,cover,blank_columns,blank_rows,blank_width_mm,"
        "blank_height_mm,finished_width_mm,finished_height_mm,title"
    ),
    "stitches.csv": "piece,x1,y1,x2,y2,colour",
    "work-order.csv": "piece,seq,colour,start,up_x,up_y,down_x,down_y",
    "work-order-left.csv": "piece,seq,colour,start,up_x,up_y,down_x,down_y",
    "finishing.csv": "piece,kind,edge,hole,colour,stitches",
    "thread.csv": (
        "colour,thread,needleful_mm,needlefuls,spare_needlefuls,put_ups,packed,needlefuls_in_put_up"
    ),
    "palette.csv": "colour,name,rgb,symbol,thread,title,put_up,put_up_mm",
    "pick-list.csv": "line,bin,item,description,colour,quantity,unit",
    "cut-list.csv": "sheet,canvas,stock,piece,x,y,width,height,turned",
    "cautions.csv": "note,severity,language,text",
    "cost.csv": "what,item,colour,piece,quantity,unit,amount,currency",
    "wording.csv": "document,language,kind,text",
    "documents.csv": "file,document,language,sheet",
}
LATER: Final = frozenset({"documents.csv"})
"""Those that builds of earlier versions do not have; they are read as empty."""
_FACTS: Final = ("code", "title", "edition", "date", "language", "paper", "currency", "maker")
_WHOLE: Final = {
    "pieces.csv": "copies columns rows blank_columns blank_rows",
    "stitches.csv": "x1 y1 x2 y2",
    "thread.csv": "needlefuls spare_needlefuls put_ups needlefuls_in_put_up",
    "pick-list.csv": "quantity",
}
_DECIMAL: Final = {
    "pieces.csv": "blank_width_mm blank_height_mm finished_width_mm finished_height_mm",
    "thread.csv": "needleful_mm",
}


_WORKED: Final = ("stitches.csv", "work-order.csv", "work-order-left.csv", "finishing.csv")
_NAMING: Final = {"colour": (*_WORKED, "thread.csv"), "piece": (*_WORKED, "cut-list.csv")}
_RGB: Final = re.compile("#[0-9a-fA-F]{6}")


class Unreadable(ValueError):
    """A file of the open data is not what it should be: its name, and what is wrong with it."""

    def __init__(self, file: str, what: str) -> None:
        self.file, self.what = file, what
        super().__init__(f"{file}: {what}")


@dataclass(frozen=True, slots=True, eq=False)
class Opened:
    """The open data of one edition; `tables` are the rows of each file by its name.

    `version` is that of the tool that wrote it, "" where nothing says so.
    """

    tables: Mapping[str, tuple[Row, ...]]
    version: str = ""

    def __getitem__(self, file: str) -> tuple[Row, ...]:
        return self.tables[file]

    @property
    def facts(self) -> Row:
        """What the kit is, by the name of each fact."""
        return {row["fact"]: row["value"] for row in self["kit.csv"]}

    @property
    def code(self) -> str:
        """The kit's code."""
        return self.facts["code"]

    @property
    def edition(self) -> int:
        """The number of the edition."""
        return int(self.facts["edition"])

    def by(self, file: str, *columns: str) -> dict[tuple[str, ...], Row]:
        """The rows of a file by the values of some columns; the first stands where several have the same."""
        found: dict[tuple[str, ...], Row] = {}
        for row in self[file]:
            found.setdefault(tuple(row[column] for column in columns), row)
        return found


def piece_title(key: str, *editions: Opened) -> str:
    """What a piece is called in the first edition that has it."""
    return next(row["title"] for each in editions for row in each["pieces.csv"] if row["piece"] == key)


def opened(files: Mapping[str, bytes], version: str = "") -> Opened:
    """Open data read back; Unreadable for a file that is missing or is not what it should be."""
    tables = {name: tuple(_rows(name, files.get(name), columns)) for name, columns in READ.items()}
    found = Opened(tables, version)
    for fact in _FACTS:
        if not found.facts.get(fact) and fact != "maker":
            raise Unreadable("kit.csv", f"there is no {fact}")
    if not found.facts["edition"].isdigit():
        raise Unreadable("kit.csv", "the edition is no number")
    _check_facts(found)
    _check_names(found)
    return found


def _check_facts(edition: Opened) -> None:
    """Unreadable for a date or a colour that is none."""
    try:
        date.fromisoformat(edition.facts["date"])
    except ValueError as error:
        raise Unreadable("kit.csv", "the date is no date") from error
    for row in edition["palette.csv"]:
        if not _RGB.fullmatch(row["rgb"]) or row["symbol"] not in SYMBOLS:
            raise Unreadable("palette.csv", f"{row['colour']} has no colour or symbol that there is")


def _check_names(edition: Opened) -> None:
    """Unreadable for a file that names a colour or piece which the kit has not."""
    for column, where in (("colour", "palette.csv"), ("piece", "pieces.csv")):
        known = {row[column] for row in edition[where]}
        for file in _NAMING[column]:
            for unknown in {row[column] for row in edition[file]} - known:
                raise Unreadable(file, f"it names a {column} that is not in {where}: {unknown}")
    if lacking := {row["colour"] for row in edition["palette.csv"]} - _colours(edition, "thread.csv"):
        raise Unreadable("thread.csv", f"there is no thread of a colour: {min(lacking)}")


def _colours(edition: Opened, file: str) -> set[str]:
    return {row["colour"] for row in edition[file]}


def _rows(name: str, content: bytes | None, needed: str) -> Iterator[Row]:
    if content is None:
        if name in LATER:
            return
        raise Unreadable(name, "it is missing")
    try:
        reader = csv.DictReader(StringIO(content.decode("utf-8"), newline=""), strict=True)
        lacking = [column for column in needed.split(",") if column not in (reader.fieldnames or ())]
        if lacking:
            raise Unreadable(name, f"there is no column {lacking[0]}")
        for row in reader:
            if None in row or None in row.values():
                raise Unreadable(name, f"line {reader.line_num} has another number of values than the first")
            _check_numbers(name, row, reader.line_num)
            yield row
    except (UnicodeDecodeError, csv.Error) as error:
        raise Unreadable(name, "it is no CSV in UTF-8") from error


def _check_numbers(name: str, row: Row, line: int) -> None:
    for column in _WHOLE.get(name, "").split():
        if not row[column].lstrip("-").isdecimal():
            raise Unreadable(name, f"line {line}: {column} is no whole number")
    for column in _DECIMAL.get(name, "").split():
        if not row[column].replace(".", "", 1).isdecimal():
            raise Unreadable(name, f"line {line}: {column} is no length")
