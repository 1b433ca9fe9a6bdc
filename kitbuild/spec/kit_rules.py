"""Rules for one kit file: its names lead somewhere, its palette is clear, its pieces can be laid out."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

from kitbuild.base.problem import Place, Problem
from kitbuild.spec.columns import MOST, Misfit, columns_of
from kitbuild.spec.draft import Draft, Sold, pieces, sold, used_colours
from kitbuild.spec.lines import LineFault, shape
from kitbuild.spec.words import counted, listed, nearest, shown, suggestion


def materials_are_known(draft: Draft) -> Iterator[Problem]:
    """Every canvas, thread, needle and extra stands in a materials file."""
    if not draft.complete or not draft.materials:
        return
    for noun, section, place, key in _named_materials(draft):
        names = draft.names(section)
        if key not in names:
            cure = suggestion(key, names, f"add it to `{section}` in a materials file")
            yield Problem(place, "KB303", f"there is no {noun} {shown(key)}", cure)


def _named_materials(draft: Draft) -> Iterator[tuple[str, str, Place, str]]:
    for kit in draft.sound_kits:
        for piece, at in pieces(kit):
            yield "canvas", "canvases", at("canvas"), piece["canvas"]
        for one in sold(kit):
            for key, colour in one.palette.items():
                yield "thread", "threads", one.at("palette", key, "thread"), colour["thread"]
        for noun in ("needle", "extra"):
            section = f"{noun}s"
            for key in kit.data[section]:
                yield noun, section, kit.at.key(section, key), key


def colours_are_in_the_palette(draft: Draft) -> Iterator[Problem]:
    """Every colour that a piece names is in the palette, and in that of each colourway."""
    for kit in draft.sound_kits:
        ways = list(sold(kit))
        anywhere = {key for one in ways for key in one.palette}
        named = {key for piece, _ in pieces(kit) for key, _ in used_colours(piece)}
        for piece, at in pieces(kit):
            for key, path in used_colours(piece):
                if key not in anywhere:
                    cure = suggestion(key, anywhere, "add it to `palette`")
                    yield Problem(at(*path), "KB304", f"there is no colour {shown(key)} in the palette", cure)
        for one in ways:
            if lacking := sorted((named & anywhere) - set(one.palette)):
                message = f"the palette of {one.code} lacks {listed(lacking, 'and')}, which a piece uses"
                yield Problem(one.at("palette"), "KB304", message, "add it with its thread")


def palette_colours_are_used(draft: Draft) -> Iterator[Problem]:
    """A colour that no piece uses would be packed for nothing."""
    for kit in draft.sound_kits:
        named = {key for piece, _ in pieces(kit) for key, _ in used_colours(piece)}
        for one in sold(kit):
            meant = {nearest(key, one.palette) for key in named - set(one.palette)}
            for key in one.palette.keys() - meant:
                if key not in named:
                    place = one.at.key("palette", key)
                    message = f"no piece uses the colour {shown(key)}"
                    cure = "take it out, or use it in a piece"
                    yield Problem(place, "KB307", message, cure, warning=True)


def _repeated(
    one: Sold, name: str, value: Callable[[str], str], code: str, message: str, cure: str
) -> Iterator[Problem]:
    """A Problem for each palette colour whose `value` an earlier one has already."""
    seen: dict[str, str] = {}
    for key in one.palette:
        text = value(key)
        if text and text in seen:
            said = message.format(first=shown(seen[text]), second=shown(key), value=shown(text))
            yield Problem(one.at("palette", key, name), code, said, cure)
        seen.setdefault(text, key)


def threads_serve_one_colour(draft: Draft) -> Iterator[Problem]:
    """Two colours on one thread could not be told apart in the work or in the box."""
    for kit in draft.sound_kits:
        for one in sold(kit):
            yield from _repeated(
                one,
                "thread",
                lambda key, one=one: one.palette[key]["thread"],  # type: ignore[misc]
                "KB305",
                "{first} and {second} are both {value}",
                "use one colour, or another thread",
            )


def symbols_differ(draft: Draft) -> Iterator[Problem]:
    """A symbol carries its colour alone."""
    for kit in draft.sound_kits:
        for one in sold(kit):
            yield from _repeated(
                one,
                "symbol",
                lambda key, one=one: one.palette[key].get("symbol", ""),  # type: ignore[misc]
                "KB308",
                "{first} and {second} both have the symbol {value}",
                "give one of them another symbol, or leave it out",
            )


def colour_names_differ(draft: Draft) -> Iterator[Problem]:
    """A name in print stands for one colour of a kit; the thread gives it where none is written."""
    threads = {
        key: thread["colour_name"]
        for file in draft.sound_materials
        for key, thread in file.data["threads"].items()
    }
    for kit in draft.sound_kits:
        for one in sold(kit):
            yield from _repeated(
                one,
                "name",
                lambda key, one=one: (  # type: ignore[misc]
                    one.palette[key].get("name") or threads.get(one.palette[key]["thread"], "")
                ).casefold(),
                "KB319",
                "{first} and {second} have the same name in print, {value}",
                "give one of them another `name`",
            )


def colourways_have_a_title(draft: Draft) -> Iterator[Problem]:
    """A colourway's title is its own or the file's."""
    for kit in draft.sound_kits:
        for one in sold(kit):
            if "title" not in one.data and "title" not in kit.data:
                message = f"the colourway {one.code} has no title"
                yield Problem(one.at(), "KB320", message, "add `title` to it, or at the top level")


def lines_can_be_worked(draft: Draft) -> Iterator[Problem]:
    """A line has groups that join, and returns to its start where the pattern needs it."""
    for kit in draft.sound_kits:
        for piece, at in pieces(kit):
            line = at.below("pattern", "line")
            try:
                found = shape(piece["pattern"]["line"])
            except LineFault as fault:
                yield Problem(line(*fault.path), "KB317", fault.message, fault.cure)
                continue
            if found.columns > MOST:
                message = f"one repeat has {found.columns} columns"
                yield Problem(line(), "KB317", message, f"a piece has {MOST} columns at most")
            returns = piece["pattern"]["family"] == "diamond" or piece["finish"]["kind"] == "sleeve"
            if found.drift and returns:
                why = "a diamond" if piece["pattern"]["family"] == "diamond" else "a sleeve"
                side = "below" if found.drift > 0 else "above"
                bars = counted(abs(found.drift), "bar")
                message = f"the line does not return to its start: the next repeat stands {bars} {side}"
                yield Problem(line(), "KB316", message, f"{why} needs as much up as down")


def columns_make_repeats(draft: Draft) -> Iterator[Problem]:
    """Columns are whole repeats and the two ends, however they are written."""
    for kit in draft.sound_kits:
        for piece, at in pieces(kit):
            try:
                found = columns_of(piece, shape(piece["pattern"]["line"]).columns)
            except LineFault:
                continue
            if isinstance(found, Misfit):
                yield Problem(at(*found.path), "KB318", found.message, found.cure)


RULES: Final = (
    materials_are_known,
    colours_are_in_the_palette,
    palette_colours_are_used,
    threads_serve_one_colour,
    symbols_differ,
    colour_names_differ,
    colourways_have_a_title,
    lines_can_be_worked,
    columns_make_repeats,
)
