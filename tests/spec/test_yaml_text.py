"""Strict YAML: text stays text, marks are right, what is refused is told."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitbuild.spec.yaml_text import LARGEST_BYTES, read_text


def parsed(text: str):
    found, problems = read_text("kits/x.yaml", text.encode())
    assert problems == ()
    assert found is not None
    return found


def codes(content: bytes) -> list[str]:
    return [problem.code for problem in read_text("kits/x.yaml", content)[1]]


@pytest.mark.parametrize(
    "written",
    ["0123", "NO", "on", "1e3", "12:30", "010", "1_000", "0x1F", "2026-10-01", "~", "null", "3.10"],
)
def test_text_stays_as_it_was_written(written: str) -> None:
    assert parsed(f"a: {written}\nb: [{written}]\n").data == {"a": written, "b": [written]}


def test_values_and_keys_know_their_places() -> None:
    found = parsed("kind: kit\npieces:\n  one: {rows: 29, list: [a, b]}\n")
    assert str(found.at("pieces", "one", "rows")) == "kits/x.yaml:3:15"
    assert str(found.at.key("pieces", "one", "rows")) == "kits/x.yaml:3:9"
    assert str(found.at("pieces", "one", "list", 1)) == "kits/x.yaml:3:29"
    assert str(found.at("pieces", "one", "not written")) == "kits/x.yaml:3:8"


def test_only_plain_values_are_plain() -> None:
    found = parsed("a: 1\nb: '1'\nc: \"1\"\nd: |-\n  1\n")
    assert found.plain == {("a",)}
    assert set(found.data.values()) == {"1"}


def test_a_byte_order_mark_is_passed_over() -> None:
    found, problems = read_text("x", b"\xef\xbb\xbfkind: kit\n")
    assert found is not None
    assert problems == ()
    assert str(found.at("kind")) == "x:1:7"


def test_quoted_empty_text_is_text_and_plain_nothing_is_missing() -> None:
    assert parsed("a: ''\n").data == {"a": ""}
    assert codes(b"a:\nb: 1\n") == ["KB116"]
    assert codes(b"a: [1, ,]\n") == ["KB106"]


def test_a_duplicate_names_both_places_and_keeps_the_first() -> None:
    found, problems = read_text("x", b"a: 1\nb: {c: [1]}\nb: {c: 2}\n")
    assert found is not None
    assert found.data == {"a": "1", "b": {"c": ["1"]}}
    assert str(problems[0]).startswith("x:3:1: KB111 `b` stands twice, first at x:2:1")


@pytest.mark.parametrize(
    ("content", "code"),
    [
        (b"", "KB107"),
        (b"---\n", "KB109"),
        (b"# only a comment\n", "KB107"),
        (b"- a\n", "KB109"),
        (b"*a\n", "KB109"),
        (b"a: &x 1\n", "KB112"),
        (b"a: *x\n", "KB112"),
        (b"&x a: 1\n", "KB112"),
        (b"a: !!int 1\n", "KB113"),
        (b"!t a: 1\n", "KB113"),
        (b"a: ! b\n", "KB113"),
        (b"? {a: 1}\n: 2\n", "KB110"),
        (b"<<: {a: 1}\n", "KB114"),
        (b"a: 1\n---\nb: 1\n", "KB108"),
        (b"a:\n\tb: 1\n", "KB105"),
        (b"a: b\x00c\n", "KB104"),
        ("a: b\u0085c\n".encode(), "KB104"),
        ("a: b\u2028c\n".encode(), "KB104"),
        ("a: b\ufeffc\n".encode(), "KB104"),
        (b"a: \xff\xfe\n", "KB103"),
        ("kind: kit\n".encode("utf-16"), "KB103"),
        (b"a: " + b"[" * 500, "KB115"),
        (b"a: " + b"{a: " * 100_000, "KB115"),
        (b"".join(b"\n" + b" " * i + b"a:" for i in range(200)), "KB115"),
        (b"a: 1\n" * (LARGEST_BYTES // 5 + 1), "KB102"),
        (b"%YAML 9.9\n---\na: 1\n", "KB106"),
        (b"a: 'b\n", "KB106"),
    ],
)
def test_what_is_refused_is_told_once(content: bytes, code: str) -> None:
    assert codes(content) == [code]


def test_brackets_without_end_are_told_and_not_followed() -> None:
    assert codes(b"[" * 100_000) in (["KB109"], ["KB106"])
    assert codes(b"a: " + b"[" * 100_000) in (["KB115"], ["KB106"])


def test_an_alias_bomb_is_never_expanded() -> None:
    lines = ["a0: &a0 [x]", *(f"a{i}: &a{i} [{', '.join([f'*a{i - 1}'] * 9)}]" for i in range(1, 9))]
    assert set(codes("\n".join(lines).encode())) == {"KB112"}


@given(st.binary(max_size=200))
def test_bytes_never_raise(content: bytes) -> None:
    found, problems = read_text("x", content)
    assert found is not None or problems


@given(st.text("ab:-[]{},&*!|>'\"%@`#?<~ \n\t0\\u2028", max_size=60))
def test_text_never_raises(text: str) -> None:
    found, problems = read_text("x", text.encode())
    assert found is not None or problems
    assert all(problem.place.line <= text.count("\n") + 2 for problem in problems)
