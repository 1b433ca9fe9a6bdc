"""What the page of a whole range shows of each kit: words as they are printed, and values to sort by."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Measure:
    """One fact of a kit: its words, and the number by which a table is sorted."""

    text: str
    value: float


@dataclass(frozen=True, slots=True)
class FileGroup:
    """Files of one document or list: its name, and (what tells each apart, file name)."""

    name: str
    files: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Card:
    """One kit of the range. `pictures` are files of its folder with the words for them."""

    code: str
    title: str
    edition: Measure
    sizes: tuple[str, ...]
    hours: Measure
    cost: Measure
    price: Measure
    margin: Measure
    warnings: tuple[str, ...]
    pictures: tuple[tuple[str, str], ...]
    screens: tuple[tuple[str, str], ...]
    groups: tuple[FileGroup, ...]
