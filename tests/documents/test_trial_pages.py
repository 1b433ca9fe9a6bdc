"""Test stitches in print: the tester's sheet, what the proof says, and which outputs a test changes."""

from __future__ import annotations

from pathlib import Path

import pytest

from kitbuild.base.blocks import Block, Heading, PageBreak, Paragraph, Patch, Table
from kitbuild.base.document import Document
from kitbuild.build import Made, amounts_of, make
from kitbuild.output.csv_text import render_csv
from kitbuild.output.pdf import render_pdf
from kitbuild.spec.folder import read_range
from kitbuild.spec.records import Kit
from tests.documents.demo import branches, document, kits
from tests.documents.dump import dump
from tests.output.reading import page_texts
from tests.spec.ranges import copy_kits

CODES = ("CAIRN", "ROWAN", "WHIN")
FERN_TEST = """kind: test
kit: FERN
edition: {edition}
piece: band
date: 2026-10-09
by: Ada
hand: left
minutes: 300
thread: {{deep: {{stitches: 164, used: 9 m}}}}
remarks: |
  {{{{ 7 * 7 }}}} <b>bold</b> & {{page}}
  =SUM(A1)
"""
MODEL_TOO = ("pieces.csv", "stitches.csv", "cut-list.csv", "cut-list")
"""Outputs that say nothing of thread."""


def range_with(folder: Path, **files: str) -> dict[str, Kit]:
    """The demo range without its test, and with test files of these names."""
    folder = copy_kits(folder)
    (folder / "whin-coaster-test.yaml").unlink()
    for name, text in files.items():
        (folder / f"{name}.yaml").write_text(text, encoding="utf-8")
    found, problems = read_range(folder)
    assert problems == ()
    assert found is not None
    return {kit.code: kit for kit in found.kits}


def outputs(one: Made) -> dict[str, bytes]:
    """The lists byte for byte, and all that the documents are drawn from."""
    lists = {listing.name: render_csv(listing) for listing in one.listings}
    return lists | {each.name: dump(each).encode() for each in one.documents}


def table_under(made_document: Document, heading: str) -> Table:
    """The first table after a heading."""
    blocks = list(made_document.blocks)
    start = next(
        at for at, block in enumerate(blocks) if isinstance(block, Heading) and block.text == heading
    )
    return next(block for block in blocks[start:] if isinstance(block, Table))


def proof_of(one: Made) -> Document:
    return next(each for each in one.documents if each.name == "proof")


def words_of(cell: object) -> str:
    return cell.text if isinstance(cell, Patch) else str(cell)


def rows_of(table: Table) -> list[list[str]]:
    return [[words_of(cell) for cell in row] for row in table.rows]


@pytest.mark.parametrize("code", CODES)
def test_the_proof_tells_how_sure_each_colour_is(code: str) -> None:
    """Metres and needlefuls: low, expected, high, then packed, margin, and by what it is known."""
    table = table_under(document(code, "proof"), "How sure the thread is")
    assert [words_of(cell) for cell in table.header] == [
        "Colour",
        "Metres: low, expected, high",
        "Low",
        "Expected",
        "High",
        "Packed",
        "Margin",
        "By",
    ]
    sure = amounts_of(kits()[code])[0].sure
    for row, each in zip(rows_of(table), sure, strict=True):
        lengths = (each.low_mm, each.use.length_mm, each.high_mm)
        assert row[:2] == [each.use.colour.name, " – ".join(f"{length / 1000:.2f}" for length in lengths)]
        counts = (each.low, each.use.needlefuls, each.high, each.use.packed)
        assert row[2:7] == [str(count) for count in (*counts, each.use.packed - each.use.needlefuls)]
        tested = code == "WHIN"
        assert row[7] == ("test of Coaster, 9 October 2026" if tested else "the model alone")


