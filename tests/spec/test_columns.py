"""Columns, repeats and ends: any two of them give the third."""

from __future__ import annotations

import math

from hypothesis import given
from hypothesis import strategies as st

from kitbuild.pattern.line import depths, repeat_columns
from kitbuild.spec.columns import MOST, Layout, Misfit, columns_of, layout_of
from kitbuild.spec.piece import Line
from tests.pattern.builders import line, lines


def piece(columns: int | None, repeats: int | None, left: int = 0, right: int = 0) -> dict[str, object]:
    pattern: dict[str, object] = {"ends": {"left": left, "right": right}}
    if repeats is not None:
        pattern["repeats"] = repeats
    return {"pattern": pattern} if columns is None else {"columns": columns, "pattern": pattern}


def test_repeats_and_ends_give_columns() -> None:
    assert columns_of(piece(None, 3, 8, 10), 20) == 78
    assert columns_of(piece(78, 3, 8, 10), 20) == 78
    assert columns_of(piece(78, None, 8, 10), 20) == 78
    assert columns_of(piece(None, 0, 3, 4), 20) == 7


def test_one_column_more_is_told_with_the_nearest_counts() -> None:
    found = columns_of(piece(41, None), 20)
    assert isinstance(found, Misfit)
    assert found.message == "41 columns is 2 repeats of 20 and 1 column more"
    assert found.cure == "make it 40 or 60 columns, or write `ends: {left: 0, right: 1}`"


def test_too_few_and_too_many() -> None:
    assert isinstance(columns_of(piece(None, 0), 20), Misfit)
    assert isinstance(columns_of(piece(None, 1000), 20), Misfit)
    assert isinstance(columns_of(piece(3, None, 2, 2), 20), Misfit)
    assert isinstance(columns_of(piece(None, None), 20), Misfit)


@given(st.integers(1, 60), st.integers(2, MOST), st.integers(0, 59), st.integers(0, 59))
def test_the_cure_cures(repeat: int, columns: int, left: int, right: int) -> None:
    found = columns_of(piece(columns, None, left, right), repeat)
    if isinstance(found, int):
        assert found == columns
    elif "write `ends" in found.cure:
        written = found.cure.partition("ends: {left: ")[2].rstrip("}`").split(", right: ")
        ends = [int(part) for part in written]
        assert columns_of(piece(columns, None, *ends), repeat) == columns
        nearest = found.cure.partition("make it ")[2].partition(" columns")[0].split(" or ")
        for count in map(int, nearest):
            assert columns_of(piece(count, None, left, right), repeat) == count


def centred(of: Line, columns: int, centre: str) -> Layout | Misfit:
    pattern = {"family": "flame", "centre": centre, "ends": {"left": 0, "right": 0}}
    return layout_of({"columns": columns, "pattern": pattern}, of.groups)


def level_run(depth: list[int], column: int) -> tuple[int, int]:
    """The first and last column of the run at one height that a column belongs to."""
    first = last = column
    while first and depth[first - 1] == depth[column]:
        first -= 1
    while last + 1 < len(depth) and depth[last + 1] == depth[column]:
        last += 1
    return first, last


def is_turn(depth: list[int], column: int, way: int) -> bool:
    """Whether both neighbours of a column's run lie deeper (`way` 1, a peak) or higher (-1, a valley)."""
    first, last = level_run(depth, column)
    sides = [depth[at] for at in (first - 1, last + 1) if 0 <= at < len(depth)]
    return bool(sides) and all((side - depth[column]) * way > 0 for side in sides)


@given(lines(), st.integers(2, 90), st.sampled_from(["peak", "valley"]))
def test_what_is_asked_for_stands_in_the_middle(of: Line, columns: int, centre: str) -> None:
    """Seen over two more repeats at each side, so that the turn is whole."""
    found = centred(of, columns, centre)
    if isinstance(found, Misfit):
        assert found.path == ("pattern", "centre")
        return
    assert found.columns == columns
    assert 0 <= found.left < repeat_columns(of)
    assert (columns - found.left - found.right) % repeat_columns(of) == 0 or found.left > columns
    beside = 2 * repeat_columns(of)
    depth = depths(of, columns + 2 * beside, found.left + beside).tolist()
    middle = beside + (columns - 1) / 2
    assert is_turn(depth, math.floor(middle), 1 if centre == "peak" else -1)
    assert sum(level_run(depth, math.floor(middle))) == 2 * middle
    assert level_run(depth, math.floor(middle)) == level_run(depth, math.ceil(middle))
    if not of.drift:
        assert depth[math.floor(middle)] == (min(depth) if centre == "peak" else max(depth))


@given(lines(), st.integers(2, 90))
def test_the_middle_of_a_slope_is_as_far_from_its_peak_as_from_its_valley(of: Line, columns: int) -> None:
    found = centred(of, columns, "between")
    if isinstance(found, Misfit):
        return
    beside = 2 * repeat_columns(of)
    depth = depths(of, columns + 2 * beside, found.left + beside).tolist()
    middle = beside + (columns - 1) / 2
    above = next(at for at in range(math.floor(middle), -1, -1) if is_turn(depth, at, 1))
    below = next(at for at in range(math.ceil(middle), len(depth)) if is_turn(depth, at, -1))
    halfway = (sum(level_run(depth, above)) + sum(level_run(depth, below))) / 4
    assert abs(halfway - middle) <= 0.25
    run = depth[above : below + 1]
    assert run == sorted(run)


@given(lines(), st.integers(3, 90), st.sampled_from(["peak", "valley", "between"]))
def test_one_column_more_or_less_can_be_centred(of: Line, columns: int, centre: str) -> None:
    found = centred(of, columns, centre)
    if isinstance(found, Misfit) and "use" in found.cure:
        near = [int(word) for word in found.cure.split() if word.isdigit()]
        assert set(near) <= {columns - 1, columns + 1}
        assert all(isinstance(centred(of, count, centre), Layout) for count in near)


def test_a_line_that_never_turns_has_no_centre() -> None:
    for written in (line(list=["2", "1 down 2"], drift="down 4"), line(list=["2", "3 down 0"])):
        for centre in ("peak", "valley", "between"):
            found = centred(written, 20, centre)
            assert isinstance(found, Misfit)
            assert "never turns" in found.message


def test_a_turn_that_runs_over_the_end_of_the_repeat_is_one() -> None:
    """Groups of 2, 3 and 2 with the peak of 2 + 2 over the end."""
    over = line(list=["2", "3 down 3", "2 up 3"])
    assert centred(over, 9, "valley") == Layout(9, 1, 1)
    assert isinstance(centred(over, 9, "peak"), Misfit)
    assert centred(over, 10, "peak") == Layout(10, 5, 5)


def test_a_piece_narrower_than_its_repeat_can_be_centred() -> None:
    found = centred(line(groups_of=1, step=1, down=20, up=20, turns="once"), 9, "valley")
    assert isinstance(found, Layout)
    assert found.left == 23


def test_four_way_and_charted_work_have_no_ends() -> None:
    for family in ("four-way", "charted"):
        assert layout_of({"columns": 9, "pattern": {"family": family}}, ()) == Layout(9, 0, 0)
        assert isinstance(layout_of({"pattern": {"family": family}}, ()), Misfit)
