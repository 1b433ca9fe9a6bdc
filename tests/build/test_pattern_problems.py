"""What is known of a pattern only when it is laid out, told at its place in the spec."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.build.places import Ran, change, run, workshop


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    return workshop(tmp_path / "shop")


def checked(shop: Path, name: str) -> Ran:
    """`check` of one kit's file; `build` tells the same."""
    ran = run(shop, "check", f"kits/{name}.yaml")
    assert ran.code == 1
    code = {"tinband": "FERN"}.get(name, name.upper())
    built = run(shop, "build", code)
    assert built.code == 1
    assert not (shop / "build" / code).exists()
    assert set(built.codes) == set(ran.codes)
    return ran


def spans(shop: Path, *each: str) -> int:
    """Give the heart of ROWAN an outline of these spans; the line of the outline."""
    written = ", ".join(f'"{span}"' for span in each)
    return change(shop, "rowan.yaml", "outline: {shape: heart}", f"outline: {{spans: [{written}]}}")


def test_four_way_work_of_an_even_size(shop: Path) -> None:
    change(shop, "winds.yaml", "    rows: 63", "    rows: 64")
    line = change(shop, "winds.yaml", "    columns: 63", "    columns: 64")
    ran = checked(shop, "winds")
    assert ran.codes == ["KB407"]
    assert ran.err.startswith(f"kits/winds.yaml:{line}:14: ")
    assert "64 x 64 holes" in ran.err


def test_four_way_work_that_is_no_square(shop: Path) -> None:
    change(shop, "winds.yaml", "    rows: 63", "    rows: 61")
    assert checked(shop, "winds").codes == ["KB407"]


def test_lengths_that_do_not_interlock(shop: Path) -> None:
    line = change(shop, "cairn.yaml", '["5 2", "2 5"]', '["5 2", "2 4"]')
    ran = checked(shop, "cairn")
    assert ran.codes == ["KB408"]
    assert ran.err.startswith(f"kits/cairn.yaml:{line}:16: ")
    assert "group 1 crosses 7 bars, group 2 6" in ran.err


def test_more_lengths_than_groups(shop: Path) -> None:
    line = change(shop, "cairn.yaml", '["5 2", "2 5"]', '["5 2", "2 5 2"]')
    ran = checked(shop, "cairn")
    assert ran.codes == ["KB408"]
    assert ran.err.startswith(f"kits/cairn.yaml:{line}:")


def test_a_chart_file_with_an_overlap_and_a_bare_bar(shop: Path) -> None:
    change(shop, "rowan-berry.csv", "\n1,6,1,8,damson\n", "\n1,6,1,9,damson\n")
    ran = checked(shop, "rowan")
    assert ran.codes == ["KB409"]
    assert ran.err.startswith(
        "kits/rowan-berry.csv:3:1: KB409 the stitch in column 1, holes 8 to 10, overlaps"
    )


def test_a_chart_file_that_leaves_a_bar_bare(shop: Path) -> None:
    change(shop, "rowan-berry.csv", "\n1,6,1,8,damson\n", "\n")
    ran = checked(shop, "rowan")
    assert ran.codes == ["KB409"]
    assert "column 1, holes 6 to 8 are left bare" in ran.err


def test_a_chart_file_outside_its_piece(shop: Path) -> None:
    change(shop, "rowan-berry.csv", "\n1,6,1,8,damson\n", "\n1,6,1,8,damson\n99,1,99,3,damson\n")
    ran = checked(shop, "rowan")
    assert ran.codes == ["KB409"]
    assert ran.err.startswith("kits/rowan-berry.csv:3:1: ")


def test_a_chart_file_without_a_stitch(shop: Path) -> None:
    (shop / "kits/rowan-berry.csv").write_text("x1,y1,x2,y2,colour\n", encoding="utf-8")
    ran = run(shop, "check")
    assert (ran.code, run(shop, "build", "ROWAN").code) == (1, 1)
    assert ran.problems == [
        "kits/rowan-berry.csv:1:1: KB330 the chart file has no stitches (write a line for each stitch)"
    ]


def test_a_chart_in_the_spec_tells_its_columns(shop: Path) -> None:
    line = change(shop, "tarn.yaml", '"5-6: 2 mist,', '"5-6: 4 mist,')
    ran = checked(shop, "tarn")
    assert set(ran.codes) == {"KB409"}
    assert all(problem.startswith(f"kits/tarn.yaml:{line}:11: ") for problem in ran.problems)


def test_a_chart_in_the_spec_that_lacks_a_column(shop: Path) -> None:
    change(shop, "tarn.yaml", '"5-6: 2 mist,', '"5: 2 mist,')
    ran = checked(shop, "tarn")
    assert ran.codes == ["KB409"]
    assert "column 6, holes 1 to 37 are left bare" in ran.err


def test_spans_of_a_wrong_number(shop: Path) -> None:
    line = spans(shop, "1-25", "1-25")
    ran = checked(shop, "rowan")
    assert ran.codes == ["KB410"]
    assert ran.err.startswith(f"kits/rowan.yaml:{line}:14: ")
    assert "the outline has 2 columns, the piece 25" in ran.err


def test_spans_beyond_the_hole_rows_and_of_nothing(shop: Path) -> None:
    spans(shop, *["1-26"] * 25)
    assert set(checked(shop, "rowan").codes) == {"KB410"}
    change(shop, "rowan.yaml", ", ".join(['"1-26"'] * 25), ", ".join(['"-"'] * 25))
    ran = checked(shop, "rowan")
    assert ran.codes == ["KB410"]
    assert "nothing to stitch" in ran.err


def test_an_edge_of_a_diamond_that_drifts_is_told_by_the_spec(shop: Path) -> None:
    """KB406 is the pattern's own word for what KB316 tells first."""
    change(shop, "tinband.yaml", "down: 6, up: 6", "down: 6, up: 4")
    assert set(run(shop, "check", "kits/tinband.yaml").codes) >= {"KB316"}
