"""Files of test stitches: what is told of a faulty one, which kits it withholds, which it leaves alone."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kitbuild.base.problem import Problem, errors
from kitbuild.build import sources
from kitbuild.spec.folder import read_range
from kitbuild.spec.records import Kit, Range
from tests.spec.ranges import KITS, copy_kits, read_with

FILE = "whin-coaster-test.yaml"
TEXT = (KITS / FILE).read_text(encoding="utf-8")
OTHERS = {"CAIRN", "EMBER", "FERN", "HEATH", "RILL", "ROWAN", "TARN", "WINDS"}
THREAD = re.search(r"thread:\n(?:  .*\n)+", TEXT)[0]  # type: ignore[index]
BAND = """kind: test
kit: {code}
edition: 1
piece: band
date: 2026-10-09
thread: {{deep: {{stitches: 164, used: 8 m}}}}
"""


def swapped(old: str, new: str) -> str:
    assert TEXT.count(old) == 1
    return TEXT.replace(old, new)


def read(folder: Path, text: str, name: str = FILE) -> tuple[Range | None, list[Problem]]:
    found, problems = read_with(folder, name, text.encode("utf-8"))
    return found, list(problems)


def codes(found: Range | None) -> set[str]:
    return {kit.code for kit in found.kits} if found else set()


def kit_of(found: Range | None, code: str) -> Kit:
    assert found is not None
    return next(kit for kit in found.kits if kit.code == code)


def told(problems: list[Problem]) -> list[str]:
    return [f"{each.code} {each.place.line or ''}".strip() for each in problems]


def test_answers_are_read_to_the_last(tmp_path: Path) -> None:
    found, problems = read(tmp_path, TEXT)
    assert problems == []
    (trial,) = kit_of(found, "WHIN").trials
    assert (trial.edition, trial.piece, trial.date, trial.hand) == (1, "coaster", "2026-10-09", "right")
    assert (trial.by, trial.minutes) == ("a first-time stitcher", 55)
    assert trial.remarks.startswith("The second row was easy")
    answers = {each.colour: (each.stitches, each.used_mm, each.starts) for each in trial.answers}
    assert answers == {
        "bark": (36, 1510.0, 4),
        "moss": (46, 1890.0, 4),
        "gorse": (52, 2410.0, 0),
        "lichen": (48, 2040.0, 0),
    }
    assert str(trial.answers[0].at("used")) == f"kits/{FILE}:12:43"
    assert all(kit_of(found, code).trials == () for code in OTHERS)


def test_what_may_be_left_out(tmp_path: Path) -> None:
    kept = [line for line in TEXT.splitlines() if not line.startswith(("by", "hand", "minutes", "remarks"))]
    found, problems = read(tmp_path, "\n".join(kept))
    assert problems == []
    (trial,) = kit_of(found, "WHIN").trials
    assert (trial.by, trial.hand, trial.minutes, trial.remarks) == ("", "right", 0, "")


def test_a_kit_is_made_from_its_test_too(tmp_path: Path) -> None:
    found, _ = read(tmp_path, TEXT)
    assert f"kits/{FILE}" in sources(kit_of(found, "WHIN"))
    assert f"kits/{FILE}" not in sources(kit_of(found, "HEATH"))


FAULTS = {
    "a piece that is not there": ("piece: coaster", "piece: coster", "KB332 6"),
    "no piece": ("piece: coaster\n", "", "KB203 3"),
    "a colour that is not there": ("  moss:", "  mos:", "KB332 13"),
    "no stitches": ("stitches: 36", "stitches: 0", "KB206 12"),
    "half a stitch": ("stitches: 36", "stitches: 36.5", "KB204 12"),
    "no thread at all": ("used: 1.51 m", "used: 0 m", "KB209 12"),
    "less than none": ("used: 1.51 m", "used: -1 m", "KB209 12"),
    "no unit": ("used: 1.51 m", "used: 1.51", "KB209 12"),
    "thread round the earth": ("used: 1.51 m", "used: 99999999999 m", "KB209 12"),
    "no answer": ("{stitches: 52, used: 2.41 m}", "", "KB203 14"),
    "a third hand": ("hand: right", "hand: both", "KB205 9"),
    "no time": ("minutes: 55", "minutes: 0", "KB206 10"),
    "a day that is none": ("2026-10-09", "2026-02-30", "KB209 7"),
    "a key too many": ("hand: right", "hands: right", "KB202 9"),
}


@pytest.mark.parametrize(("old", "new", "code"), FAULTS.values(), ids=FAULTS)
def test_a_faulty_test_withholds_its_kit_and_no_other(old: str, new: str, code: str, tmp_path: Path) -> None:
    found, problems = read(tmp_path, swapped(old, new))
    assert codes(found) == OTHERS
    assert [each.place.file for each in problems] == [f"kits/{FILE}"]
    assert not problems[0].warning
    if new:
        assert told(problems) == [code]


@pytest.mark.parametrize("thread", ["thread: [1]\n", "thread: {}\n", "thread: 3 m\n", "thread:\n", ""])
def test_thread_that_is_no_list_of_answers(thread: str, tmp_path: Path) -> None:
    found, problems = read(tmp_path, swapped(THREAD, thread))
    assert codes(found) == OTHERS
    assert len(problems) == 1


def test_many_faults_are_told_at_once(tmp_path: Path) -> None:
    text = TEXT.replace("coaster", "coster").replace("moss:", "mos:").replace("1.51 m", "x m")
    assert told(read(tmp_path, text)[1]) == ["KB332 6", "KB209 12", "KB332 13"]


HOSTILE = {
    "formula": ('"=1+1"', "KB311"),
    "bell": ('"a\\u0007b"', "KB312"),
    "nothing": ('"a\\0b"', "KB312"),
    "turned about": ('"a\\u202Eb"', "KB310"),
    "right to left": ('"a\\u200Fb"', "KB310"),
    "not in the fonts": ("日本語", "KB310"),
    "a face": ("😀", "KB310"),
    "letters from the right": ("שלום", "KB310"),
    "a hard space": ('"\\u00A0"', "KB209"),
    "a space": ('" "', "KB209"),
    "a number": ("12", ""),
    "braces": ("'{{ 1 }} {% if %} {page}'", ""),
    "tags": ("'<b>x & <font name=\"no\">'", ""),
    "another formula": ('"@SUM(A1)"', "KB311"),
}


@pytest.mark.parametrize(("value", "code"), HOSTILE.values(), ids=HOSTILE)
def test_hostile_names(value: str, code: str, tmp_path: Path) -> None:
    found, problems = read(tmp_path, swapped("by: a first-time stitcher", f"by: {value}"))
    assert [each.code for each in problems] == ([code] if code else [])
    assert ("WHIN" in codes(found)) is (not code)


@pytest.mark.parametrize(("value", "code"), HOSTILE.values(), ids=HOSTILE)
def test_hostile_remarks(value: str, code: str, tmp_path: Path) -> None:
    """Remarks are printed on the proof alone, so that a formula does no harm in them."""
    text = re.sub("remarks: .*", lambda _: f"remarks: {value}", TEXT)
    due = "" if code == "KB311" else code
    found, problems = read(tmp_path, text)
    assert [each.code for each in problems] == ([due] if due else [])
    assert ("WHIN" in codes(found)) is (not due)


@pytest.mark.parametrize(
    ("key", "length", "code"), [("by", 60, ""), ("by", 61, "KB207"), ("remarks", 2001, "KB207")]
)
def test_texts_have_an_end(key: str, length: int, code: str, tmp_path: Path) -> None:
    problems = read(tmp_path, re.sub(f"{key}: .*", f"{key}: {'w' * length}", TEXT))[1]
    assert [each.code for each in problems] == ([code] if code else [])


@pytest.mark.parametrize("kit", ["WIHN", "NONE", "FERNS"])
def test_a_kit_that_is_not_there(kit: str, tmp_path: Path) -> None:
    found, problems = read(tmp_path, swapped("kit: WHIN", f"kit: {kit}"))
    assert told(problems) == ["KB332 4"]
    assert codes(found) >= OTHERS
    assert all(each.trials == () for each in found.kits)  # type: ignore[union-attr]


def test_a_kit_that_cannot_be_read_is_not_told_as_unknown(tmp_path: Path) -> None:
    kits = copy_kits(tmp_path)
    text = (kits / "whin.yaml").read_text(encoding="utf-8")
    broken = {
        "not YAML": text + "\n  x: [",
        "no code": text.replace("code: WHIN\n", ""),
        "two codes": text.replace("code: WHIN\n", "code: WHIN\ncode: WHEN\n"),
    }
    for content in broken.values():
        (kits / "whin.yaml").write_text(content, encoding="utf-8")
        found, problems = read_range(kits)
        assert {each.place.file for each in problems} == {"kits/whin.yaml"}
        assert codes(found) == OTHERS


def test_a_test_of_a_faulty_kit_is_still_read(tmp_path: Path) -> None:
    kits = copy_kits(tmp_path)
    text = (kits / "whin.yaml").read_text(encoding="utf-8")
    (kits / "whin.yaml").write_text(text.replace("rows: 27", "rows: many"), encoding="utf-8")
    (kits / FILE).write_text(swapped("  moss:", "  mos:"), encoding="utf-8")
    found, problems = read_range(kits)
    assert codes(found) == OTHERS
    assert {each.place.file for each in problems} == {"kits/whin.yaml", f"kits/{FILE}"}


def test_without_the_kit_its_test_is_told(tmp_path: Path) -> None:
    kits = copy_kits(tmp_path)
    (kits / "whin.yaml").unlink()
    found, problems = read_range(kits)
    assert told(list(problems)) == ["KB345 6", "KB332 4"]  # the class of that kit is told as well
    assert codes(found) == OTHERS


def test_two_tests_of_a_piece_cannot_both_be_true(tmp_path: Path) -> None:
    found, problems = read(tmp_path, TEXT, "whin-second-test.yaml")
    assert told(problems) == ["KB333 6"]
    assert problems[0].place.file == "kits/whin-second-test.yaml"
    assert f"kits/{FILE}:6:8" in problems[0].message
    assert codes(found) == OTHERS


def test_pieces_of_one_kit_have_a_test_each(tmp_path: Path) -> None:
    kits = copy_kits(tmp_path)
    for piece, count in (("heart", 54), ("berry", 28)):
        text = BAND.format(code="ROWAN").replace("band", piece).replace("deep", "damson")
        (kits / f"{piece}.yaml").write_text(text.replace("164", str(count)), encoding="utf-8")
    found, problems = read_range(kits)
    assert problems == ()
    assert [trial.piece for trial in kit_of(found, "ROWAN").trials] == ["berry", "heart"]


def test_a_colourway_has_its_own_test(tmp_path: Path) -> None:
    found, problems = read(tmp_path, BAND.format(code="FERN"), "fern-band-test.yaml")
    assert problems == []
    assert len(kit_of(found, "FERN").trials) == 1
    assert kit_of(found, "EMBER").trials == ()


def test_a_faulty_test_of_a_colourway_withholds_it_alone(tmp_path: Path) -> None:
    found, problems = read(tmp_path, BAND.format(code="FERN").replace("deep", "dip"), "fern-band-test.yaml")
    assert told(problems) == ["KB332 6"]
    assert codes(found) == OTHERS - {"FERN"} | {"WHIN"}


def test_both_colourways_may_be_tested(tmp_path: Path) -> None:
    kits = copy_kits(tmp_path)
    for code in ("FERN", "EMBER"):
        (kits / f"{code.lower()}-test.yaml").write_text(BAND.format(code=code), encoding="utf-8")
    found, problems = read_range(kits)
    assert problems == ()
    assert [len(kit_of(found, code).trials) for code in ("FERN", "EMBER", "WHIN")] == [1, 1, 1]


BROKEN = {
    "empty": (b"", "KB107"),
    "blank": (b"\n\n", "KB107"),
    "too large": (TEXT.encode() + b"# x\n" * 300_000, "KB102"),
    "not text": (TEXT.encode() + b"\xff\xfe", "KB103"),
    "not YAML": (TEXT.encode() + b"\n  x: [", "KB106"),
    "a list": (b"- kind: test\n", "KB109"),
    "of no kind": (TEXT.replace("kind: test\n", "").encode(), "KB201"),
    "of a kind that is none": (TEXT.replace("kind: test", "kind: tset").encode(), "KB201"),
}


@pytest.mark.parametrize(("content", "code"), BROKEN.values(), ids=BROKEN)
def test_a_file_that_cannot_be_read_is_told_once(content: bytes, code: str, tmp_path: Path) -> None:
    _, problems = read_with(tmp_path, FILE, content)
    assert [(each.place.file, each.code, each.warning) for each in problems] == [
        (f"kits/{FILE}", code, False)
    ]


@pytest.mark.parametrize("how", ["too large", "not YAML", "not text", "a tab", "a control character"])
def test_what_cannot_be_read_withholds_the_kit_that_it_names(how: str, tmp_path: Path) -> None:
    """Without its answers it would be packed wrongly."""
    more = {"a tab": b"\tby: x\n", "a control character": b"by: a\x07b\n"}
    content = BROKEN[how][0] if how in BROKEN else TEXT.encode() + more[how]
    found, problems = read_with(tmp_path, FILE, content)
    assert len(errors(problems)) == 1
    assert codes(found) == OTHERS


LINES = st.sampled_from(TEXT.splitlines()[2:])
PARTS = st.one_of(
    LINES, st.text(max_size=30), st.sampled_from(["thread: &a {", "  moss: *a", "? {}", "kit: []"])
)


@given(st.lists(PARTS, max_size=14))
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_text_is_read_or_told(tmp_path: Path, lines: list[str]) -> None:
    """Whatever comes back from a tester: no crash, and no kit but the one it names is touched."""
    kits = tmp_path / "kits"
    if not kits.exists():
        copy_kits(tmp_path)
    content = "\n".join(["kind: test", "kit: WHIN", *lines]).encode("utf-8", "surrogatepass")
    (kits / FILE).write_bytes(content)
    found, problems = read_range(kits)
    assert errors(problems) or kit_of(found, "WHIN").trials
    if found is not None:
        assert codes(found) >= OTHERS
        assert all(kit_of(found, code).trials == () for code in OTHERS)
