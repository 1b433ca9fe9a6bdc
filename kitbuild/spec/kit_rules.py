"""Rules for the names in a kit file: they lead somewhere, and stand for one thing."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from typing import Final

from kitbuild.base.problem import Place, Problem
from kitbuild.spec.charts import ChartFile
from kitbuild.spec.check import Checked
from kitbuild.spec.draft import Draft, Sold, named_colours, palettes_are_read, pieces, sold, tells_colours
from kitbuild.spec.source import At
from kitbuild.spec.words import listed, nearest, shown, suggestion

#: How keys are written; one that is written otherwise has its Problem already.
_KEY: Final = re.compile(r"[a-z][a-z0-9-]{0,31}")


def _known(key: str, names: Iterable[str]) -> bool:
    """Whether a key is among names, or was probably meant to be one that is written wrongly there."""
    faulty = [name for name in names if not _KEY.fullmatch(name)]
    return key in names or bool(faulty and nearest(key, faulty))


def materials_are_known(draft: Draft) -> Iterator[Problem]:
    """Every canvas, thread, needle and extra stands in a materials file."""
    names = {section: draft.names(section) for section in ("canvases", "threads", "needles", "extras")}
    for noun, section, place, key in _named_materials(draft):
        known = names[section]
        if known is not None and not _known(key, known):
            cure = suggestion(key, known, f"add it to `{section}` in a materials file")
            yield Problem(place, "KB303", f"there is no {noun} {shown(key)}", cure)


def _named_materials(draft: Draft) -> Iterator[tuple[str, str, Place, str]]:
    for kit in draft.kits:
        for piece, at in pieces(kit):
            if "canvas" in piece:
                yield "canvas", "canvases", at("canvas"), piece["canvas"]
        for one in sold(kit):
            for key, thread in one.values("thread"):
                yield "thread", "threads", one.at("palette", key, "thread"), thread
        for noun in ("needle", "extra"):
            section = f"{noun}s"
            for key in kit.data.get(section, {}):
                yield noun, section, kit.at.key(section, key), key


def colours_are_in_the_palette(draft: Draft) -> Iterator[Problem]:
    """Every colour that a piece names is in the palette, and in that of each colourway."""
    for kit in draft.kits:
        ways = list(sold(kit))
        anywhere = frozenset(key for one in ways for key in one.colours or ())
        named = {key for key, _ in named_colours(kit)}
        for key, place in named_colours(kit) if palettes_are_read(kit, ways) else ():
            if not _known(key, anywhere):
                cure = suggestion(key, anywhere, "add it to `palette`")
                yield Problem(place, "KB304", f"there is no colour {shown(key)} in the palette", cure)
        for one in ways:
            yield from _lacking(one, named & anywhere)


def _lacking(one: Sold, named: frozenset[str]) -> Iterator[Problem]:
    """The palette of a colourway has all colours that others have and a piece uses."""
    colours = one.colours
    lacking = [] if colours is None else sorted(key for key in named if not _known(key, colours))
    if lacking:
        message = f"the palette of {one.code} lacks {listed(lacking, 'and')}, which a piece uses"
        yield Problem(one.at("palette"), "KB304", message, "add it with its thread")


def chart_files_are_read(draft: Draft) -> Iterator[Problem]:
    """A chart file is there and is a chart, and its colours are in the palette of each colourway."""
    for kit in draft.kits:
        for piece, at in pieces(kit):
            name = piece.get("pattern", {}).get("chart_file")
            if name is None or piece["pattern"].get("family", "charted") != "charted":
                continue
            if name not in draft.charts:
                cure = f"put it beside {kit.source.file}"
                yield Problem(at("pattern", "chart_file"), "KB330", f"there is no file {shown(name)}", cure)
                continue
            yield from draft.charts[name].problems
            for one in sold(kit):
                yield from _chart_colours(draft.charts[name], one)


def _chart_colours(chart: ChartFile, one: Sold) -> Iterator[Problem]:
    """The first stitch of each colour of a chart that a palette lacks."""
    lacking: set[str] = set()
    for number, stitch in enumerate(chart.stitches):
        key = stitch[4]
        if one.colours is not None and key not in lacking and not _known(key, one.colours):
            lacking.add(key)
            place, cure = At(chart.source)(number), suggestion(key, one.colours, "add it to `palette`")
            yield Problem(place, "KB304", f"the palette of {one.code} has no colour {shown(key)}", cure)


def palette_colours_are_used(draft: Draft) -> Iterator[Problem]:
    """A colour that no piece uses would be packed for nothing."""
    for kit in filter(tells_colours, draft.kits):
        charts = _charts(draft, kit)
        if any(chart is None or chart.problems for chart in charts):
            continue
        named = {key for key, _ in named_colours(kit)}
        named |= {stitch[4] for chart in charts if chart for stitch in chart.stitches}
        for one in sold(kit):
            meant = {nearest(key, one.palette) for key in named - set(one.palette)}
            for key in one.palette.keys() - meant:
                if key not in named:
                    place = one.at.key("palette", key)
                    message = f"no piece uses the colour {shown(key)}"
                    cure = "take it out, or use it in a piece"
                    yield Problem(place, "KB307", message, cure, warning=True)


def _charts(draft: Draft, kit: Checked) -> list[ChartFile | None]:
    """The chart files that a kit names; None for one that is not there."""
    names = (piece.get("pattern", {}).get("chart_file") for piece, _ in pieces(kit))
    return [draft.charts.get(name) for name in names if name]


Values = Iterable[tuple[str, str]]


def _repeated(one: Sold, name: str, values: Values, code: str, message: str, cure: str) -> Iterator[Problem]:
    """A Problem for each palette colour whose value an earlier one has already."""
    seen: dict[str, str] = {}
    for key, text in values:
        if text in seen:
            said = message.format(first=shown(seen[text]), second=shown(key), value=shown(text))
            yield Problem(one.at("palette", key, name), code, said, cure)
        seen.setdefault(text, key)


def threads_serve_one_colour(draft: Draft) -> Iterator[Problem]:
    """Two colours on one thread could not be told apart in the work or in the box."""
    message, cure = "{first} and {second} are both {value}", "use one colour, or another thread"
    for one in _kits(draft):
        yield from _repeated(one, "thread", one.values("thread"), "KB305", message, cure)


def symbols_differ(draft: Draft) -> Iterator[Problem]:
    """A symbol carries its colour alone."""
    message = "{first} and {second} both have the symbol {value}"
    cure = "give one of them another symbol, or leave it out"
    for one in _kits(draft):
        yield from _repeated(one, "symbol", one.values("symbol"), "KB308", message, cure)


def colour_names_differ(draft: Draft) -> Iterator[Problem]:
    """A name in print stands for one colour of a kit; the thread gives it where none is written."""
    threads = {key: part["colour_name"] for key, part, _ in draft.parts("threads") if "colour_name" in part}
    message = "{first} and {second} have the same name in print, {value}"
    for one in _kits(draft):
        names = _names_in_print(one, threads)
        yield from _repeated(one, "name", names, "KB319", message, "give one of them another `name`")


def _names_in_print(one: Sold, threads: dict[str, str]) -> Iterator[tuple[str, str]]:
    """The name of each colour; of those on one thread only the first, since that is a fault of its own."""
    seen: set[str] = set()
    for key, colour in one.palette.items():
        thread = colour.get("thread", "")
        name = colour.get("name") or (threads.get(thread, "") if thread not in seen else "")
        seen.add(thread)
        if name and (("name" in colour) or one.file.told(*one.at.path, "palette", key)):
            yield key, name.casefold()


def colourways_have_a_title(draft: Draft) -> Iterator[Problem]:
    """A colourway's title is its own or the file's."""
    for one in _kits(draft):
        file = one.file
        if "colourways" not in file.written or "title" in file.written or not file.told():
            continue
        if file.told(*one.at.path) and "title" not in (file.names(*one.at.path) or ()):
            message = f"the colourway {one.code} has no title"
            yield Problem(one.at(), "KB320", message, "add `title` to it, or at the top level")


def _kits(draft: Draft) -> Iterator[Sold]:
    return (one for kit in draft.kits for one in sold(kit))


RULES: Final[tuple[Callable[[Draft], Iterator[Problem]], ...]] = (
    materials_are_known,
    colours_are_in_the_palette,
    chart_files_are_read,
    palette_colours_are_used,
    threads_serve_one_colour,
    symbols_differ,
    colour_names_differ,
    colourways_have_a_title,
)
