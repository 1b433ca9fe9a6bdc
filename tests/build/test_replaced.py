"""`replaced` by the command line: kits, need, colours, boxes and stock that a replacement touches."""

from __future__ import annotations

import csv
import math
from dataclasses import replace
from pathlib import Path

import pypdfium2
import pytest

from kitbuild.base.document import SCREEN, SHEETS
from kitbuild.base.problem import Place, Problem
from kitbuild.build import amounts_of
from kitbuild.documents.replacement_sheet import ReplacementJob, replacement_sheet
from kitbuild.documents.wording import Wording, wording
from kitbuild.output.html import render_html
from kitbuild.output.pdf import render_pdf
from kitbuild.pattern.expand import panels
from kitbuild.production.replacing import PackedBoxes, Replaced, Side, Touched, boxes_left
from kitbuild.production.stock import Lot
from kitbuild.quantity.amounts import measure
from kitbuild.spec.folder import read_range
from kitbuild.spec.trade import Replacement
from tests.build.places import LOCATED, change, digests, run
from tests.build.test_batch import good, orders
from tests.documents.brackets import brackets
from tests.documents.demo import kits
from tests.documents.test_wording import ENGLISH, Listening
from tests.documents.texts import texts
from tests.production.stores import boxed
from tests.spec.ranges import copy_kits

TOO_TIGHT = Problem(Place("kits/tinband.yaml", 1, 1), "KB503", "too tight", "")
PLASTIC = """
  plastic-7b:
    {title: "Black plastic", weave: plastic, count: 7, measured_pitch: 3.70 mm, thickness: 1.4 mm,
     bar: 1.1 mm, kerf: 1, bin: C-05, stock: {sheet-7b: {sheet: 70 x 90 holes, cost: 1.65, bin: C-06}}}
  mono-10:
"""


@pytest.fixture
def place(tmp_path: Path) -> Path:
    copy_kits(tmp_path)
    return tmp_path


