"""What is written is what is made; what could not be sewn is refused, and never listed as if it could be."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

from kitbuild.base.problem import InputProblems, Problem, errors
from kitbuild.build import make
from kitbuild.output.csv_text import render_csv
from kitbuild.spec.folder import read_range
from tests.contract.checker import COLUMNS, COVER, Row, ends, read
from tests.contract.kits import materials, workshop

BOX = {"kind": "box"}
FLAT = {"kind": "flat", "edge": "bark"}
THREAD = {
    "needleful": "76 cm",
    "start_tail": "2 in",
    "run_under": "2 in",
    "held": "2 in",
    "longest_run": "25 mm",
    "least_remainder": "20 cm",
    "spare": "10 %",
    "park": True,
}


def piece(finish: dict[str, Any], **more: Any) -> dict[str, Any]:
    """A flame of 23 x 20 holes, unless it is said otherwise."""
    line = {"groups_of": 1, "step": 2, "down": 4, "up": 4, "turns": "once"}
    pattern = {"family": "flame", "over": 4, "line": line, "colours": ["bark"], "edges": "lengthen"}
    pattern |= more.pop("pattern", {"ends": {"left": 0, "right": 5}})
    plain = {"title": "Piece", "use": "other", "canvas": "plastic-7", "columns": 23, "rows": 20}
    return {**plain, "pattern": pattern, "finish": dict(finish), **more}


def listed(
    folder: Path, pieces: dict[str, Any], joins: list[dict[str, Any]] | None = None
) -> tuple[list[Problem], dict[str, list[Row]]]:
    """The errors of a kit, or the rows of its lists by their file's name."""
    kit = {
        "kind": "kit",
        "code": "CASE",
        "title": "Case kit",
        "edition": 1,
        "date": "2026-10-01",
        "age_grade": "adult",
        "policy": "even",
        "price": 40.0,
        "pieces": pieces,
        "joins": joins or [],
        "palette": {"bark": {"thread": "wool-bark"}},
        "needles": {"needle-16": 1},
    }
    for name, content in (("materials", materials()), ("workshop", workshop(dict(THREAD))), ("case", kit)):
        (folder / f"{name}.yaml").write_text(yaml.safe_dump(content, sort_keys=False), encoding="utf-8")
    found, problems = read_range(folder)
    if found is None or not found.kits:
        return list(errors(problems)), {}
    try:
        listings = make(found.kits[0]).listings
    except InputProblems as told:
        return list(errors(told.problems)), {}
    return [], {
        each.name: read(each.name, render_csv(each), COLUMNS.get(each.name, COVER))[0] for each in listings
    }


def test_what_can_be_sewn_is_made(tmp_path: Path) -> None:
    pieces = {"one": piece({**BOX, "edge": "bark", "edges": ["top"]}, copies=2), "two": piece(BOX)}
    joins = [
        {"one": "one left", "other": "one right", "times": 2, "with": "bark"},
        {"one": "two top", "other": "one bottom", "with": "bark"},
    ]
    told, made = listed(tmp_path, pieces, joins)
    assert not told
    assert [row["kind"] for row in made["finishing.csv"]] == ["edge"] * 23 + ["join"] * (20 + 23)


#: Why a join cannot be sewn -> its two pieces, the two edges, how often.
UNSEWABLE: dict[str, tuple[dict[str, Any], str, str, int]] = {
    "as many holes, by columns": (
        {"one": piece(BOX), "two": piece(BOX, columns=18, pattern={})},
        "one top",
        "two top",
        1,
    ),
    "as many holes, by repeats": (
        {"one": piece(BOX, pattern={"repeats": 4}), "two": piece(BOX)},
        "one top",
        "two top",
        1,
    ),
    "one pitch": ({"one": piece(BOX), "two": piece(BOX, canvas="plastic-10")}, "one top", "two top", 1),
    "an edge and another": ({"one": piece(BOX)}, "one top", "one top", 1),
    "enough copies": ({"one": piece(BOX), "two": piece(BOX)}, "one top", "two top", 2),
    "a box edge not overcast": (
        {"one": piece({**BOX, "edge": "bark", "edges": ["left"]})},
        "one left",
        "one right",
        1,
    ),
    "a flat edge not overcast": ({"one": piece(FLAT)}, "one left", "one right", 1),
    "no bare border": (
        {"one": piece({"kind": "cushion", "border": "2 in", "allowance": "1 cm"})},
        "one left",
        "one right",
        1,
    ),
    "a straight edge": (
        {"one": piece({"kind": "ornament", "edge": "bark"}, outline={"shape": "round"})},
        "one top",
        "one bottom",
        1,
    ),
}


