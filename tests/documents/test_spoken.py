"""The chart in words: its data and its very words give back every stitch of the piece."""

from __future__ import annotations

import csv
import io
import random
import re
from collections.abc import Iterator, Sequence

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kitbuild.base.blocks import Heading, Steps
from kitbuild.build import make
from kitbuild.documents.spoken import (
    Alike,
    Entry,
    Round,
    Run,
    Told,
    sideways,
    stitches_told,
    upright,
)
from kitbuild.output.csv_text import render_csv
from kitbuild.pattern.panel import Panel
from tests.documents.demo import CODES, kits, made
from tests.pattern.builders import UPRIGHT, panel_of, pieces, squares
from tests.quantity.drawn import bars_drawn, drawings, one_stitch, panel_drawn, recoloured

Stitch = tuple[int, int, int, int, int]


def told(columns: Sequence[Entry], rows: Sequence[Entry]) -> list[Stitch]:
    """x1, y1, x2, y2, colour of all that is told."""
    across = [(x1, y, x2, y, colour) for y, x1, x2, colour in stitches_told(rows)]
    return sorted([(x, y1, x, y2, colour) for x, y1, y2, colour in stitches_told(columns)] + across)


def wanted(panel: Panel) -> list[Stitch]:
    work = panel.stitches
    ends = (work.x1, work.y1, work.x2, work.y2, work.colour)
    return sorted(zip(*(each.tolist() for each in ends), strict=True))


def lanes(entries: Sequence[Entry]) -> list[int]:
    return [lane for entry in entries for lane in range(entry.first, entry.last + 1)]


def check(panel: Panel) -> None:
    columns, rows = upright(panel), sideways(panel)
    assert told(columns, rows) == wanted(panel)
    assert lanes(columns) in ([], list(range(1, panel.cover.columns + 1)))
    assert lanes(rows) in ([], list(range(1, panel.cover.rows + 1)))
    for entry in (*columns, *rows):
        if isinstance(entry, Alike):
            wide = entry.like_last - entry.like_first + 1
            assert entry.last - entry.first + 1 == wide * entry.times >= 4
            assert wide > 1
            assert entry.like_last < entry.first


@pytest.mark.parametrize("code", CODES)
def test_the_data_hold_every_stitch_of_the_open_data(code: str) -> None:
    kit = kits()[code]
    listing = next(each for each in made(code).listings if each.name == "stitches.csv")
    rows = list(csv.DictReader(io.StringIO(render_csv(listing).decode("utf-8"))))
    keys = [colour.key for colour in kit.palette]
    for key, panel in panels(code).items():
        listed = [
            (*(int(row[name]) for name in ("x1", "y1", "x2", "y2")), keys.index(row["colour"]))
            for row in rows
            if row["piece"] == key
        ]
        assert told(upright(panel), sideways(panel)) == sorted(listed)
        check(panel)


def panels(code: str) -> dict[str, Panel]:
    from kitbuild.pattern.expand import panels as expanded

    return {panel.piece.key: panel for panel in expanded(kits()[code])}


@settings(max_examples=60, deadline=None)
@given(pieces(60, UPRIGHT))
def test_any_pattern_is_told_whole(piece: object) -> None:
    check(panel_of(piece))


@settings(max_examples=25, deadline=None)
@given(squares(41))
def test_four_way_work_is_told_whole(piece: object) -> None:
    check(panel_of(piece))


@settings(max_examples=150, deadline=None)
@given(drawings())
def test_any_charted_work_is_told_whole(panel: Panel) -> None:
    check(panel)


@settings(max_examples=40, deadline=None)
@given(pieces(50), st.randoms(use_true_random=False), st.integers(1, 5))
def test_any_colouring_is_told_whole(piece: object, chance: object, colours: int) -> None:
    check(recoloured(panel_of(piece), chance, colours))


def test_one_stitch_is_told() -> None:
    assert upright(one_stitch()) == (Told(1, 1, 1, (Run(0, 2),)),)
    assert sideways(one_stitch()) == ()


def test_like_stitches_are_joined_and_gaps_are_told() -> None:
    bars = [(1, 1, 1, 3, 0), (1, 3, 1, 5, 0), (1, 8, 1, 10, 1), (2, 2, 5, 2, 1)]
    panel = panel_drawn(bars, 5, 10)
    runs = (Run(0, 2, 2), Run(None, 3), Run(1, 2))
    assert upright(panel) == (Told(1, 1, 1, runs), Told(2, 5, 1, ()))
    assert sideways(panel) == (Told(1, 1, 1, ()), Told(2, 2, 2, (Run(1, 3),)), Told(3, 10, 1, ()))


def test_runs_that_return_are_a_round() -> None:
    bars = [(1, 1 + 2 * at, 1, 3 + 2 * at, at % 3) for at in range(9)]
    assert upright(panel_drawn(bars, 1, 19)) == (
        Told(1, 1, 1, (Round((Run(0, 2), Run(1, 2), Run(2, 2)), 3),)),
    )


