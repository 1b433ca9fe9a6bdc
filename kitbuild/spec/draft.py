"""All files of a range, checked one by one but not yet against each other."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from kitbuild.base.problem import Place
from kitbuild.spec.charts import ChartFile
from kitbuild.spec.check import Checked
from kitbuild.spec.formats import read_chart_columns
from kitbuild.spec.source import At, Path

SECTIONS: Final = ("canvases", "threads", "needles", "extras")


@dataclass(frozen=True, slots=True, eq=False)
class Sold:
    """A kit as a kit file names it: the file's own, or one of its colourways. `code` may be faulty: ""."""

    file: Checked
    code: str
    data: Mapping[str, Any]
    at: At
    code_at: At

    @property
    def palette(self) -> Mapping[str, Any]:
        """The colours by key, without those that are faulty as a whole."""
        palette: Mapping[str, Any] = self.data.get("palette", {})
        return palette

    @property
    def colours(self) -> frozenset[str] | None:
        """The keys of all colours, faulty or not; None when they could not be read."""
        return self.file.names(*self.at.path, "palette")

    def values(self, name: str) -> Iterator[tuple[str, str]]:
        """Colour key and what it says under `name`, where it says it soundly."""
        for key, colour in self.palette.items():
            if name in colour:
                yield key, colour[name]


@dataclass(frozen=True, slots=True, eq=False)
class Draft:
    """The files by kind.

    `complete` says that all materials could be read, so that a name that is not there is a wrong name, and
    `all_kits` that all kits could.
    `charts` are the chart files that kits name, by their names.
    """

    folder: str
    workshops: tuple[Checked, ...]
    materials: tuple[Checked, ...]
    kits: tuple[Checked, ...]
    tests: tuple[Checked, ...]
    wordings: tuple[Checked, ...]
    classes: tuple[Checked, ...]
    complete: bool
    all_kits: bool
    charts: Mapping[str, ChartFile] = field(default_factory=dict)

    @property
    def files(self) -> tuple[Checked, ...]:
        """All files."""
        return (
            *self.workshops,
            *self.materials,
            *self.kits,
            *self.tests,
            *self.wordings,
            *self.classes,
        )

    def names(self, section: str) -> frozenset[str] | None:
        """The keys of one of SECTIONS, faulty or not; None when some could not be read."""
        if not self.complete or not self.materials or not all(file.told() for file in self.materials):
            return None
        found = [file.names(section) if section in file.written else frozenset() for file in self.materials]
        return None if None in found else frozenset(key for part in found if part for key in part)

    def parts(self, section: str) -> Iterator[tuple[str, Mapping[str, Any], At]]:
        """The materials of one of SECTIONS with their keys and addresses, without faulty values."""
        for file in self.materials:
            for key, part in file.data.get(section, {}).items():
                yield key, part, file.at.below(section, key)


def sold(kit: Checked) -> Iterator[Sold]:
    """The kits of a kit file, in the order they are written."""
    if "colourways" not in kit.written:
        yield Sold(kit, kit.data.get("code", ""), kit.data, kit.at, kit.at.below("code"))
        return
    for code, colourway in kit.data.get("colourways", {}).items():
        at = kit.at.below("colourways", code)
        yield Sold(kit, code, colourway, at, at)


def palettes_are_read(kit: Checked, ways: list[Sold]) -> bool:
    """Whether the keys of every palette of a kit file could be read."""
    written = {one.code for one in ways} if "colourways" not in kit.written else kit.names("colourways")
    return written == {one.code for one in ways} and all(one.colours is not None for one in ways)


def pieces(kit: Checked) -> Iterator[tuple[Mapping[str, Any], At]]:
    """The pieces of a kit file with their addresses, without faulty values."""
    for key, piece in kit.data.get("pieces", {}).items():
        yield piece, kit.at.below("pieces", key)


def used_colours(piece: Mapping[str, Any]) -> Iterator[tuple[str, Path]]:
    """Palette keys that a piece names, with the path from the piece."""
    pattern = piece.get("pattern", {})
    name = "rings" if "rings" in pattern else "colours"
    for index, key in enumerate(pattern.get(name, ())):
        if key is not None:
            yield key, ("pattern", name, index)
    for index, entry in enumerate(pattern.get("chart", ())):
        if entry is not None:
            for _, key in read_chart_columns(entry)[2]:
                yield key, ("pattern", "chart", index)
    if "edge" in piece.get("finish", {}):
        yield piece["finish"]["edge"], ("finish", "edge")


def named_colours(kit: Checked) -> Iterator[tuple[str, Place]]:
    """Palette keys that the pieces and joins of a kit file name, with their places."""
    for piece, at in pieces(kit):
        for key, path in used_colours(piece):
            yield key, at(*path)
    for number, join in enumerate(kit.data.get("joins", ())):
        if join and "with" in join:
            yield join["with"], kit.at("joins", number, "with")


def tells_colours(kit: Checked) -> bool:
    """Whether every colour that the pieces name could be read."""
    names = kit.names("pieces")
    if names is None or not kit.told() or not kit.whole("joins"):
        return False
    return all(_tells_colours(kit, ("pieces", name)) for name in names)


def _tells_colours(kit: Checked, piece: Path) -> bool:
    pattern = kit.value((*piece, "pattern")) or {}
    used = next((name for name in ("rings", "chart", "chart_file") if name in pattern), "colours")
    refused = {(*piece, "pattern", name) for name in ("colours", "rings", "chart", "chart_file")}
    whole = kit.whole(*piece, "pattern", used) and kit.whole(*piece, "finish") and not refused & kit.marks.bad
    return whole and kit.told(*piece) and kit.told(*piece, "pattern")