def test_the_proof_names_the_test_of_each_colour() -> None:
    """A colour of its own test, and one that was not tested; a test without a name has none."""
    kit, warnings = branches()["PRECUT"]
    rows = rows_of(table_under(proof_of(make(kit, warnings)), "How sure the thread is"))
    assert {row[0]: row[-1] for row in rows} == {
        "Deep": "test of Coaster, 2 October 2026",
        "Ember": "the tests of the other colours",
        "Pale": "the tests of the other colours",
    }


def test_the_proof_tells_what_a_test_found() -> None:
    """Measured is used less the tails of its starts: 1510 - 4 x 101.6 = 1103.6 mm (derived)."""
    table = table_under(document("WHIN", "proof"), "Test stitches")
    rows = {row[1]: row for row in rows_of(table)}
    found = {one.answer.colour: one for one in amounts_of(kits()["WHIN"])[0].found}
    assert rows["Bark"][2:4] == ["36", "1.10 m"]
    for key, row in zip(found, rows.values(), strict=True):
        assert row[5] == f"{found[key].measured_mm / found[key].model_mm:.3f}"
    assert "Test stitches" not in [
        block.text for block in document("CAIRN", "proof").blocks if isinstance(block, Heading)
    ]


def test_a_test_changes_its_own_colourway_alone(tmp_path: Path) -> None:
    """EMBER's files are the model's to the last byte, FERN's are not."""
    (tmp_path / "plain").mkdir()
    (tmp_path / "tested").mkdir()
    plain = range_with(tmp_path / "plain")
    tested = range_with(tmp_path / "tested", fern=FERN_TEST.format(edition=1))
    assert outputs(make(tested["EMBER"])) == outputs(make(plain["EMBER"]))
    before, after = (outputs(make(each["FERN"])) for each in (plain, tested))
    for name in ("thread.csv", "work-order.csv", "work-order-left.csv", "needlefuls.csv", "proof"):
        assert before[name] != after[name]
    for name in MODEL_TOO:
        assert before[name] == after[name]


def test_without_its_test_a_kit_is_the_model_s_again(tmp_path: Path) -> None:
    """Byte for byte; one that does not count is spoken of in the proof alone."""
    files = {}
    for name, edition in (("old", 9), ("tested", 1), ("none", 0)):
        (tmp_path / name).mkdir()
        texts = {"fern": FERN_TEST.format(edition=edition)} if edition else {}
        files[name] = outputs(make(range_with(tmp_path / name, **texts)["FERN"]))
    again = tmp_path / "tested" / "kits"
    (again / "fern.yaml").unlink()
    found, _ = read_range(again)
    assert found is not None
    assert outputs(make(next(kit for kit in found.kits if kit.code == "FERN"))) == files["none"]
    assert {name for name in files["none"] if files["old"][name] != files["none"][name]} == {
        "proof",
        "proof.letter",
    }


def test_what_a_tester_says_is_printed_as_it_is(tmp_path: Path) -> None:
    """Neither template, nor markup, nor formula."""
    one = make(range_with(tmp_path, fern=FERN_TEST.format(edition=1))["FERN"])
    said = " ".join(" ".join(page_texts(render_pdf(proof_of(one)))).split())
    for words in ("{{ 7 * 7 }} <b>bold</b> & {page}", "=SUM(A1)", "9 October 2026, Ada: 300 minutes."):
        assert words in said


def test_the_longest_words_of_a_tester_fit(tmp_path: Path) -> None:
    """A name and remarks without a space, as long as they may be."""
    text = FERN_TEST.format(edition=1).partition("remarks")[0].replace("by: Ada", f"by: {'W' * 60}")
    one = make(range_with(tmp_path, fern=f"{text}remarks: {'x' * 2000}\n")["FERN"])
    said = "".join("".join(page_texts(render_pdf(proof_of(one)))).split())
    assert "x" * 2000 in said
    assert said.count("W" * 60) == 3


