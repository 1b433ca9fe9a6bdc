"""reportlab as it is delivered, whatever the machine's settings and environment say."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final

from reportlab import rl_config, rl_settings

#: Where we differ from reportlab's own defaults: equal bytes, and no ASCII armour (a fifth of the size).
OURS: Final[dict[str, object]] = {"invariant": 1, "useA85": 0, "verbose": 0}

_DATE: Final = "SOURCE_DATE_EPOCH"


@contextmanager
def neutral_settings() -> Iterator[None]:
    """Within it, `rl_config` and the environment hold nothing that could change a file."""
    wanted = {name: getattr(rl_settings, name) for name in rl_settings.__all__} | OURS
    before = {name: getattr(rl_config, name) for name in wanted if hasattr(rl_config, name)}
    epoch = os.environ.pop(_DATE, None)
    vars(rl_config).update({name: wanted[name] for name in before})
    try:
        yield
    finally:
        vars(rl_config).update(before)
        if epoch is not None:
            os.environ[_DATE] = epoch
