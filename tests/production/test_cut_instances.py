"""Cut plans beside the best published values of open instances: the quick ones, the rest in the benchmark."""

from __future__ import annotations

import pytest

from kitbuild.production.cut_plan import cut
from tests.production.instances import Instance, instances
from tests.production.test_cut_plan import assert_sound

QUICK = tuple(each for each in instances() if each.quick)


@pytest.mark.parametrize("each", QUICK, ids=lambda each: f"{each.name}-{len(each.job.supplies)}")
def test_a_plan_costs_no_more_than_the_best_published(each: Instance) -> None:
    made = cut(each.job)
    assert_sound(each.job, made)
    assert not made.short
    assert each.area_bound <= made.bound <= made.cost
    assert made.cost <= each.most, "at most one sheet, or 1 %, over the published value"
    assert float(made.cost) <= each.published + 1e-6