def between(each: Document, heading: str) -> list[Block]:
    """The blocks from a heading to the next page break."""
    blocks = list(each.blocks)
    start = next(
        at for at, block in enumerate(blocks) if isinstance(block, Heading) and block.text == heading
    )
    end = next((at for at in range(start, len(blocks)) if isinstance(blocks[at], PageBreak)), len(blocks))
    return blocks[start:end]


@pytest.mark.parametrize("code", CODES)
@pytest.mark.parametrize("name", ["test-sheet", "test-sheet.letter"])
def test_remarks_stand_on_one_page(code: str, name: str) -> None:
    pages = page_texts(render_pdf(document(code, name)))
    line = "_" * 60
    held = [page for page in pages if line in page]
    assert len(held) == 1
    assert "Remarks" in held[0]
    assert held[0].count(line) == 4


@pytest.mark.parametrize("code", CODES)
def test_the_sheet_asks_for_each_colour_of_a_piece(code: str) -> None:
    """Its stitches beside it, and room for four answers; the workshop's table says the same numbers."""
    sheet = document(code, "test-sheet")
    for each in amounts_of(kits()[code])[0].pieces:
        title, colours = each.panel.piece.title, each.panel.stitches.colour
        wanted = [
            (colour.key, colour.name, str(int((colours == at).sum())))
            for at, colour in enumerate(kits()[code].palette)
            if (colours == at).any()
        ]
        asked = rows_of(table_under(sheet, f"{title}, one copy"))
        assert asked == [[name, count, "", "", "", ""] for _, name, count in wanted]
        answers = [[f"{key}:", f"{{stitches: {count}, starts: …, used: … m}}"] for key, _, count in wanted]
        tables = [rows_of(block) for block in between(sheet, "For the workshop") if isinstance(block, Table)]
        assert any(
            ["piece:", each.panel.piece.key] in rows and rows[-len(answers) :] == answers for rows in tables
        )


@pytest.mark.parametrize("code", CODES)
def test_the_sheet_names_the_needleful_in_metres(code: str) -> None:
    steps = "\n".join(str(block) for block in document(code, "test-sheet").blocks)
    assert "needlefuls cut × 0.76 m − the metres left over" in steps


def test_the_workshop_s_table_makes_a_file_that_counts(tmp_path: Path) -> None:
    """Written down key by key with answers as the model has them, it is read without a problem."""
    rows = rows_of(next(each for each in _workshop("WHIN") if ["piece:", "coaster"] in rows_of(each)))
    said = {
        "date:": "2026-10-09",
        "by:": "Ada",
        "hand:": "right",
        "minutes:": "55",
        "remarks:": "None.",
        "thread:": "",
    }
    lines, below = [], False
    for key, value in rows:
        answer = value.replace("starts: …", "starts: 4").replace("used: … m", "used: 1.9 m")
        lines.append(f"{'  ' * below}{key} {said.get(key, answer)}".rstrip())
        below = below or key == "thread:"
    amounts, problems = amounts_of(range_with(tmp_path, test="\n".join(lines))["WHIN"])
    assert [found.answer.colour for found in amounts.found] == ["bark", "moss", "gorse", "lichen"]
    assert all(problem.code == "KB515" for problem in problems)


def _workshop(code: str) -> list[Table]:
    return [block for block in document(code, "test-sheet").blocks if isinstance(block, Table)]


def test_a_test_that_does_not_count_is_told_on_the_proof(tmp_path: Path) -> None:
    one = make(range_with(tmp_path, fern=FERN_TEST.format(edition=9))["FERN"])
    assert [problem.code for problem in one.warnings] == ["KB514"]
    blocks = proof_of(one).blocks
    assert any("KB514" in item for block in blocks for item in getattr(block, "items", ()))
    assert "Test stitches" not in [block.text for block in blocks if isinstance(block, Heading)]
    assert not any("Ada" in block.text for block in blocks if isinstance(block, Paragraph))
