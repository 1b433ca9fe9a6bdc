"""`python -m tests.fuzz.posting N`: N times each step of the ledger, killed at random moments.

A run is posted, bundles are made, spare thread is sent, and a ledger of the first version is opened.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from tests.build.test_ledger import STEPS, kill_often


def main() -> None:
    """Stop at the first ledger that is neither the old one nor the new one."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 0
    for step in STEPS:
        with tempfile.TemporaryDirectory() as folder:
            taken = kill_often(Path(folder), count, seed, step)
        print(f"{step}: {count} killed, {taken} had happened, {count - taken} had not, none was in between")


if __name__ == "__main__":
    main()
