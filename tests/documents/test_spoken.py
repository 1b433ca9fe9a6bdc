"""The chart in words: who hears its very words, in any language, stitches the piece."""

from __future__ import annotations

import csv
import io
import random
import re
from collections.abc import Sequence
from dataclasses import replace
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kitbuild.base.blocks import Block, Heading, Steps
from kitbuild.build import make, speaking
from kitbuild.documents.edition import USUAL
from kitbuild.documents.job import Job
from kitbuild.documents.spoken import Alike, Entry, Round, Run, Told
from kitbuild.documents.spoken_chart import spoken_chart
from kitbuild.documents.spoken_parts import sections
from kitbuild.documents.wording import languages, wording
from kitbuild.output.csv_text import render_csv
from kitbuild.pattern.expand import panels as expanded
from kitbuild.pattern.panel import Panel
from kitbuild.spec.records import Hand
from tests.documents.demo import CODES, kits, made
from tests.documents.jobs import job_of
from tests.documents.listener import Listener, Stitch
from tests.pattern.builders import LINES, UPRIGHT, panel_of, pieces, squares
from tests.quantity.drawn import bars_drawn, drawings, one_stitch, panel_drawn, recoloured

IN_WORDS = ("in words", "en toutes lettres", "in Worten")
HANDS: tuple[Hand, ...] = ("right", "left")


def wanted(panel: Panel) -> list[Stitch]:
    work = panel.stitches
    ends = (work.x1, work.y1, work.x2, work.y2, work.colour)
    return sorted(zip(*(each.tolist() for each in ends), strict=True))


@cache
def speaker(language: str, hand: Hand) -> Job:
    """A job with six colours in a language, for a hand; its piece is of no account."""
    usual = job_of("HEATH")
    return replace(usual, say=wording(language), edition=replace(USUAL, hand=hand))


def heard(panel: Panel, language: str, hand: Hand) -> list[Stitch]:
    job = speaker(language, hand)
    size = panel.cover.columns, panel.cover.rows
    listener = Listener(language, [colour.name for colour in job.kit.palette], size)
    return listener.hear(tuple(spoken_chart(job, panel)))


def check(panel: Panel) -> None:
    for hand in HANDS:
        for language in languages():
            assert heard(panel, language, hand) == wanted(panel), (language, hand)
        for section in sections(panel, hand):
            _check_entries(section.entries)


def _check_entries(entries: Sequence[Entry]) -> None:
    """Each lane stands once; what is like another is like lanes that were told in full, all of them."""
    told: set[int] = set()
    for entry in entries:
        step = 1 if entry.last >= entry.first else -1
        lanes = range(entry.first, entry.last + step, step)
        if isinstance(entry, Told):
            assert not told & set(lanes)
            told |= set(lanes)
        else:
            low, high = sorted((entry.like_first, entry.like_last))
            assert set(range(low, high + 1)) <= told
            assert len(lanes) == (high - low + 1) * entry.times


def spoken_blocks(name: str, code: str) -> dict[str, list[Block]]:
    """The blocks of each chart in words of a booklet, by its piece's title."""
    booklet = next(each for each in made(code).screens if each.name == name)
    found: dict[str, list[Block]] = {}
    piece = ""
    for block in booklet.blocks:
        if isinstance(block, Heading) and block.level < 3:
            said = next((words for words in IN_WORDS if words in block.text), "")
            piece = re.split(rf"\s?:|\s{said}", block.text)[0] if said else ""
        if piece:
            found.setdefault(piece, []).append(block)
    return found


NAMES = [
    (language, f"chart-booklet{suffix}{left}")
    for language, suffix in (("en", ""), ("fr", ".fr"), ("de", ".de"))
    for left in ("", ".left")
]


@pytest.mark.parametrize(("language", "name"), NAMES)
@pytest.mark.parametrize("code", CODES)
def test_who_hears_the_booklet_stitches_the_open_data(code: str, language: str, name: str) -> None:
    kit = kits()[code]
    say = next(each for each in speaking(kit) if each.language == language)
    listing = next(each for each in made(code).listings if each.name == "stitches.csv")
    rows = list(csv.DictReader(io.StringIO(render_csv(listing).decode("utf-8"))))
    keys, spoken = [colour.key for colour in kit.palette], spoken_blocks(name, code)
    names = [say.own(colour.name) for colour in kit.palette]
    assert len(set(names)) == len(names)
    for piece in kit.pieces:
        listed = [
            (*(int(row[at]) for at in ("x1", "y1", "x2", "y2")), keys.index(row["colour"]))
            for row in rows
            if row["piece"] == piece.key
        ]
        blocks = spoken.pop(say.own(piece.title))
        assert Listener(language, names, (piece.columns, piece.rows)).hear(blocks) == sorted(listed)
    assert not spoken


