"""HiGHS, imported when it is first needed, and silent from its first word."""

from __future__ import annotations

from functools import cache
from typing import Any

from kitbuild.production.cut_effort import Effort

ITERATION, CELL = 4, 0.06
"""Steps of the effort: an iteration of the integer programme, and a cell of its matrix at a node."""


@cache
def _silent() -> type[Any]:
    import highspy

    class Silent(highspy.Highs):
        """Its callbacks are not used, and switching them on prints a banner that no option suppresses."""

        def enableCallbacks(self) -> None:
            """Leave them off."""

    return Silent


def solver(**options: float | str) -> Any:  # noqa: ANN401
    """A new solver that prints nothing, on one thread."""
    made = _silent()()
    for name, value in {"output_flag": False, "threads": 1, **options}.items():
        made.setOptionValue(name, value)
    return made


def choose_whole(made: Any, start: list[float], effort: Effort) -> list[int]:  # noqa: ANN401
    """Solve with all columns whole, beginning at `start`; the numbers of the best choice found.

    The caller adds up costs and yields from them anew. Presolve must be off: with it, HiGHS 1.16 measures the
    start against a shifted cost and gives up everything better.
    """
    import highspy

    for at in range(len(start)):
        made.changeColIntegrality(at, highspy.HighsVarType.kInteger)
    begun = highspy.HighsSolution()
    begun.col_value = start
    made.setOptionValue("presolve", "off")
    made.setOptionValue("time_limit", effort.seconds())
    made.setSolution(begun)
    made.run()
    told = made.getInfo()
    cells = told.mip_node_count * made.getNumRow() * made.getNumCol()
    effort.spend(told.simplex_iteration_count * ITERATION + cells * CELL)
    effort.out()
    return [round(value) for value in made.getSolution().col_value] or [round(each) for each in start]