@pytest.mark.parametrize("lacking", UNSEWABLE)
def test_a_join_that_cannot_be_sewn_is_refused(tmp_path: Path, lacking: str) -> None:
    pieces, one, other, times = UNSEWABLE[lacking]
    pieces = {key: {**each, "finish": dict(each["finish"])} for key, each in pieces.items()}
    if lacking == "as many holes, by repeats":
        del pieces["one"]["columns"]
    told, _ = listed(tmp_path, pieces, [{"one": one, "other": other, "times": times, "with": "bark"}])
    assert "KB331" in [problem.code for problem in told]


@pytest.mark.parametrize(
    "finish", [FLAT, {**BOX, "edge": "bark", "edges": ["top", "right", "bottom", "left"]}]
)
def test_an_edge_stitch_stands_where_a_hole_is(tmp_path: Path, finish: dict[str, Any]) -> None:
    """A shaped piece is overcast along its shape, or refused; never along a rectangle that is not there."""
    spans = [f"{abs(11 - x) // 2 + 1}-{20 - abs(11 - x) // 2}" for x in range(23)]
    told, made = listed(tmp_path, {"one": piece(finish, outline={"spans": spans})})
    at_left = {int(row["hole"]) for row in made.get("finishing.csv", ()) if row["edge"] == "left"}
    assert told or not {1, 2, 3, 18, 19, 20} & at_left


def test_a_sleeve_is_no_shaped_piece(tmp_path: Path) -> None:
    """Its seam would go through hole rows that are cut away."""
    jar = {"object": "jar", "made_of": "glass", "diameter": "22 mm", "height": "50 cm", "ease": "0 mm"}
    sleeve = piece({"kind": "sleeve", "edge": "bark"}, outline={"shape": "round"})
    told, _ = listed(tmp_path, {"one": {**sleeve, "goes_round": {**jar, "tolerance": "9 mm"}}})
    assert told


def test_an_edge_to_overcast_needs_a_colour(tmp_path: Path) -> None:
    told, made = listed(tmp_path, {"one": piece({**BOX, "edges": ["top"]})})
    assert told or made["finishing.csv"]


@pytest.mark.parametrize("columns", [4, 16, 17])
@pytest.mark.parametrize("shape", ["round", "heart"])
def test_a_named_shape_fills_its_hole_rows(tmp_path: Path, shape: str, columns: int) -> None:
    """A shape stands over all hole rows of its piece, also where it has no middle column."""
    ornament = {"kind": "ornament", "edge": "bark"}
    ends_at = {"ends": {"left": 0, "right": columns % 6}}
    high = piece(ornament, outline={"shape": shape}, columns=columns, rows=60, pattern=ends_at)
    told, made = listed(tmp_path, {"one": high})
    assert not told
    rows = made["one-cover.csv"]
    assert (min(ends(row)[1] for row in rows), max(ends(row)[3] for row in rows)) == (1, 60)


@pytest.mark.parametrize("columns", [8, 18, 24, 28])
def test_a_centre_is_in_the_middle_of_a_piece_of_any_width(tmp_path: Path, columns: int) -> None:
    """Also where its half is narrower than the part of a repeat that comes before."""
    line = {"groups_of": 2, "step": 1, "down": 7, "up": 7, "turns": "once"}
    narrow = piece(FLAT, columns=columns, pattern={"line": line, "centre": "valley"})
    told, made = listed(tmp_path, {"one": narrow})
    assert not told
    work = {ends(row) for row in made["stitches.csv"]}
    assert {(columns + 1 - x2, y1, columns + 1 - x1, y2) for x1, y1, x2, y2 in work} == work
