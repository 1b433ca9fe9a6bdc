"""Kits made once for all tests: the demo range, and one kit for each branch of the wording."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from functools import cache
from pathlib import Path

from kitbuild.base.blocks import Block, Figure, Grid
from kitbuild.base.document import Document
from kitbuild.base.problem import Problem
from kitbuild.build import Made, make
from kitbuild.documents.wording import Wording
from kitbuild.spec.folder import read_range
from kitbuild.spec.records import Kit
from kitbuild.spec.trade import Trade
from tests.spec.ranges import KITS, copy_kits

CODES = ("CAIRN", "EMBER", "FERN", "HEATH", "RILL", "ROWAN", "TARN", "WHIN", "WINDS")
BRANCHES = Path(__file__).parent / "kits"


@cache
def kits() -> dict[str, Kit]:
    """The demo range by code."""
    found, problems = read_range(KITS)
    assert not problems, problems
    assert found is not None
    return {kit.code: kit for kit in found.kits}


@cache
def branches() -> dict[str, tuple[Kit, tuple[Problem, ...]]]:
    """The kits beside these tests, each with the warnings of reading it."""
    with tempfile.TemporaryDirectory() as folder:
        copied = copy_kits(Path(folder))
        for path in BRANCHES.iterdir():
            (copied / path.name).write_bytes(path.read_bytes())
        found, problems = read_range(copied)
    assert found is not None, problems
    assert all(problem.warning for problem in problems), problems
    ours = {f"kits/{path.name}" for path in BRANCHES.glob("*.yaml")}
    return {kit.code: (kit, problems) for kit in found.kits if kit.at.source.file in ours}


@cache
def made(code: str) -> Made:
    """A demo kit as it is built."""
    return make(kits()[code])


def every_kit_in(say: Wording) -> Iterator[Made]:
    """The demo range and the branches, spoken by `say`."""
    for kit in kits().values():
        yield make(kit, (), say)
    for kit, warnings in branches().values():
        yield make(kit, warnings, say)
    yield from _sold_otherwise(say)


def _sold_otherwise(say: Wording) -> Iterator[Made]:
    """A kit that is given away, and one that is sold for less than it costs, for a royalty by the piece."""
    kit = kits()["HEATH"]
    direct, plated = (replace(kit.house, trade=Trade(setup)) for setup in (0, 8500))
    assert kit.licence
    each = replace(kit.licence, royalty=Fraction(0), royalty_each_minor=120)
    yield make(replace(kit, house=direct, licence=None, price_minor=0), (), say)
    yield make(replace(kit, house=plated, licence=each, price_minor=1000), (), say)


def document(code: str, name: str) -> Document:
    return next(each for each in made(code).documents if each.name == name)


def flat(blocks: tuple[Block, ...]) -> Iterator[Block]:
    """All blocks, those in grids too."""
    for block in blocks:
        if isinstance(block, Grid):
            for cell in block.cells:
                yield from flat(cell)
        else:
            yield block


def figures(each: Document) -> list[Figure]:
    return [block for block in flat(each.blocks) if isinstance(block, Figure)]