def listing(place: Path, key: str) -> dict[tuple[str, str, str], tuple[str, str]]:
    """(part, kit, what) -> before and after."""
    path = place / "build" / "replaced" / key / "replacement.csv"
    with path.open(newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    return {(row["part"], row["kit"], row["what"]): (row["before"], row["after"]) for row in rows}


def test_a_thread_is_replaced(place: Path) -> None:
    """Of 10 m 13 needlefuls of 76 cm, of 8 m 10: HEATH cuts 50 cm, 20 and 16 of them; 72 take 4, then 5."""
    good(run(place, "stock", "count"))
    orders(place, "1,HEATH,3,2026-12-01")
    for action in ("plan", "reserve", "post"):
        good(run(place, "batch", "w1", action))
    before = digests(place / "kits")
    ran = run(place, "replaced")
    good(ran)
    found = listing(place, "wool-0664")
    assert found["need", "HEATH", "heather needlefuls"] == ("65", "65")
    assert found["need", "HEATH", "heather put_ups"] == ("4", "5")
    assert found["cost", "HEATH", "total"] == ("42.02", "43.87")  # 5 x 1.45 - 4 x 1.35 = 1.85
    assert found["cost", "HEATH", "margin"] == ("34.11", "32.26")
    assert found["packed", "HEATH", "boxes w1"] == ("3", "")
    assert found["packed", "HEATH", "lots w1"] == ("7702", "")
    assert found["stock", "", "wool-0664 7702"] == ("33", "")  # 45 - 3 x 4
    assert found["boxes left", "HEATH", "boxes"] == ("8", "")  # 33 / 4
    assert {kit for _, kit, _ in found} == {"", "HEATH"}
    papers = {what for part, _, what in found if part == "paper"}
    assert {"chart-booklet", "instructions", "pick-list"} <= papers
    assert "From 1 March 2027: the dye is discontinued." in ran.out
    names = {
        "replacement.pdf",
        "replacement.letter.pdf",
        "replacement.html",
        "replacement.csv",
        "manifest.json",
    }
    assert {path.name for path in (place / "build/replaced/wool-0664").iterdir()} == names
    pages = pypdfium2.PdfDocument(place / "build/replaced/wool-0664/replacement.pdf")
    assert "wool-0668 in place of wool-0664" in pages[0].get_textpage().get_text_range()
    assert digests(place / "kits") == before


def test_the_colours_are_measured(place: Path) -> None:
    """The new colour is nearly that of another in the kit, which it touches."""
    change(place, "materials.yaml", 'colour: "#82509a"', 'colour: "#24304a"')
    ran = run(place, "replaced", "wool-0664")
    good(ran)
    found = listing(place, "wool-0664")
    assert float(found["colour", "", "difference full"][1]) > 20
    told = found["warning", "HEATH", "KB402"][1]
    assert told == "night and heather touch and look alike (difference 1.1)"
    assert "KB402" in ran.out


def test_a_canvas_of_another_pitch_is_measured_again(place: Path) -> None:
    """Holes 3.70 mm apart: the coaster shrinks with them, the sleeve no longer goes on."""
    change(place, "materials.yaml", "\n  mono-10:\n", PLASTIC)
    change(
        place,
        "materials.yaml",
        "    bin: C-01\n",
        "    bin: C-01\n    replaced_by: {key: plastic-7b, from: 2027-01-01}\n",
    )
    ran = run(place, "replaced", "plastic-7")
    good(ran)
    found = listing(place, "plastic-7")
    before, after = (side.split(" x ") for side in found["size", "WHIN", "coaster blank"])
    assert all(
        abs(float(new) / float(old) - 3.70 / 3.81) < 0.02 for old, new in zip(before, after, strict=True)
    )
    assert "too tight" in found["fault", "FERN", "KB503"][1]
    assert ("cost", "FERN", "total") not in found
    # 82 columns less 2 that overlap go round, each 0.11 mm less; the canvas is 0.1 mm thinner
    inside, then = map(float, found["size", "FERN", "band inside"])
    assert inside - then == pytest.approx(80 * 0.11 / math.pi, abs=0.2)
    assert found["material", "", "pitch_mm"] == ("3.810000", "3.700000")
    assert found["boxes left", "WHIN", "boxes"] == ("91", "")  # 60 sheets of 6 coasters, 3 offcuts of 2: 366
    assert "does not fit" in ran.out
    assert "What is left of plastic-7 still cuts" in ran.out
    assert "KB503 the sleeve is too tight" in " ".join(ran.out.split())


def test_a_thread_that_the_kit_has_already(place: Path) -> None:
    change(place, "materials.yaml", "key: wool-0668, from", "key: wool-0685, from")
    good(run(place, "replaced"))
    assert (
        listing(place, "wool-0664")["fault", "HEATH", "KB643"][1]
        == "heather and bell would both be `wool-0685`"
    )


def test_released_editions_are_found(place: Path) -> None:
    change(place, "heath.yaml", "price: 98.00", "price: 98.00\nuntested: As edition 0, which was.")
    good(run(place, "release", "HEATH"))
    good(run(place, "replaced"))
    assert listing(place, "wool-0664")["released", "HEATH", "edition"] == ("wool-0664", "")


@pytest.mark.parametrize(
    ("key", "message"),
    [
        ("wool-0665", "there is no thread or canvas `wool-0665`"),
        ("wool-0123", "wool-0123 is not replaced by anything"),
    ],
)
def test_what_is_not_replaced_is_told(place: Path, key: str, message: str) -> None:
    ran = run(place, "replaced", key)
    assert (ran.code, ran.codes) == (1, ["KB642"])
    assert message in ran.err
    assert LOCATED.fullmatch(ran.problems[0])
    assert not (place / "build").exists()


def test_a_range_with_a_fault_is_not_half_told(place: Path) -> None:
    change(place, "whin.yaml", "policy: ", "polcy: ")
    ran = run(place, "replaced")
    assert ran.code == 1
    assert not (place / "build").exists()


def job(say: Wording, **changes: object) -> ReplacementJob:
    """Bark wool of WHIN replaced by a thicker one in another colour, on a coarser canvas; all is told."""
    materials = read_range(Path("kits"))[0].materials  # type: ignore[union-attr]
    one = boxed()["WHIN"]
    old = one.kit.palette[0].thread
    further = Replacement("wool-1", "2028-01-01", "", old.at)
    new = replace(old, key="wool-0", rgb=(90, 60, 40), replaced_by=further)
    kit = replace(one.kit, palette=(replace(one.kit.palette[0], thread=new), *one.kit.palette[1:]))
    before, after = (amounts_of(each)[0] for each in (one.kit, kit))
    sides = (Side(before, one.cost, ()), Side(after, one.cost, ()))
    touched = Touched(old.key, one.kit, *sides, (), ("chart-booklet",), 3)
    roll = materials.canvases["mono-10"].stock[0]
    lots = (Lot(old.key, "4471", "A-01", 15, "2026-08-03"), Lot(roll.key, "R1", "C-04", 735, "2026-06-30"))
    packed = (PackedBoxes("w1", "WHIN", 1, 3, ("4471",)),)
    by = Replacement(new.key, "2027-03-01", "gone", old.at)
    found = Replaced(old, new, by, (touched,), (("WHIN", 1),), packed, lots)
    return ReplacementJob(replace(found, **changes), one.kit.house, say, SHEETS["A4"])


def every_sheet(say: Wording) -> list[ReplacementJob]:
    """Sheets that say every sentence there is for replacements."""
    first = job(say)
    kit = kits()["WHIN"]
    canvas = kit.pieces[0].canvas
    coarse = replace(canvas, key="plastic-6", pitch_mm=4.2)
    fern, other = (
        boxed()["FERN"],
        replace(kits()["FERN"], pieces=(replace(kits()["FERN"].pieces[0], canvas=coarse),)),
    )
    sides = [Side(measure(each, panels(each)), fern.cost, ()) for each in (fern.kit, other)]
    bare = PackedBoxes("w1", "FERN", 1, 2, ())
    sleeve = Touched(canvas.key, fern.kit, *sides, (), (), 120)
    faulty = Touched(canvas.key, fern.kit, sides[0], None, (TOO_TIGHT,), (), 120, sides[1].amounts)
    same = Touched(canvas.key, fern.kit, sides[0], sides[0], (), (), 0)
    roll_canvas = kits()["HEATH"].pieces[0].canvas
    sheets = (Lot(canvas.stock[0].key, "", "C-02", 60, "2026-06-30"),)
    roll = (Lot(roll_canvas.stock[0].key, "R1", "C-04", 735, "2026-06-30"),)
    return [
        first,
        job(say, touched=(), packed=None, lots=()),
        job(say, old=canvas, new=coarse, touched=(sleeve, faulty), packed=(bare,), lots=sheets),
        job(say, old=canvas, new=coarse, touched=(same,), packed=(bare,)),
        job(say, old=roll_canvas, new=coarse, touched=(), lots=roll, packed=()),
    ]


def test_no_sentence_of_replacements_is_left_over() -> None:
    listening = Listening()
    for each in every_sheet(listening):
        replacement_sheet(each)
    wanted = {id for id in ENGLISH if id.startswith("replaced.")}
    assert sorted(wanted - listening.said) == []


def test_nothing_english_is_wired_in() -> None:
    for each in every_sheet(brackets()):
        told = " ".join(texts(replacement_sheet(each)))
        for word in ("Kit", "Boxes", "Margin", "Cost", "replaced by", "apart", "fits"):
            assert f" {word} " not in told


@pytest.mark.parametrize("language", ["en", "fr", "de"])
def test_each_sheet_can_be_printed_and_shown(language: str) -> None:
    for each in every_sheet(wording(language)):
        assert render_pdf(replacement_sheet(each)).startswith(b"%PDF-")
        assert render_html(replacement_sheet(each.on(SCREEN))).startswith(b"<!DOCTYPE html>")


def test_boxes_left_are_of_one_lot_each() -> None:
    """15 and 12 skeins by 4: three and three, not six and three quarters."""
    pick = next(pick for pick in boxed()["HEATH"].picks if pick.item == "wool-0664")
    assert pick.quantity == 4
    lots = [
        Lot("wool-0664", name, "B-02", many, "2026-08-03") for name, many in (("a", 15), ("b", 12), ("c", 3))
    ]
    assert boxes_left([*lots, Lot("wool-0123", "a", "A-01", 99, "2026-08-03")], pick) == 6
