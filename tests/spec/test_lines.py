"""A line's groups: the counts that the trade gives, and the drops that close a repeat."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitbuild.spec.lines import LineFault, Shape, shape

SCALLOP = ["6x1", "3x2", "2x3", "1x4", "2x3", "3x2", "6x1"]


def zigzag(down: int, up: int, turns: str, groups_of: int = 2, step: int = 2) -> Shape:
    return shape({"groups_of": groups_of, "step": step, "down": down, "up": up, "turns": turns})


def scallop(groups: list[str], turns: str, towards: str = "up", step: int = 1) -> Shape:
    return shape({"groups": groups, "step": step, "turns": turns, "towards": towards})


def heights(line: Shape) -> list[int]:
    found = [0]
    for group in line.groups[1:]:
        found.append(found[-1] + group.drop)
    return found


def test_six_down_six_up_turned_once() -> None:
    line = zigzag(6, 6, "once")
    assert line.columns == 20
    assert heights(line) == [0, 2, 4, 6, 8, 10, 8, 6, 4, 2]
    assert line.groups[0].drop == -2


def test_six_down_six_up_turned_twice() -> None:
    line = zigzag(6, 6, "twice")
    assert line.columns == 24
    assert heights(line) == [0, 2, 4, 6, 8, 10, 10, 8, 6, 4, 2, 0]
    assert line.groups[0].drop == 0


def test_a_line_that_drifts() -> None:
    line = zigzag(6, 4, "once")
    assert heights(line) == [0, 2, 4, 6, 8, 10, 8, 6]
    assert line.drift == 4
    assert line.groups[0].drop == -2


@pytest.mark.parametrize(("turns", "columns", "groups"), [("twice", 40, 23), ("once", 39, 22)])
def test_the_scallop_of_forty_columns(turns: str, columns: int, groups: int) -> None:
    line = scallop(SCALLOP, turns)
    assert (line.columns, len(line.groups), line.drift) == (columns, groups, 0)
    assert min(heights(line)) == -11
    assert heights(line)[11] == -11


def test_a_scallop_of_an_even_number_of_groups_has_two_in_the_middle() -> None:
    assert heights(scallop(["2x1", "2x2"], "twice", "down", 3)) == [0, 3, 3, 0]


def test_a_list_closes_unless_it_drifts() -> None:
    groups = ["2", "2 down 2", "1 down 4", "3 up 1"]
    assert [(group.stitches, group.drop) for group in shape({"list": groups}).groups] == [
        (2, -5),
        (2, 2),
        (1, 4),
        (3, -1),
    ]
    assert shape({"list": groups, "drift": "down 2"}).groups[0].drop == -3


@given(st.integers(2, 30), st.integers(2, 30), st.sampled_from(["once", "twice"]), st.integers(1, 9))
def test_drops_add_up_to_the_drift(down: int, up: int, turns: str, step: int) -> None:
    line = zigzag(down, up, turns, step=step)
    assert sum(group.drop for group in line.groups) == line.drift == (down - up) * step
    assert len(line.groups) == down + up - (2 if turns == "once" else 0)


@given(st.lists(st.tuples(st.integers(1, 9), st.integers(1, 9)), min_size=2, max_size=9))
def test_a_scallop_returns_to_its_start(runs: list[tuple[int, int]]) -> None:
    for turns in ("once", "twice"):
        line = scallop([f"{count}x{size}" for count, size in runs], turns)
        assert sum(group.drop for group in line.groups) == line.drift == 0


def test_faults_know_where_they_are() -> None:
    with pytest.raises(LineFault) as fault:
        zigzag(1, 3, "once")
    assert fault.value.path == ("down",)
    with pytest.raises(LineFault) as fault:
        shape({"list": ["2", "2"]})
    assert fault.value.path == ("list", 1)
    with pytest.raises(LineFault):
        scallop(["1x3"], "twice")