def columns_of(tops: str) -> Panel:
    """Columns of two stitches each; a letter is a colour pair."""
    bars = [
        (x, 1 + 2 * at, x, 3 + 2 * at, (ord(letter) - ord("a")) // (1 + at))
        for x, letter in enumerate(tops, 1)
        for at in (0, 1)
    ]
    return panel_drawn(bars, len(tops), 5)


def test_columns_that_return_are_named_instead_of_told() -> None:
    assert [type(entry) for entry in upright(columns_of("abcdabcdabcde"))] == [Told] * 4 + [Alike, Told]
    assert upright(columns_of("abcdabcdabcde"))[4] == Alike(5, 12, 1, 4, 2)
    assert upright(columns_of("abcdeeabcdf"))[5] == Alike(7, 10, 1, 4, 1)
    assert upright(columns_of("abcdeabcdfabcd"))[-1] == Alike(11, 14, 1, 4, 1)
    assert not [entry for entry in upright(columns_of("abcabdabc")) if isinstance(entry, Alike)]


def test_the_repeat_of_the_panel_is_told_whole_before_it_is_named() -> None:
    (panel,) = panels("HEATH").values()
    entries, repeat = upright(panel), panel.repeat
    assert repeat.count > 1
    first = next(entry for entry in entries if isinstance(entry, Alike))
    assert first.first == repeat.left + repeat.columns + 1
    assert first.like_last - first.like_first + 1 == repeat.columns


def sentences(code: str) -> Iterator[tuple[str, bool, list[str]]]:
    """Piece, whether hole rows, and the sentences of each list in a kit's English booklet."""
    booklet = next(each for each in made(code).screens if each.name == "chart-booklet")
    piece = ""
    for block in booklet.blocks:
        if isinstance(block, Heading) and block.level < 3:
            piece = block.text.removesuffix(": the chart in words") if "in words" in block.text else ""
        elif isinstance(block, Steps) and piece:
            yield piece, block.items[0].startswith("Hole row"), list(block.items)


LANES = r"(?:Column|Hole row|column|hole row)s? (\d+)(?: (?:and|to) (\d+))?"


def heard(items: list[str], colours: dict[str, int]) -> dict[int, list[tuple[int, int, int]]]:
    """What one who only hears the sentences would stitch: lane -> first hole, last hole, colour."""
    lane_stitches: dict[int, list[tuple[int, int, int]]] = {}
    for item in items:
        text = item.removesuffix(".")
        if alike := re.fullmatch(rf"{LANES}: as {LANES}(?:, (\d+) times)?", text):
            first, last, like, like_last, times = (int(group or 0) for group in alike.groups())
            assert last - first + 1 == (like_last - like + 1) * (times or 1)
            for lane in range(first, last + 1):
                lane_stitches[lane] = lane_stitches[like + (lane - first) % (like_last - like + 1)]
            continue
        head, _, rest = text.partition(": ")
        lanes = re.match(LANES, head)
        start = re.search(r"from (?:the (?:top|left)|(?:column|hole row) (\d+))$", head)
        stitches = [] if rest == "no stitch" else list(_worked(rest, int(start[1] or 1), colours))
        for lane in range(int(lanes[1]), int(lanes[2] or lanes[1]) + 1):
            lane_stitches[lane] = stitches
    return lane_stitches


def _worked(text: str, hole: int, colours: dict[str, int]) -> Iterator[tuple[int, int, int]]:
    for entry in _unrolled(text.split("; ")):
        if skip := re.fullmatch(r"skip (\d+) bars?", entry):
            hole += int(skip[1])
            continue
        name, over, times = re.fullmatch(r"(.+) over (\d+)(?:, (\d+) times)?", entry).groups()
        for _ in range(int(times or 1)):
            yield hole, hole + int(over), colours[name]
            hole += int(over)


def _unrolled(entries: list[str]) -> Iterator[str]:
    at = 0
    while at < len(entries):
        if found := re.fullmatch(r"(\d+) times these (\d+): (.+)", entries[at]):
            inside = [found[3], *entries[at + 1 : at + int(found[2])]]
            yield from inside * int(found[1])
            at += int(found[2])
        else:
            yield entries[at]
            at += 1


@pytest.mark.parametrize("code", CODES)
def test_who_hears_the_words_stitches_the_piece(code: str) -> None:
    kit, by_title = kits()[code], {}
    colours = {colour.name: index for index, colour in enumerate(kit.palette)}
    assert len(colours) == len(kit.palette)
    for piece, across, items in sentences(code):
        for lane, stitches in heard(items, colours).items():
            for first, last, colour in stitches:
                stitch = (first, lane, last, lane) if across else (lane, first, lane, last)
                by_title.setdefault(piece, []).append((*stitch, colour))
    expected = {panel.piece.title: wanted(panel) for panel in panels(code).values() if len(panel.stitches)}
    assert {piece: sorted(found) for piece, found in by_title.items()} == expected


def test_the_words_stand_in_the_booklet_for_the_screen_alone() -> None:
    made_so = make(kits()["WHIN"])
    assert not [
        block
        for document in made_so.documents
        for block in document.blocks
        if isinstance(block, Heading) and "in words" in block.text
    ]
    names = [each.name for each in made_so.screens]
    assert names == [
        f"{name}{variant}"
        for language in ("", ".fr", ".de")
        for variant in (language, f"{language}.left")
        for name in ("chart-booklet", "instructions")
    ]


def test_random_bars_give_every_kind_of_entry() -> None:
    """The panels drawn above reach gaps, bare lanes, and lanes that are alike."""
    drawn = [panel_drawn(bars_drawn(random.Random(seed), 9, 14, 2, 0.3), 9, 14) for seed in range(40)]
    entries = [entry for panel in drawn for entry in (*upright(panel), *sideways(panel))]
    told = [entry for entry in entries if isinstance(entry, Told)]
    assert [entry for entry in told if not entry.parts]
    assert [entry for entry in told if entry.last > entry.first]
    assert [part for entry in told for part in entry.parts if isinstance(part, Run) and part.colour is None]