def panels(code: str) -> dict[str, Panel]:
    return {panel.piece.key: panel for panel in expanded(kits()[code])}


@settings(max_examples=25, deadline=None)
@given(st.sampled_from(LINES).flatmap(lambda family: pieces(60, (family,))))
def test_any_line_pattern_is_heard_whole(piece: object) -> None:
    check(panel_of(piece))


@settings(max_examples=25, deadline=None)
@given(pieces(60, UPRIGHT))
def test_any_upright_pattern_is_heard_whole(piece: object) -> None:
    check(panel_of(piece))


@settings(max_examples=15, deadline=None)
@given(squares(41))
def test_four_way_work_is_heard_whole(piece: object) -> None:
    panel = panel_of(piece)
    check(panel)
    parts = [section.way.part for section in sections(panel, "right")]
    assert parts in (["upper", "right", "lower", "left"], ["upright"])


@settings(max_examples=60, deadline=None)
@given(drawings())
def test_any_charted_work_is_heard_whole(panel: Panel) -> None:
    check(panel)


@settings(max_examples=25, deadline=None)
@given(pieces(50), st.randoms(use_true_random=False), st.integers(1, 5))
def test_any_colouring_is_heard_whole(piece: object, chance: object, colours: int) -> None:
    check(recoloured(panel_of(piece), chance, colours))


@settings(max_examples=20, deadline=None)
@given(squares(25), st.randoms(use_true_random=False))
def test_quarters_that_differ_are_each_told(piece: object, chance: object) -> None:
    panel = recoloured(panel_of(piece), chance, 2)
    check(panel)


def entries_of(panel: Panel, hand: Hand = "right") -> dict[str, tuple[Entry, ...]]:
    return {section.way.part: section.entries for section in sections(panel, hand)}


def test_one_stitch_is_told() -> None:
    assert entries_of(one_stitch()) == {"upright": (Told(1, 1, 1, (Run(0, 2),), 1),)}


def test_like_stitches_are_joined_and_gaps_are_told() -> None:
    bars = [(1, 1, 1, 3, 0), (1, 3, 1, 5, 0), (1, 8, 1, 10, 1), (2, 2, 5, 2, 1)]
    runs = (Run(0, 2, 2), Run(None, 3), Run(1, 2))
    panel = panel_drawn(bars, 5, 10)
    across = (Told(1, 1, 1, (), 0), Told(2, 2, 2, (Run(1, 3),), 1), Told(3, 10, 1, (), 0))
    assert entries_of(panel) == {
        "upright": (Told(1, 1, 1, runs, 3), Told(2, 5, 1, (), 0)),
        "sideways": across,
    }
    left = entries_of(panel, "left")
    assert left["upright"] == (Told(5, 2, 1, (), 0), Told(1, 1, 1, runs, 3))
    assert left["sideways"][1] == Told(2, 2, 5, (Run(1, 3),), 1)


def test_a_gap_is_told_by_the_hole_in_which_the_work_goes_on() -> None:
    bars = [(1, 1, 1, 3, 0), (1, 3, 1, 5, 0), (1, 8, 1, 10, 1)]
    items = [
        block.items
        for block in spoken_chart(job_of("HEATH"), panel_drawn(bars, 1, 10))
        if isinstance(block, Steps)
    ]
    assert items == [("Column 1, 3 stitches: Night, 2 times; go on from hole row 8; Heather.",)]


def test_runs_that_return_are_a_round() -> None:
    bars = [(1, 1 + 2 * at, 1, 3 + 2 * at, at % 3) for at in range(9)]
    a_round = Round((Run(0, 2), Run(1, 2), Run(2, 2)), 3)
    assert entries_of(panel_drawn(bars, 1, 19)) == {"upright": (Told(1, 1, 1, (a_round,), 9),)}


