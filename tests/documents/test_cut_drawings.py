"""Drawings of sheets to cut: the words of a blank stay within it, however small it is or long its name."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from kitbuild.documents.chart_key import type_mm
from kitbuild.documents.cut_sheet import SIZE_PT, TITLE_PT, _words

SIDE = st.floats(6, 120)


@given(st.text("abcdefg ", max_size=40), SIDE, SIDE)
def test_words_stay_within_their_blank(title: str, width: float, height: float) -> None:
    for mark in _words(title.strip(), "82 × 27 holes", (10.0, 20.0, width, height)):
        long, high = type_mm(mark.text, mark.size_pt), mark.size_pt * 25.4 / 72
        least = type_mm(mark.text, 0.2 * mark.size_pt)
        assert long <= max((height if mark.turned else width) + 0.001, 1.05 * least)
        across, down = (high, long) if mark.turned else (long, high)
        assert mark.x_mm - across / 2 >= 10 - 0.2 or mark.turned or long == least
        assert mark.y_mm - down / 2 >= 20 - high or long == least


def test_large_blanks_have_words_of_the_usual_size() -> None:
    marks = list(_words("Coaster", "26 × 27 holes", (0.0, 0.0, 40.0, 40.0)))
    assert [(mark.size_pt, mark.turned) for mark in marks] == [(TITLE_PT, False), (SIZE_PT, False)]


def test_a_narrow_blank_is_written_upright() -> None:
    marks = list(_words("Bookmark", "9 × 60 holes", (0.0, 0.0, 9.0, 60.0)))
    assert all(mark.turned for mark in marks)
    assert [mark.size_pt for mark in marks] == [TITLE_PT, SIZE_PT]
