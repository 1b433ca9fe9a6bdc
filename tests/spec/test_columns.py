"""Columns, repeats and ends: any two of them give the third."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from kitbuild.spec.columns import MOST, Misfit, columns_of


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
