"""`python -m tests.fuzz.posting`: steps of the ledger and a print order, killed at all of their moments."""

from __future__ import annotations

import tempfile
from pathlib import Path

from tests.build.ledger_kills import STEPS, report
from tests.build.print_kills import report as report_prints


def main() -> None:
    """Stop at the first that is neither the old state nor the new one."""
    for step in STEPS:
        with tempfile.TemporaryDirectory() as folder:
            told = report(Path(folder), step, 1)
        print(
            f"{step}: {told['kills']} killed, {told['inside']} inside the transaction, "
            f"{told['committing']} of them while it was committed; "
            f"{told['old']} had not happened, {told['new']} had, none in between"
        )
    with tempfile.TemporaryDirectory() as folder:
        told = report_prints(Path(folder), 1)
    print(
        f"print: {told['kills']} killed, {told['old']} left the old order, {told.get('mixed', 0)} no order, "
        f"{told.get('new', 0)} the new one; no file was torn"
    )


if __name__ == "__main__":
    main()
