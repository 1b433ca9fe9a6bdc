"""Rules for how a piece is laid out: its line can be worked, and its columns are whole repeats."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any, Final

from kitbuild.base.problem import Place, Problem
from kitbuild.spec.check import Checked
from kitbuild.spec.columns import MOST, Layout, Misfit, layout_of
from kitbuild.spec.draft import Draft, pieces
from kitbuild.spec.formats import read_chart_columns, read_piece_edge
from kitbuild.spec.lines import LineFault, Shape, shape
from kitbuild.spec.source import At
from kitbuild.spec.words import counted, shown, suggestion

MOST_HOLES: Final = 400_000
"""In all different pieces of a kit: some 800 by 500 holes, years of work."""


def _lines(draft: Draft) -> Iterator[tuple[Checked, Mapping[str, Any], At]]:
    """Every piece whose line is written without fault."""
    for kit in draft.kits:
        for piece, at in pieces(kit):
            if "line" in piece.get("pattern", {}) and kit.whole(*at.path, "pattern", "line"):
                yield kit, piece, at


def _charted(draft: Draft) -> Iterator[tuple[Checked, Mapping[str, Any], At]]:
    for kit in draft.kits:
        for piece, at in pieces(kit):
            if piece.get("pattern", {}).get("family") == "charted":
                yield kit, piece, at


def lines_can_be_worked(draft: Draft) -> Iterator[Problem]:
    """A line has groups that join, and returns to its start where the pattern needs it."""
    for _, piece, at in _lines(draft):
        line = at.below("pattern", "line")
        try:
            found = shape(piece["pattern"]["line"])
        except LineFault as fault:
            yield Problem(line(*fault.path), "KB317", fault.message, fault.cure)
            continue
        if found.columns > MOST:
            message = f"one repeat has {found.columns} columns"
            yield Problem(line(), "KB317", message, f"a piece has {MOST} columns at most")
        yield from _returns(piece, found, line)


def _returns(piece: Mapping[str, Any], found: Shape, line: At) -> Iterator[Problem]:
    family = piece["pattern"].get("family", "")
    diamond = family in ("diamond", "medallion")
    sleeve = piece.get("finish", {}).get("kind") == "sleeve"
    if found.drift and (diamond or sleeve):
        why = f"a {family}" if diamond else "a sleeve"
        side = "below" if found.drift > 0 else "above"
        bars = counted(abs(found.drift), "bar")
        message = f"the line does not return to its start: the next repeat stands {bars} {side}"
        yield Problem(line(), "KB316", message, f"{why} needs as much up as down")


def columns_make_repeats(draft: Draft) -> Iterator[Problem]:
    """Columns are whole repeats and the two ends, however they are written."""
    for kit, piece, at in (*_lines(draft), *_charted(draft)):
        if not _width_is_told(kit, at) or "family" not in piece["pattern"]:
            continue
        try:
            groups = shape(piece["pattern"]["line"]).groups if "line" in piece["pattern"] else ()
        except LineFault:
            continue
        found = layout_of(piece, groups)
        if isinstance(found, Misfit):
            yield Problem(at(*found.path), "KB318", found.message, found.cure)


def _width_is_told(kit: Checked, at: At) -> bool:
    """Whether nothing that could say how wide the piece is stands there unread."""
    pattern = (*at.path, "pattern")
    repeats, columns = (*pattern, "repeats"), (*at.path, "columns")
    unread = kit.marks.bad & {repeats, columns}
    if unread or (*pattern, "centre") in kit.marks.bad:
        return False
    return kit.whole(*pattern, "ends") and kit.told(*pattern) and kit.told(*at.path)


def pieces_can_be_handled(draft: Draft) -> Iterator[Problem]:
    """A kit's different pieces together are a size that hands can work and a chart can show."""
    yield from _drawn_beyond_measure(draft)
    for kit in draft.kits:
        sizes = {at: _holes(kit, piece, at) for piece, at in pieces(kit)}
        whole = sum(sizes.values())
        if whole > MOST_HOLES:
            largest = max(sizes, key=lambda at: sizes[at])
            cure = f"{MOST_HOLES} at most: make it smaller, or two kits of the pieces"
            yield Problem(largest("rows"), "KB327", f"the pieces have {whole} holes in all", cure)


def _drawn_beyond_measure(draft: Draft) -> Iterator[Problem]:
    """No chart has more stitches than the largest kit has holes."""
    for _, piece, at in _charted(draft):
        entries = (read_chart_columns(entry) for entry in piece["pattern"].get("chart", ()) if entry)
        whole = sum((last - first + 1) * len(parts) for first, last, parts in entries)
        name = piece["pattern"].get("chart_file", "")
        if name in draft.charts:
            whole += len(draft.charts[name].stitches)
        if whole > MOST_HOLES:
            cure = f"{MOST_HOLES} at most: draw a smaller piece"
            yield Problem(at("pattern", "family"), "KB327", f"the chart has {whole} stitches", cure)


def _columns(kit: Checked, piece: Mapping[str, Any], at: At) -> int:
    """The columns of a piece, 0 when its width is not told without fault."""
    pattern = piece.get("pattern", {})
    if "line" in pattern and kit.whole(*at.path, "pattern", "line") and _width_is_told(kit, at):
        try:
            layout = layout_of(piece, shape(pattern["line"]).groups)
        except LineFault:
            return 0
        return layout.columns if isinstance(layout, Layout) else 0
    columns: int = piece.get("columns", 0)
    return columns


