"""All rules that the schemas cannot say: a flat list of small generators over the files of a range."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

from kitbuild.base.problem import Problem
from kitbuild.spec import (
    claim_rules,
    class_rules,
    kit_rules,
    piece_rules,
    range_rules,
    sale_rules,
    text_rules,
    trade_rules,
    trial_rules,
)
from kitbuild.spec.draft import Draft

Rule = Callable[[Draft], Iterator[Problem]]

RULES: Final[tuple[Rule, ...]] = (
    *range_rules.RULES,
    *kit_rules.RULES,
    *piece_rules.RULES,
    *sale_rules.RULES,
    *trial_rules.RULES,
    *class_rules.RULES,
    *text_rules.RULES,
    *claim_rules.RULES,
    *trade_rules.RULES,
)


def faults(draft: Draft) -> tuple[Problem, ...]:
    """What all rules find."""
    return tuple(problem for rule in RULES for problem in rule(draft))
