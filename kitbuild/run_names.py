"""What runs are called: those from orders as their maker names them, a class by its own name."""

from __future__ import annotations

import re
from typing import Final

RUN: Final = re.compile(r"[A-Za-z0-9][A-Za-z0-9-]{0,23}")
_CLASS: Final = "class:"


def class_run(name: str) -> str:
    """What a class is called in the ledger: no run from orders can have that name."""
    return f"{_CLASS}{name}"


def command_of(run: str) -> str:
    """The command that plans a run and takes its steps."""
    if run.startswith(_CLASS):
        return f"kitbuild class {run.removeprefix(_CLASS)}"
    return f"kitbuild batch {run}"
