"""All files of a range, checked one by one but not yet against each other."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final

from kitbuild.spec.check import Checked
from kitbuild.spec.source import At, Path

SECTIONS: Final = ("canvases", "threads", "needles", "extras")


@dataclass(frozen=True, slots=True, eq=False)
class Sold:
    """A kit as a kit file names it: the file's own, or one of its colourways."""

    code: str
    data: Mapping[str, Any]
    at: At
    code_at: At

    @property
    def palette(self) -> Mapping[str, Any]:
        """The colours by key."""
        palette: Mapping[str, Any] = self.data["palette"]
        return palette


@dataclass(frozen=True, slots=True, eq=False)
class Draft:
    """The files by kind.

    `complete` says that all materials could be read, so that a name that is not there is a wrong name.
    """

    folder: str
    workshops: tuple[Checked, ...]
    materials: tuple[Checked, ...]
    kits: tuple[Checked, ...]
    complete: bool

    @property
    def sound_kits(self) -> tuple[Checked, ...]:
        """Kit files without a fault so far."""
        return tuple(kit for kit in self.kits if kit.sound)

    @property
    def sound_materials(self) -> tuple[Checked, ...]:
        """Materials files without a fault so far."""
        return tuple(file for file in self.materials if file.sound)

    @property
    def sound_files(self) -> tuple[Checked, ...]:
        """All files without a fault so far."""
        return tuple(file for file in (*self.workshops, *self.materials, *self.kits) if file.sound)

    def names(self, section: str) -> frozenset[str]:
        """The keys of one of SECTIONS, whether or not what they stand for is without fault."""
        found = (file.data.get(section) for file in self.materials)
        return frozenset(key for part in found if isinstance(part, dict) for key in part)


def sold(kit: Checked) -> Iterator[Sold]:
    """The kits of a sound kit file, in the order they are written."""
    if "colourways" not in kit.data:
        yield Sold(kit.data["code"], kit.data, kit.at, kit.at.below("code"))
        return
    for code, colourway in kit.data["colourways"].items():
        at = kit.at.below("colourways", code)
        yield Sold(code, colourway, at, at)


def pieces(kit: Checked) -> Iterator[tuple[Mapping[str, Any], At]]:
    """The pieces of a sound kit file with their addresses."""
    for key, piece in kit.data["pieces"].items():
        yield piece, kit.at.below("pieces", key)


def used_colours(piece: Mapping[str, Any]) -> Iterator[tuple[str, Path]]:
    """Palette keys that a piece names, with the path from the piece."""
    pattern = piece["pattern"]
    name = "rings" if "rings" in pattern else "colours"
    for index, key in enumerate(pattern[name]):
        yield key, ("pattern", name, index)
    if "edge" in piece["finish"]:
        yield piece["finish"]["edge"], ("finish", "edge")
