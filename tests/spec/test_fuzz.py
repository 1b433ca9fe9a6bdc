"""Damaged specs: whatever happens to the bytes, problems are told and nothing is raised."""

from __future__ import annotations

import random
import tempfile
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from kitbuild.spec.folder import read_range
from tests.fuzz.mutations import MUTATIONS, damaged
from tests.fuzz.running import batch, demo_files
from tests.spec.ranges import KITS, copy_kits

FILES = sorted(path.name for path in KITS.iterdir())
PIECES = [
    b"",
    b"\n",
    b": ",
    b"- ",
    b"{",
    b"}",
    b"[",
    b"]",
    b"0",
    b"-1",
    b'"',
    b"'",
    b"#",
    b"&a ",
    b"*a",
    b"!!x ",
    b"  ",
]


@st.composite
def with_spans_cut(draw: st.DrawFn) -> tuple[str, bytes]:
    """A demo file with a few spans cut out or replaced."""
    name = draw(st.sampled_from(FILES))
    content = (KITS / name).read_bytes()
    for _ in range(draw(st.integers(1, 4))):
        start = draw(st.integers(0, max(0, len(content) - 1)))
        length = draw(st.integers(0, 30))
        filler = draw(st.sampled_from(PIECES) | st.binary(max_size=4))
        content = content[:start] + filler + content[start + length :]
    return name, content


@settings(max_examples=300, deadline=None)
@given(with_spans_cut())
def test_damage_is_told_and_never_raised(case: tuple[str, bytes]) -> None:
    name, content = case
    with tempfile.TemporaryDirectory() as folder:
        kits = copy_kits(Path(folder))
        (kits / name).write_bytes(content)
        found, problems = read_range(kits)
    assert found is not None or problems
    assert list(problems) == sorted(set(problems))
    assert all(problem.message and problem.cure and str(problem).count("\n") == 0 for problem in problems)


@settings(max_examples=200, deadline=None)
@given(st.sampled_from([name for name in FILES if name.endswith(".yaml")]), st.data())
def test_a_value_taken_for_another_is_told_and_never_raised(name: str, data: st.DataObject) -> None:
    """Each value in turn becomes a list, a mapping, a number, or text that fits nothing."""
    lines = (KITS / name).read_text(encoding="utf-8").splitlines()
    places = [index for index, line in enumerate(lines) if ":" in line and not line.startswith("#")]
    index = data.draw(st.sampled_from(places))
    value = data.draw(
        st.sampled_from(
            [
                "[]",
                "{}",
                "[a, [b]]",
                "{a: b}",
                "0",
                "-1",
                "1.5",
                "999999999999",
                "true",
                '""',
                "'  '",
                "x" * 300,
            ]
        )
    )
    lines[index] = f"{lines[index].partition(':')[0]}: {value}"
    with tempfile.TemporaryDirectory() as folder:
        kits = copy_kits(Path(folder))
        (kits / name).write_text("\n".join(lines), encoding="utf-8")
        found, problems = read_range(kits)
    assert found is not None or problems


def test_damaged_specs_end_in_outputs_or_located_problems() -> None:
    """A few hundred of what `make fuzz` runs by the thousand: read, built, quick and small.

    In a process of its own, whose memory holds nothing of other tests.
    """
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as alone:
        runs = alone.submit(batch, range(300)).result()
    assert [(run.seed, run.fault) for run in runs if run.fault] == []
    assert sum(run.built > 0 for run in runs) > 30


def test_a_run_is_the_same_for_the_same_seed() -> None:
    files = demo_files()
    assert [damaged(seed, files) for seed in range(50)] == [damaged(seed, files) for seed in range(50)]
    assert len({damaged(seed, files) for seed in range(200)}) > 180


def test_every_way_of_damage_is_met() -> None:
    files = demo_files()
    for change in set(MUTATIONS):
        assert any(
            change(random.Random(seed), files, "whin.yaml") != files["whin.yaml"] for seed in range(20)
        )