def _holes(kit: Checked, piece: Mapping[str, Any], at: At) -> int:
    """The holes of a piece, 0 when its size is not told without fault."""
    holes: int = _columns(kit, piece, at) * piece.get("rows", 0)
    return holes


def charts_are_drawn_once(draft: Draft) -> Iterator[Problem]:
    """Charted work is drawn in the kit's file or in a file beside it, each column once."""
    for kit, piece, at in _charted(draft):
        if not kit.told(*at.path, "pattern"):
            continue
        names = kit.names(*at.path, "pattern") or frozenset()
        written = sorted(names & {"chart", "chart_file"})
        if len(written) != 1:
            said = "both are" if written else "neither is"
            cure = "write `chart`, or `chart_file` with the name of a CSV file"
            message = f"charted work is drawn in `chart` or in `chart_file`: {said} written"
            yield Problem(at("pattern"), "KB329", message, cure)
        seen: set[int] = set()
        for number, entry in enumerate(piece["pattern"].get("chart", ())):
            first, last, _ = read_chart_columns(entry) if entry else (1, 0, ())
            twice = next((column for column in range(first, last + 1) if column in seen), 0)
            if twice:
                place = at("pattern", "chart", number)
                yield Problem(place, "KB329", f"column {twice} is drawn twice", "draw each column once")
            seen.update(range(first, last + 1))


def outlines_are_said_once(draft: Draft) -> Iterator[Problem]:
    """An outline is a named shape, or a span for each column."""
    for kit in draft.kits:
        for piece, at in pieces(kit):
            outline = piece.get("outline")
            if outline is not None and kit.whole(*at.path, "outline") and len(outline) != 1:
                said = "both are" if outline else "neither is"
                message = f"an outline is said in `shape` or in `spans`: {said} written"
                yield Problem(at("outline"), "KB328", message, "write `shape`, or `spans` for each column")
            kind = piece.get("finish", {}).get("kind")
            if outline is not None and kind in ("box", "sleeve"):
                message = f"a {kind} has straight edges, and no outline"
                yield Problem(at("outline"), "KB328", message, "take it out, or choose another finish")


def joins_fit(draft: Draft) -> Iterator[Problem]:
    """Joined edges belong to pieces of the kit, have as many holes, and each is joined once."""
    for kit in draft.kits:
        names = kit.names("pieces")
        if names is None or not kit.told():
            continue
        used: dict[str, int] = {}
        for number, join in enumerate(kit.data.get("joins", ())):
            if join and kit.whole("joins", number):
                yield from _join_faults(kit, names, join, kit.at.below("joins", number))
                yield from _joined_too_often(kit, join, used, kit.at.below("joins", number))


def _join_faults(kit: Checked, names: Iterable[str], join: Mapping[str, Any], at: At) -> Iterator[Problem]:
    counts, canvases = [], set()
    for end in ("one", "other"):
        key, edge = read_piece_edge(join[end])
        piece = kit.value(("pieces", key))
        if piece is None:
            if key not in names:
                cure = suggestion(key, names, "name a piece of this kit")
                yield Problem(at(end), "KB331", f"there is no piece {shown(key)} to join", cure)
            continue
        wrong = list(_edge_faults(key, piece, edge, at(end)))
        yield from wrong
        holes = _columns(kit, piece, kit.at.below("pieces", key))
        counts.append(0 if wrong else holes if edge in ("top", "bottom") else piece.get("rows", 0))
        canvases.add(piece.get("canvas"))
    if len(counts) == 2 and all(counts) and counts[0] != counts[1]:
        message = f"{counted(counts[0], 'hole')} would be joined to {counts[1]}"
        yield Problem(at(), "KB331", message, "joined edges have the same number of holes")
    elif len(canvases) == 2 and None not in canvases:
        message = f"{' and '.join(sorted(map(shown, canvases)))} would be joined"
        yield Problem(at(), "KB331", message, "joined pieces are on one canvas, so that hole meets hole")


def _edge_faults(key: str, piece: Mapping[str, Any], edge: str, place: Place) -> Iterator[Problem]:
    """What keeps one edge of a piece from being joined."""
    finish = piece.get("finish", {})
    if edge in finish.get("edges", ()):
        cure = "take it out of the piece's `edges`"
        yield Problem(place, "KB331", f"the {edge} edge of {key} is joined and overcast", cure)
    elif finish.get("kind", "box") != "box":
        message = f"{key} is finished as {shown(finish['kind'])}, and joined"
        yield Problem(place, "KB331", message, "let its finish be of the kind `box`")
    elif "outline" in piece:
        yield Problem(place, "KB331", f"{key} has an outline, and no straight edges", "join rectangles only")


def _joined_too_often(
    kit: Checked, join: Mapping[str, Any], used: dict[str, int], at: At
) -> Iterator[Problem]:
    """Each copy of a piece has each of its edges once; told where the count is first passed."""
    for end in ("one", "other"):
        name, key = join[end], read_piece_edge(join[end])[0]
        before = used.get(name, 0)
        used[name] = before + join["times"]
        copies = (kit.value(("pieces", key)) or {}).get("copies")
        if copies is not None and before <= copies < used[name]:
            message = f"{name} is joined {counted(used[name], 'time')}, the kit has {copies} of it"
            yield Problem(at(end), "KB331", message, "change `times`, or the piece's `copies`")


RULES: Final[tuple[Callable[[Draft], Iterator[Problem]], ...]] = (
    lines_can_be_worked,
    columns_make_repeats,
    charts_are_drawn_once,
    outlines_are_said_once,
    joins_fit,
    pieces_can_be_handled,
)