def columns_of(tops: str, stitches: int = 2) -> tuple[Entry, ...]:
    """The entries of columns of so many stitches each; a letter is the colour of the first."""
    bars = [
        (x, 1 + 2 * at, x, 3 + 2 * at, (ord(letter) - ord("a")) if at == 0 else at % 2)
        for x, letter in enumerate(tops, 1)
        for at in range(stitches)
    ]
    return entries_of(panel_drawn(bars, len(tops), 1 + 2 * stitches))["upright"]


def test_columns_that_return_are_named_instead_of_told() -> None:
    found = columns_of("abcdabcdabcde")
    assert [type(entry) for entry in found] == [Told] * 4 + [Alike, Told]
    assert found[4] == Alike(5, 12, 1, 4, 2, False, 16)
    assert columns_of("abcdeeabcdf")[5] == Alike(7, 10, 1, 4, 1, False, 8)
    assert columns_of("abcdeabcdfabcd")[-1] == Alike(11, 14, 1, 4, 1, False, 8)
    assert not [entry for entry in columns_of("abcabdab") if isinstance(entry, Alike)]


def test_columns_that_return_backwards_are_counted_down() -> None:
    """Ten by ten, as the chart numbers them."""
    found = columns_of("abcdefedcba")
    assert found[-2:] == (Alike(7, 10, 5, 2, 1, True, 8), Alike(11, 11, 1, 1, 1, False, 2))


def test_a_long_column_is_named_even_alone() -> None:
    work = [(x, 1 + 2 * at, x, 3 + 2 * at, (x * at) % 4) for x in (1, 2, 5) for at in range(6)]
    columns = entries_of(panel_drawn(work, 5, 13))["upright"]
    assert columns[-1] == Alike(5, 5, 1, 1, 1, False, 6)
    assert isinstance(columns_of("cdc", 2)[-1], Told)


def test_the_repeat_of_the_panel_is_told_whole_before_it_is_named() -> None:
    (panel,) = panels("HEATH").values()
    repeat = panel.repeat
    assert repeat.count > 1
    for hand in HANDS:
        first = next(entry for entry in entries_of(panel, hand)["upright"] if isinstance(entry, Alike))
        told = repeat.columns + (repeat.left if hand == "right" else repeat.right)
        assert first.first == (told + 1 if hand == "right" else panel.cover.columns - told)
        assert abs(first.like_last - first.like_first) + 1 == repeat.columns


def test_quarters_that_are_alike_are_told_once() -> None:
    (panel,) = panels("WINDS").values()
    for hand in HANDS:
        told = {section.way.part: section for section in sections(panel, hand)}
        assert [part for part, section in told.items() if section.entries] == ["upper"]
        assert sum(section.stitches for section in told.values()) == len(panel.stitches)
    assert list(told) == ["upper", "left", "lower", "right"]


def test_a_long_list_stands_under_headings_of_about_ten() -> None:
    blocks = spoken_blocks("chart-booklet", "WINDS")["Mat"]
    headings = [block.text for block in blocks if isinstance(block, Heading) and block.level == 3]
    assert [text.split(",")[0] for text in headings][:4] == [
        "Columns 1 to 10",
        "Columns 11 to 20",
        "Columns 21 to 30",
        "Columns 31 to 40",
    ]
    short = spoken_blocks("chart-booklet", "WHIN")["Coaster"]
    assert not [block for block in short if isinstance(block, Heading) and block.level == 3]


def test_the_words_stand_in_the_booklet_for_the_screen_alone() -> None:
    made_so = make(kits()["WHIN"])
    assert not [
        block
        for document in made_so.documents
        for block in document.blocks
        if isinstance(block, Heading) and "in words" in block.text
    ]
    names = [each.name for each in made_so.screens if not each.name.startswith("shop-facts")]
    assert names == [
        f"{name}{variant}"
        for language in ("", ".fr", ".de")
        for variant in (language, f"{language}.left")
        for name in ("chart-booklet", "instructions")
    ]


def test_random_bars_give_every_kind_of_entry() -> None:
    """The panels drawn above reach gaps, bare lanes, and lanes that are alike, also backwards."""
    drawn = [panel_drawn(bars_drawn(random.Random(seed), 9, 14, 2, 0.3), 9, 14) for seed in range(40)]
    entries = [entry for panel in drawn for found in entries_of(panel).values() for entry in found]
    told = [entry for entry in entries if isinstance(entry, Told)]
    assert [entry for entry in told if not entry.parts]
    assert [entry for entry in told if entry.lanes > 1]
    assert [part for entry in told for part in entry.parts if isinstance(part, Run) and part.colour is None]
